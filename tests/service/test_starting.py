"""Beginning a season: what is written can be planned, on any day, anywhere; nothing is ever overwritten."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, given, settings

from scheduler.errors import SeasonError, UsageError
from scheduler.plan import Plan
from scheduler.season.wrong import Wrong
from scheduler.service import seasons, starting
from scheduler.service.attempt import attempt
from scheduler.service.seasons import Clock
from scheduler.solve.params import Budget
from tests.command import EXAMPLES, listing
from tests.folders import locked_folder
from tests.season.test_questions import DAYS, WHERE

TODAY = date(2026, 11, 25)
CLOCK = Clock(TODAY, "UTC")
QUICK = Budget(0.2)


def begun(folder: Path, ask: starting.Ask | None = None, today: date = TODAY, **given: str) -> starting.Begun:
    """A season begun in a folder."""
    file = starting.place_for(folder)
    return starting.begin(file, given, ask, clock=Clock(today, "UTC"), today=today, season_id="an-id")


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(today=DAYS, where=WHERE)
def test_what_enter_alone_begins_can_be_planned(today: date, where: str) -> None:
    """On any day of any year and at any latitude, the file that is written is planned in full."""
    with TemporaryDirectory() as folder:
        begun(Path(folder, "first"), today=today, where=where)
        season, catalogue = seasons.read(Path(folder, "first"), Clock(today, "UTC"), None)
        assert season.warnings == ()
        plan = attempt(season, catalogue, budget=QUICK)
    assert isinstance(plan, Plan)
    (planting,) = plan.plantings
    assert planting.plant_on
    assert not any(order.late for order in plan.orders)


@pytest.mark.parametrize(
    "given",
    [
        {"jars": "0"},
        {"bags": "0"},
        {"units": "imperial", "jars": "4", "bags": "1"},
        {"species": "wine cap"},
        {"species": "oyster", "method": "totem"},
        {"species": "oyster", "method": "stump"},
        {"species": "nameko", "method": "log raft", "where": "mild by the sea"},
    ],
    ids=str,
)
def test_other_answers_can_be_planned(given: dict[str, str], tmp_path: Path) -> None:
    """Without a cooker, without bags, and with every kind of piece a plan is found."""
    begun(tmp_path / "first", **given)
    season, catalogue = seasons.read(tmp_path / "first", CLOCK, None)
    assert isinstance(attempt(season, catalogue, budget=QUICK), Plan)


def test_wrong_answers_are_asked_again(tmp_path: Path) -> None:
    """The question comes back with what was wrong, until the answer can be; Enter takes the default."""
    answers = iter(["", "shitake", "oyster", "raft", "totem", "", "few", ""])
    asked: list[tuple[str, str, Wrong | None]] = []

    def ask(words: str, default: str, wrong: Wrong | None) -> str:
        asked.append((words, default, wrong))
        return next(answers, "")

    done = begun(tmp_path / "first", ask)
    again = [wrong.hint or wrong.allowed for _, _, wrong in asked if wrong]
    assert len(again) == 3
    assert again[0] == 'did you mean "shiitake"?'
    text = done.path.read_text(encoding="utf-8")
    assert 'species = "oyster"\n' in text
    assert 'method  = "log raft"\n' in text
    assert "species" not in dict(done.unsaid)
    assert dict(done.unsaid)["units"] == "metric"


def test_a_question_that_is_answered_by_a_flag_is_not_asked(tmp_path: Path) -> None:
    """Flags and questions go together; what the flags say needs no asking."""
    asked: list[str] = []

    def ask(words: str, default: str, wrong: Wrong | None) -> str:
        asked.append(words)
        return ""

    begun(tmp_path / "first", ask, species="oyster", hours="sun 6")
    assert len(asked) == len(starting.KEYS) - 2
    assert "What to grow" not in asked


@pytest.mark.parametrize(
    ("given", "flag"),
    [
        ({"species": "shitake"}, "--species"),
        ({"species": "wine cap", "method": "totem"}, "--method"),
        ({"wood": "walnut"}, "--wood"),
        ({"window": "2020-01-01/2020-02-01"}, "--window"),
        ({"bud_swell": "2026-01-01"}, "--bud-swell"),
        ({"hours": "sat 0"}, "--hours"),
        ({"shelf": "150 L"}, "--shelf"),
    ],
    ids=str,
)
def test_a_flag_that_cannot_be_is_named(given: dict[str, str], flag: str, tmp_path: Path) -> None:
    """One fault at the flag that is to be mended; nothing is written, not even the folder."""
    with pytest.raises(UsageError) as wrong:
        begun(tmp_path / "first", **given)
    assert wrong.value.fault.where == flag
    assert listing(tmp_path) == {}


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    """A file of that name, a link to nowhere, and the book of another season all stay as they are."""
    season = tmp_path / "season.toml"
    for spoil in (
        lambda: season.write_text("mine"),
        lambda: season.symlink_to("nowhere"),
        lambda: (tmp_path / "season.book").write_bytes(b"book"),
    ):
        spoil()
        before = listing(tmp_path)
        with pytest.raises(UsageError):
            begun(tmp_path)
        with pytest.raises(UsageError):
            starting.begin_from(
                starting.place_for(tmp_path), "backyard", clock=CLOCK, today=TODAY, season_id="x"
            )
        assert listing(tmp_path) == before
        for path in list(tmp_path.iterdir()):
            path.unlink()


def test_other_files_of_the_folder_stay(tmp_path: Path) -> None:
    """A folder that holds other things, and a .toml name, are places like any other."""
    (tmp_path / "notes.txt").write_text("mine")
    begun(tmp_path)
    begun(tmp_path / "deep" / "autumn.toml")
    assert set(listing(tmp_path)) == {"notes.txt", "season.toml", "deep", "deep/autumn.toml"}


def test_a_folder_that_takes_nothing_is_said() -> None:
    """Where nothing may be written there is one fault and no half file."""
    with locked_folder() as folder:
        with pytest.raises(UsageError) as wrong:
            begun(folder / "first")
        assert "first" in wrong.value.fault.where
        assert list(folder.iterdir()) == []


@pytest.mark.parametrize("name", sorted(path.parent.name for path in EXAMPLES.glob("*/season.toml")))
@pytest.mark.parametrize("today", [date(2026, 11, 25), date(2027, 7, 1), date(2031, 2, 28)])
def test_examples_are_copied_for_any_day(name: str, today: date, tmp_path: Path) -> None:
    """Years later an example is still one that can be checked, with what lies beside it, under its own id."""
    clock = Clock(today, "UTC")
    file = starting.place_for(tmp_path / "mine")
    starting.begin_from(file, name, clock=clock, today=today, season_id="a-new-id")
    season = seasons.check(tmp_path / "mine", clock, None)
    assert (season.id, season.today) == ("a-new-id", today)
    assert all(planting.window[1] > today for planting in season.plantings)


def test_a_season_of_ones_own_is_copied_by_its_path(tmp_path: Path) -> None:
    """A folder or a file; the book is not copied."""
    begun(tmp_path / "old")
    (tmp_path / "old" / "season.book").write_bytes(b"book")
    for source in (tmp_path / "old", tmp_path / "old" / "season.toml"):
        file = starting.place_for(tmp_path / f"new{source.suffix and '2'}")
        done = starting.begin_from(file, str(source), clock=CLOCK, today=TODAY, season_id="x")
        assert done.years == 0
        assert [path.name for path in file.parent.iterdir()] == ["season.toml"]


@pytest.mark.parametrize(
    ("content", "error"),
    [
        (None, UsageError),
        (b"\xff\xfe", UsageError),
        (b"", UsageError),
        (b"[season]\nname = 'x'\n[[planting]]\nname = 'a'\nwindow = '2027-04-20/2027-05-20'\n", SeasonError),
    ],
)
def test_what_cannot_be_copied_is_said(content: bytes | None, error: type[Exception], tmp_path: Path) -> None:
    """A missing, spoilt or faulty original is refused, faults named in it; nothing is written."""
    source = tmp_path / "old.toml"
    if content is not None:
        source.write_bytes(content)
    before = listing(tmp_path)
    with pytest.raises(error) as wrong:
        starting.begin_from(
            starting.place_for(tmp_path / "new"), str(source), clock=CLOCK, today=TODAY, season_id="x"
        )
    if isinstance(wrong.value, SeasonError):
        assert all(fault.where.startswith(str(source)) for fault in wrong.value.faults)
    assert listing(tmp_path) == before
