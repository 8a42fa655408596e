"""`plan --certainty`: the page and its README copy, what the book keeps of it, what comes after, and bad input."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from scheduler.document import from_json
from scheduler.service import basis_text, processes
from tests.command import ROOT, budswell, example, inside, is_one_block, listing
from tests.february import TODAY, newest

WISH = ("--certainty", "0.95")


@cache
def _planned() -> dict[str, bytes]:
    with TemporaryDirectory() as folder:
        season = example("backyard", Path(folder))
        ended = budswell("plan", "backyard", *WISH, cwd=Path(folder))
        assert ended.code == 0, ended.err
        return listing(season)


@pytest.fixture
def backyard(tmp_path: Path) -> Path:
    """The backyard planned for a chance of 95 %."""
    season = tmp_path / "backyard"
    season.mkdir()
    for name, data in _planned().items():
        (season / name).write_bytes(data)
    return season


def test_the_page_is_the_one_in_the_readme(tmp_path: Path) -> None:
    """The section that the README shows is what the command prints, line by line."""
    example("backyard", tmp_path)
    ended = budswell("plan", "backyard", "--certainty", "0.99", cwd=tmp_path)
    assert ended.code == 0, ended.err
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    command = "budswell plan examples/backyard --certainty 0.99\n```\n\n```text\n"
    shown = text.split(command)[1].split("\n```")[0]
    assert shown.startswith("The chance that was asked for\n")
    assert f"\n{shown}\n" in ended.out


def test_the_plan_is_kept_with_its_wish(backyard: Path) -> None:
    """The book's plan says what was asked for and reached; its basis holds the wish."""
    kept = newest(backyard)
    assert kept.plan.sought is not None
    assert kept.plan.sought.wished == kept.plan.season.certainty == 0.95
    assert kept.plan.sought.reached >= 0.95
    assert not any(taken.key == "season.certainty" for taken in kept.plan.season.assumed)
    assert kept.basis is not None
    assert basis_text.from_text(kept.basis).certainty == 0.95


def test_the_outlook_finds_the_chance_that_the_plan_tells(backyard: Path) -> None:
    """Of the kept plan, with the same seasons: chance, error and wish; nothing is planned anew."""
    kept = newest(backyard)
    assert kept.plan.sought is not None
    ended = inside("outlook", "backyard", "--json", cwd=backyard.parent)
    seen = json.loads(ended.out)
    assert (seen["chance"], seen["stderr"]) == (kept.plan.sought.reached, kept.plan.sought.stderr)
    assert (seen["plan_no"], seen["wished"]) == (1, 0.95)
    assert newest(backyard) == kept


@pytest.mark.parametrize(
    "command", [("outlook", "--seasons", "300"), ("rehearse", "--jobs", "1"), ("shopping",)]
)
def test_on_a_later_day_the_plan_holds_while_nothing_of_it_is_late(
    command: tuple[str, ...], backyard: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was chosen stays: only the day is another one, and nothing is planned anew."""
    monkeypatch.setattr(processes, "each", lambda work, losses, jobs, told: [work(one) for one in losses[:1]])
    kept = newest(backyard)
    ended = inside(command[0], "backyard", *command[1:], "--today", "2026-11-29", cwd=backyard.parent)
    assert ended.code == 0, ended.err
    assert newest(backyard) == kept


def test_what_is_late_is_planned_anew_for_the_chance_that_was_asked_for(backyard: Path) -> None:
    """On a day by which work should have begun: no work lies before it, and the wish is met again."""
    day = "2027-01-16"
    assert any(task.on.isoformat() < day for task in newest(backyard).plan.work())
    ended = inside("outlook", "backyard", "--json", "--today", day, cwd=backyard.parent)
    assert ended.code == 0, ended.err
    seen, kept = json.loads(ended.out), newest(backyard)
    assert (seen["plan_no"], seen["wished"]) == (kept.plan_no, 0.95) == (2, 0.95)
    assert kept.plan.sought is not None
    assert kept.plan.sought.reached == seen["chance"] >= 0.95
    assert all(task.on.isoformat() >= day for task in kept.plan.work())


def test_a_plan_of_a_later_day_does_not_hold_on_an_earlier_one(backyard: Path) -> None:
    """It was made without the days before."""
    assert (
        inside("outlook", "backyard", "--seasons", "100", "--today", "2026-11-27", cwd=backyard.parent).code
        == 0
    )
    assert newest(backyard).plan_no == 2


def test_a_season_that_was_changed_is_planned_by_its_own_certainty(backyard: Path) -> None:
    """The wish belonged to the season as it was."""
    file = backyard / "season.toml"
    file.write_text(file.read_text(encoding="utf-8") + "\n# changed\n", encoding="utf-8")
    assert inside("outlook", "backyard", "--seasons", "100", cwd=backyard.parent).code == 0
    plan = newest(backyard).plan
    assert (plan.plan_no, plan.sought, plan.season.certainty) == (2, None, 0.9)


def test_show_gives_the_plan_as_it_was_kept(backyard: Path) -> None:
    """The document of the kept plan holds all that was said of the chance."""
    ended = inside("show", "backyard", "--json", cwd=backyard.parent)
    assert from_json(ended.out).sought == newest(backyard).plan.sought


def test_replans_keep_the_spares_and_the_wish(backyard: Path) -> None:
    """After all was done as planned batches are as large as chosen; the wish holds from replan to replan."""
    before = newest(backyard).plan
    assert inside("record", "backyard", "done", "all", *TODAY, cwd=backyard.parent).code == 0
    lost = inside("record", "backyard", "lost", "SHI-G1a", "1", *TODAY, cwd=backyard.parent)
    assert lost.code == 0, lost.err
    for day in (TODAY, ("--today", "2027-02-08")):
        inside("record", "backyard", "done", "all", *day, cwd=backyard.parent)
        ended = inside("replan", "backyard", *day, cwd=backyard.parent)
        assert ended.code == 0, ended.err
        kept = newest(backyard)
        assert kept.plan.season.certainty == 0.95
        assert kept.plan.sought is None, "its chance is another by now"
        assert kept.basis is not None
        assert basis_text.from_text(kept.basis).certainty == 0.95
    started = {batch.id: batch.started for batch in kept.plan.batches if batch.state == "planned"}
    chosen = {batch.id: batch.started for batch in before.batches}
    assert started
    assert all(units == chosen[name] - (name == "SHI-G1a") for name, units in started.items())


def test_a_look_keeps_nothing(tmp_path: Path) -> None:
    """With --no-keep, as a document: the same plan, and no book."""
    example("backyard", tmp_path)
    before = listing(tmp_path)
    ended = inside("plan", "backyard", *WISH, "--no-keep", "--json", cwd=tmp_path)
    sought = from_json(ended.out).sought
    assert sought is not None
    assert sought.steps
    assert listing(tmp_path) == before


@pytest.mark.parametrize("columns", [60, 80, 100, 200])
def test_the_page_fits_its_width(columns: int, tmp_path: Path) -> None:
    """No line is longer than the terminal is wide, and none ends in spaces."""
    example("backyard", tmp_path)
    ended = inside("plan", "backyard", "--certainty", "0.6", "--no-keep", cwd=tmp_path, COLUMNS=str(columns))
    assert "The chance that was asked for" in ended.out
    for line in ended.out.splitlines():
        assert len(line) <= columns
        assert line == line.rstrip()


@pytest.mark.parametrize(
    "text", ["0", "0.49", "0.9991", "1", "-0.9", "95", "95 %", "100 %", "0,95", "nan", "inf", "x", ""]
)
def test_what_is_no_chance_is_refused(text: str, tmp_path: Path) -> None:
    """Exit code 2, one block with the bounds, and nothing is written."""
    example("backyard", tmp_path)
    before = listing(tmp_path)
    ended = inside("plan", "backyard", "--certainty", text, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert f'"{text}"' in ended.err
    assert "a number from 0.5 to 0.999" in ended.err
    assert listing(tmp_path) == before


def test_a_season_that_does_not_fit_is_refused_as_ever(tmp_path: Path) -> None:
    """Exit code 1 with the conflict: there is nothing to choose spares for."""
    example("too-late", tmp_path)
    ended = inside("plan", "too-late", *WISH, cwd=tmp_path)
    assert ended.code == 1
    assert ended.err == ""
    assert "The chance that was asked for" not in ended.out
