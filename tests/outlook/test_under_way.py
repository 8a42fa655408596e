"""The outlook of a season under way: on any day, after losses, once all is planted, and after a refused replan."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from scheduler.errors import UsageError
from scheduler.outlook.changed import is_to_make
from scheduler.service import outlook, seasons
from scheduler.service.outlook import Asked
from tests.command import PLANNED, inside, is_one_block
from tests.february import lost
from tests.outlook.made_up import example, gone_on, under_way

FEW = Asked(100, 1)
LOOKS = 9
"""Days, about, on which each example is looked at, from the first batch to the day after the last planting."""
FOUND = {
    "backyard": ("2027-02-15", "2027-02-25", "2027-03-20"),
    "maritime": ("2027-02-15", "2027-02-25", "2027-03-20"),
    "market": ("2027-04-10",),
}
"""Days on which grain grows, or waits, of which nothing is to be made any more."""


def days(name: str) -> list[date]:
    """The days on which an example is looked at."""
    course = example(name)
    first = min(batch.planned for batch in course.batches if is_to_make(batch))
    last = max(planting.planned for planting in course.plantings) + 1
    grid = {first + (last - first) * n // LOOKS for n in range(1, LOOKS + 1)}
    found = {course.origin + timedelta(days=number) for number in grid}
    return sorted({*found, *map(date.fromisoformat, FOUND.get(name, ()))})


@pytest.mark.parametrize("name", PLANNED)
def test_a_season_that_goes_as_planned_has_an_outlook_on_every_day(name: str, tmp_path: Path) -> None:
    """After `done all` and `replan`: every planting that is left with its chance, or that all is planted."""
    seen = 0
    for day in days(name):
        season = gone_on(name, tmp_path / day.isoformat(), day)
        try:
            found = outlook.of_kept(season, seasons.Clock(day, "UTC"), FEW)
        except UsageError as error:
            assert "everything is planted" in error.fault.found, day
        else:
            seen += 1
            assert found.today == day
            assert found.plantings
            assert all(0 <= planting.chance <= 1 for planting in found.plantings)
    assert seen >= 5


@pytest.mark.parametrize("day", ["2027-02-15", "2027-02-18", "2027-02-20"])
def test_lost_grain_of_which_all_is_made_is_no_loss(day: str, tmp_path: Path) -> None:
    """Nor is it made again: the outlook says nothing of it."""
    on = date.fromisoformat(day)
    season = gone_on("backyard", tmp_path, on, ["lost", "WIN-G1a", "all"])
    found = outlook.of_kept(season, seasons.Clock(on, "UTC"), FEW)
    bed = next(planting for planting in found.plantings if planting.name == "Currant bed")
    assert not any("grain" in hang.stage for hang in bed.hangs_on)


@pytest.mark.parametrize("day", ["2027-02-15", "2027-02-18", "2027-02-20"])
def test_grain_that_is_lost_before_the_bags_are_made_is_made_again(day: str, tmp_path: Path) -> None:
    """The outlook of the replan knows the batch that replaces it."""
    on = date.fromisoformat(day)
    season = gone_on("backyard", tmp_path, on, ["lost", "SHI-G1a", "all"])
    assert 0 < outlook.of_kept(season, seasons.Clock(on, "UTC"), FEW).chance <= 1


def test_what_is_not_needed_any_more_is_not_made_again() -> None:
    """Of a stage of which all children are made nothing is needed, and there is no day to make it again by."""
    found = [stage for stage in under_way("backyard", date(2027, 2, 15)).stages if not stage.is_test]
    assert any(stage.need == 0 for stage in found)
    assert all(stage.again is None for stage in found if stage.need == 0)
    assert any(stage.again for stage in found)


@pytest.mark.parametrize(
    ("name", "day"), [("backyard", "2027-05-22"), ("backyard", "2027-06-30"), ("maritime", "2027-06-30")]
)
@pytest.mark.parametrize("command", ["outlook", "rehearse"])
def test_once_everything_is_planted_that_is_said(command: str, name: str, day: str, tmp_path: Path) -> None:
    """By `outlook`, and by `rehearse`, which counts no spare of anything: also when all windows are over."""
    gone_on(name, tmp_path, date.fromisoformat(day))
    ended = inside(command, name, "--today", day, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    said = "everything is planted" if command == "outlook" else "no batch of the plan"
    assert said in ended.err
    assert "put-off" not in ended.err


def test_what_was_not_planted_in_its_window_is_named(tmp_path: Path) -> None:
    """One planting is planted, and nobody recorded the other one before its window was over."""
    day = ("--today", "2027-06-30")
    gone_on("backyard", tmp_path, date(2027, 5, 16))
    assert inside("replan", "backyard", "--undone", *day, cwd=tmp_path).code == 0
    ended = inside("outlook", "backyard", *day, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "not planted: Currant bed" in ended.err
    assert "put-off NAME" in ended.err


def test_after_a_refused_replan_it_says_first_whose_chance_it_is(tmp_path: Path) -> None:
    """Above the table: that of the plan before what was recorded since."""
    lost(tmp_path)
    today = ("--today", "2027-04-24")
    assert inside("replan", "backyard", *today, cwd=tmp_path).code == 1
    ended = inside("outlook", "backyard", "--seasons", "100", *today, cwd=tmp_path)
    assert ended.code == 0, ended.err
    said = " ".join(ended.out.split("\nChance\n")[0].split())
    assert "Recorded since plan 1 was made" in said
    assert "The chances are those of that plan, as if that had not happened" in said
