"""`replan` as it is called: both ways out of a gap, questions that leave nothing behind, remedies, the end."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.document import from_json
from tests.command import Ended, budswell, inside, is_one_block, listing
from tests.february import TODAY, TOO_LATE, begun, entries, lost, newest, planned

LATE = ("--today", TOO_LATE)
ENDED = ("--today", "2027-06-10")
"""A day by which everything is planted."""


@pytest.fixture
def lost_late(tmp_path: Path) -> Path:
    """The season in April, with all bags of shiitake spawn lost."""
    return lost(tmp_path)


def replan(*options: str, cwd: Path) -> Ended:
    """Calls `replan` on the season of a folder."""
    return inside("replan", "backyard", *options, cwd=cwd)


# -- what nobody recorded --------------------------------------------------------------------------------


def test_work_that_nobody_recorded_is_asked_for(tmp_path: Path) -> None:
    """Neither done nor undone is guessed: exit code 2, the tasks, and both ways out; nothing is kept."""
    planned(tmp_path)
    before = listing(tmp_path)
    ended = replan(*TODAY, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    told = " ".join(ended.err.split())
    assert "9 tasks of the days before today not recorded" in told
    assert "Sterilise WIN-G1a (5 quart jars) (Sun 17 Jan 2027)" in told
    assert "budswell record SEASON done all" in told
    assert "budswell replan SEASON --undone" in told
    assert listing(tmp_path) == before


def test_what_was_not_done_is_planned_again(tmp_path: Path) -> None:
    """With --undone nothing is planned before today, and the page says what was not recorded."""
    season = planned(tmp_path)
    ended = replan("--undone", *TODAY, cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    assert "it was not recorded as done by its day" in ended.out
    assert "Not recorded as done by its day" in ended.out
    plan = newest(season).plan
    assert plan.plan_no == 2
    assert min(task.on for task in plan.tasks).isoformat() >= TODAY[1]


# -- questions -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("words", ["lost SHI-G1a 3", "lost SHI-G1a", "put-off oak until 2027-05-22"])
@pytest.mark.parametrize("form", [[], ["--json"]], ids=["page", "json"])
def test_a_question_leaves_nothing_behind(words: str, form: list[str], tmp_path: Path) -> None:
    """With --what-if neither an entry nor a plan is kept: the book is the same to the last byte."""
    begun(tmp_path)
    before = listing(tmp_path)
    ended = replan("--what-if", words, *form, *TODAY, cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    if form:
        assert from_json(ended.out).plan_no is None
    else:
        told = " ".join(ended.out.split())
        assert "Nothing was recorded, and the plan that is kept stands as it was." in told
        assert f"If it is so: budswell record backyard {words}, then budswell replan backyard" in told
    assert listing(tmp_path) == before


def test_a_question_is_answered_as_it_would_come(tmp_path: Path) -> None:
    """What is recorded afterwards is planned as the question said."""
    season = begun(tmp_path)
    asked = from_json(replan("--what-if", "lost SHI-G1a", "--json", *TODAY, cwd=tmp_path).out)
    assert inside("record", "backyard", "lost", "SHI-G1a", *TODAY, cwd=tmp_path).code == 0
    assert replan(*TODAY, cwd=tmp_path).code == 0
    kept = newest(season).plan
    assert (kept.tasks, kept.batches) == (asked.tasks, asked.batches)


@pytest.mark.parametrize(
    ("words", "said"),
    [("", "nothing was said"), ("lost NAM-G1a", "no batch is called"), ("lost SHI-G1a 9", "at most 5")],
)
def test_a_question_that_makes_no_sense(words: str, said: str, tmp_path: Path) -> None:
    """It is refused as a record would be."""
    begun(tmp_path)
    before = listing(tmp_path)
    ended = replan("--what-if", words, *TODAY, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert said in ended.err
    assert listing(tmp_path) == before


# -- remedies --------------------------------------------------------------------------------------------


def test_what_no_longer_fits_is_an_answer(lost_late: Path, tmp_path: Path) -> None:
    """Exit code 1, and on stdout what cannot all hold and what can be done; nothing is kept."""
    before = listing(tmp_path)
    page = replan(*LATE, cwd=tmp_path)
    assert (page.code, page.err) == (1, "")
    assert page.out.startswith("SHI-Sa: 3 of 3 units lost; 54 more entries. The season no longer fits")
    for heading in ("These cannot all hold", "What would make it possible, cheapest first"):
        assert heading in page.out.splitlines()
    assert "budswell replan backyard --take 1" in page.out
    document = replan("--json", *LATE, cwd=tmp_path)
    assert (document.code, document.err) == (1, "")
    refusal = from_json(document.out)
    assert refusal.status == "none"
    assert refusal.conflict
    assert refusal.remedies[0].kind == "buy spawn"
    assert listing(tmp_path) == before


def test_a_remedy_is_taken_by_its_number(lost_late: Path, tmp_path: Path) -> None:
    """It becomes an entry with what it changes, the plan is made with it, and the season file stays."""
    file, before = (lost_late / "season.toml").read_bytes(), len(entries(lost_late))
    taken = replan("--take", "1", *LATE, cwd=tmp_path)
    assert (taken.code, taken.err) == (0, "")
    headline = " ".join(taken.out.partition("Plantings")[0].split())
    assert "with the remedy that was adopted: Buy the finished spawn for Oak stack" in headline
    assert "spares cover it" not in headline
    (entry,) = [one.entry for one in entries(lost_late)[before:]]
    assert entry.kind == "remedy"
    assert entry.changes
    plan = newest(lost_late).plan
    assert plan.plan_no == 2
    assert plan.status != "none"
    bought = [batch for batch in plan.batches if batch.state == "bought"]
    assert [batch.plantings for batch in bought] == [("Oak stack",)]
    assert (lost_late / "season.toml").read_bytes() == file
    assert replan(*LATE, cwd=tmp_path).code == 0


@pytest.mark.parametrize(
    ("number", "said"),
    [
        ("3", "there is no remedy 3"),
        ("99", "1 to 2"),
        ("0", "'--take'"),
        ("-1", "'--take'"),
        ("x", "'--take'"),
    ],
)
def test_a_remedy_that_is_not_there(number: str, said: str, lost_late: Path, tmp_path: Path) -> None:
    """A number out of range is refused; nothing is recorded and nothing kept."""
    before = listing(tmp_path)
    ended = replan("--take", number, *LATE, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert said in ended.err
    assert listing(tmp_path) == before


def test_there_is_nothing_to_take_where_the_season_fits(tmp_path: Path) -> None:
    """Remedies are for what does not fit; nothing is recorded."""
    begun(tmp_path)
    before = listing(tmp_path)
    ended = replan("--take", "1", *TODAY, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "the season fits as it stands" in ended.err
    assert listing(tmp_path) == before


def test_a_question_takes_no_remedy(tmp_path: Path) -> None:
    """--what-if and --take are two things."""
    begun(tmp_path)
    ended = replan("--what-if", "lost SHI-G1a", "--take", "1", *TODAY, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "--what-if and --take together" in ended.err


def test_a_remedy_that_no_longer_fits_the_file(lost_late: Path, tmp_path: Path) -> None:
    """A season file that lost what the remedy changes is refused with both ways out; undone, it plans again."""
    assert replan("--take", "1", *LATE, cwd=tmp_path).code == 0
    number = entries(lost_late)[-1].entry_no
    file = lost_late / "season.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace('"Oak stack"', '"Maple stack"'), encoding="utf-8")
    before = listing(tmp_path)
    ended = replan(*LATE, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    told = " ".join(ended.err.split())
    assert "what was adopted no longer fits the file: [[planting]] Oak stack: spawn" in told
    assert "budswell record SEASON undo NUMBER" in told
    assert listing(tmp_path) == before
    file.write_text(text, encoding="utf-8")
    assert inside("record", "backyard", "undo", str(number), *LATE, cwd=tmp_path).code == 0
    assert replan(*LATE, cwd=tmp_path).code == 1


# -- plans that are kept ---------------------------------------------------------------------------------


def test_json_is_a_plan(tmp_path: Path) -> None:
    """`replan --json` prints the plan that it keeps."""
    season = begun(tmp_path)
    ended = budswell("replan", "backyard", "--json", *TODAY, cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    plan = from_json(ended.out)
    assert (plan.plan_no, plan.status) == (2, newest(season).plan.status)
    assert plan == newest(season).plan


def test_a_mistake_corrected_leads_back(tmp_path: Path) -> None:
    """Jars recorded as lost, replanned, taken back and replanned: every task is on its day of before."""
    season = begun(tmp_path)
    assert replan(*TODAY, cwd=tmp_path).code == 0
    before = newest(season).plan
    assert inside("record", "backyard", "lost", "SHI-G1a", *TODAY, cwd=tmp_path).code == 0
    assert replan(*TODAY, cwd=tmp_path).code == 0
    rescue = newest(season).plan
    assert {task.id for task in rescue.tasks} != {task.id for task in before.tasks}
    assert inside("record", "backyard", "undo", *TODAY, cwd=tmp_path).code == 0
    assert replan(*TODAY, cwd=tmp_path).code == 0
    after = newest(season).plan
    assert {task.id: task.on for task in after.tasks} == {task.id: task.on for task in before.tasks}
    assert after.batches == before.batches


def test_a_season_under_way_is_not_planned_from_the_beginning(tmp_path: Path) -> None:
    """`plan` would forget what was recorded: it refuses and names replan; looking only is allowed."""
    begun(tmp_path)
    before = listing(tmp_path)
    ended = inside("plan", "backyard", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "what happened is recorded (entries: 32)" in ended.err
    assert "budswell replan backyard" in ended.err
    assert inside("plan", "backyard", "--no-keep", cwd=tmp_path).code == 0
    assert listing(tmp_path) == before


def test_the_calendar_is_of_the_replanned_season(tmp_path: Path) -> None:
    """What was made again stands in the calendar; the solver is not asked, no plan and no entry is kept."""
    season = begun(tmp_path)
    assert inside("record", "backyard", "lost", "SHI-G1a", *TODAY, cwd=tmp_path).code == 0
    assert replan(*TODAY, cwd=tmp_path).code == 0
    kept = newest(season), entries(season)
    ended = inside("calendar", "backyard", "-o", "x.ics", *TODAY, cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    assert ended.out.endswith("of plan 2.\n")
    calendar = (tmp_path / "x.ics").read_text(encoding="utf-8").replace("\r\n ", "")
    assert "SHI-G1b" in calendar
    assert (newest(season), entries(season)) == kept


def test_once_all_is_planted_care_is_left(tmp_path: Path) -> None:
    """Then a replan dates the care of what stands; nothing is looked for, and there is no remedy to take."""
    planned(tmp_path)
    assert inside("record", "backyard", "done", "all", *ENDED, cwd=tmp_path).code == 0
    before = listing(tmp_path)
    assert replan("--what-if", "picked oak 2 kg", *ENDED, cwd=tmp_path).code == 0
    refused = replan("--take", "1", *ENDED, cwd=tmp_path)
    is_one_block(refused)
    assert refused.code == 2 and "the season fits as it stands" in refused.err
    assert listing(tmp_path) == before
    ended = replan(*ENDED, cwd=tmp_path)
    assert ended.code == 0 and "Kept as plan 2." in " ".join(ended.out.split())
    plan = newest(tmp_path / "backyard").plan
    assert plan.tasks and all(task.is_care for task in plan.tasks)
    assert {one.name for one in plan.plantings} == {"Oak stack", "Currant bed"}
    page = inside("today", "backyard", *ENDED, cwd=tmp_path).out
    assert "Water Oak stack" in page and "OVERDUE" not in page


def test_nothing_planted_and_all_windows_over_is_one_sentence(tmp_path: Path) -> None:
    """There is nothing to plan and nothing to look after: the ways on are named, nothing is kept."""
    planned(tmp_path)
    before = listing(tmp_path)
    ended = replan("--undone", "--today", "2027-08-01", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "every window is over, and nothing stands" in ended.err
    assert listing(tmp_path) == before
