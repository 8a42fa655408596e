"""Spare logs and checks ahead of a season under way, through the command line: what counts, and what is over."""

from __future__ import annotations

from pathlib import Path

from scheduler.plan import Task
from tests.command import inside
from tests.february import entries, newest, planned

COOKER = "pressure cooker 1:prepare:cooker"


def said(season: Path, day: str, *words: str) -> None:
    """Records something on a day."""
    ended = inside("record", season, *words, "--today", day, cwd=season)
    assert ended.code == 0, ended.err


def replanned(season: Path, day: str) -> dict[str, Task]:
    """The tasks of the season planned onward on a day, by id."""
    ended = inside("replan", season, "--today", day, cwd=season)
    assert ended.code == 0, ended.err + ended.out
    return {task.id: task for task in newest(season).plan.tasks}


def test_spare_logs_are_no_pieces(tmp_path: Path) -> None:
    """Of 20 logs and a spare 12 are felled, the spare with them: 8 are left, and then all 20 are down."""
    season = planned(tmp_path)
    titles = {task.id: task.title for task in newest(season).plan.tasks}
    assert titles["Oak stack:fell"] == "Fell wood for 20 logs and 1 spare: Oak stack (oak)"
    said(season, "2027-01-22", "done", "all")
    said(season, "2027-01-23", "cooked", "SHI-G1a")
    said(season, "2027-01-23", "felled", "oak", "12")
    tasks = replanned(season, "2027-01-23")
    (rest,) = (task for task in tasks.values() if task.kind == "fell")
    assert rest.title == "Fell wood for 8 logs: Oak stack (oak)"
    (haul,) = (task for task in tasks.values() if task.kind == "haul")
    assert haul.why == "About 280 lb of green wood: 3 trips with a cart that takes 132 lb."
    said(season, "2027-01-24", "felled", "oak")
    assert entries(season)[-1].entry.count == 8
    shown = inside("show", season, "--today", "2027-01-24", cwd=season).out
    assert "20 of 20 logs felled" in shown


def test_more_than_the_logs_is_unusual_whatever_spares_there_are(tmp_path: Path) -> None:
    """The spare is felled with the others and is not recorded; 21 of 20 logs asks for a second word."""
    season = planned(tmp_path)
    said(season, "2027-01-22", "done", "all")
    ended = inside("record", season, "felled", "oak", "21", "--today", "2027-01-23", cwd=season)
    assert ended.code == 2
    assert "20" in ended.err
    said(season, "2027-01-23", "felled", "oak", "20")


def test_a_check_that_was_done_early_is_not_asked_for_again(tmp_path: Path) -> None:
    """The cooker was looked at a week before its day: no later plan has the task."""
    season = planned(tmp_path)
    assert COOKER in {task.id for task in newest(season).plan.tasks}
    said(season, "2027-01-03", "done", COOKER)
    assert COOKER not in replanned(season, "2027-01-03")


def test_a_check_is_over_once_its_work_has_begun(tmp_path: Path) -> None:
    """Whoever has cooked has no use for the look at the cooker: it is neither due nor asked for, nor planned again."""
    season = planned(tmp_path)
    before = inside("today", season, "--today", "2027-01-16", cwd=season).out
    assert "Test gasket, vent and gauge" in before
    said(season, "2027-01-17", "cooked", "WIN-G1a", "--on", "2027-01-17")
    after = inside("today", season, "--today", "2027-01-17", cwd=season).out
    assert "Test gasket, vent and gauge" not in after
    assert "Ask whether the trees may be felled" in after
    said(season, "2027-01-24", "done", "all")
    tasks = replanned(season, "2027-01-24")
    assert {task.id for task in tasks.values() if task.is_check_ahead} == {
        "Oak stack:prepare:planting-day",
        "Currant bed:prepare:planting-day",
    }


def test_checks_keep_their_day_when_nothing_else_moves(tmp_path: Path) -> None:
    """A replan leaves the look at the tools of the planting day where it was promised."""
    season = planned(tmp_path)
    was = {task.id: task.on for task in newest(season).plan.tasks if task.is_check_ahead}
    said(season, "2027-02-20", "done", "all")
    now = replanned(season, "2027-02-20")
    names = ["Oak stack:prepare:planting-day", "Currant bed:prepare:planting-day"]
    assert [now[name].on for name in names] == [was[name] for name in names]
