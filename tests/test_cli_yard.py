"""Spare logs, checks ahead and the running order of a season under way, through the command line."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from scheduler.book.store import Book
from scheduler.plan import Task
from tests.command import Ended, inside, is_one_block, listing
from tests.february import AT, TODAY, entries, newest, planned

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


# -- the running order and the calendar for helpers ------------------------------------------------------


def show(season: Path, *words: str) -> Ended:
    """Calls `show --running-order` in February."""
    return inside("show", season, "--running-order", *words, *TODAY, cwd=season)


def test_the_next_day_of_planting_is_shown_or_the_one_that_is_named(tmp_path: Path) -> None:
    """By nothing, by a planting's name or its beginning in any capitals, or by its day."""
    season = planned(tmp_path)
    oak, bed = "Sat 15 May 2027: Oak stack", "Sat 22 May 2027: Currant bed"
    for words, title in (
        ((), oak),
        (("Oak", "stack"), oak),
        (("currant",), bed),
        (("2027-05-22",), bed),
    ):
        ended = show(season, *words)
        assert (ended.code, ended.out.splitlines()[0]) == (0, title)
    later = inside("show", season, "--running-order", "--today", "2027-05-16", cwd=season)
    assert later.out.splitlines()[0] == bed, "what has passed is not the next"


@pytest.mark.parametrize(
    ("words", "found"),
    [(("rye",), '"rye" is none'), (("2027-05-16",), '"2027-05-16" is none')],
)
def test_a_planting_or_day_that_is_none_is_told(tmp_path: Path, words: tuple[str, ...], found: str) -> None:
    """Exit code 2, and the plantings and days that there are."""
    season = planned(tmp_path)
    before = listing(season)
    ended = show(season, *words)
    assert ended.code == 2
    is_one_block(ended)
    told = " ".join(ended.err.split())
    assert found in told and "Oak stack or Currant bed; 2027-05-15, 2027-05-22" in told
    assert listing(season) == before


def test_words_without_the_option_are_refused(tmp_path: Path) -> None:
    """`show SEASON oak` means nothing else."""
    season = planned(tmp_path)
    ended = inside("show", season, "oak", cwd=season)
    assert ended.code == 2
    is_one_block(ended)
    assert "--running-order" in ended.err


def test_a_plan_of_an_older_version_has_none(tmp_path: Path) -> None:
    """It is said, and how to get one; a season where all is planted has none either."""
    season = planned(tmp_path)
    plan = newest(season).plan
    with Book.open(season / "season.book", create=True) as book:
        book.keep(replace(plan, planting_days=(), inputs_sha="old"), "[season]", AT, "{}")
    ended = show(season)
    assert ended.code == 2
    is_one_block(ended)
    assert "an older budswell made it" in " ".join(ended.err.split())


def test_helpers_get_a_calendar_of_their_own(tmp_path: Path) -> None:
    """Beside the season's own; both are written from the kept plan, and share no event."""
    season = planned(tmp_path)
    ended = inside("calendar", "backyard", "-o", "own.ics", "--helpers", "helpers.ics", cwd=tmp_path)
    assert ended.code == 0, ended.err
    assert "helpers.ics: 2 planting days and 2 rain days of plan 1.\n" in ended.out
    identities = [
        {line for line in (tmp_path / file).read_text().splitlines() if line.startswith("UID:")}
        for file in ("own.ics", "helpers.ics")
    ]
    assert len(identities[1]) == 4 and not identities[0] & identities[1]
    assert season.is_dir()
    own, helping = ((tmp_path / file).read_bytes() for file in ("own.ics", "helpers.ics"))
    for options in (("-o", "own.ics"), ("--helpers", "helpers.ics"), ("-o", "own.ics", "--todos", "do.ics")):
        assert inside("calendar", "backyard", *options, cwd=tmp_path).code == 0
    assert (own, helping) == tuple((tmp_path / file).read_bytes() for file in ("own.ics", "helpers.ics"))


def test_without_planting_days_there_is_nothing_for_helpers(tmp_path: Path) -> None:
    """Everything is planted: an empty calendar would empty that of whoever subscribes; nothing is written."""
    season = planned(tmp_path)
    said(season, "2027-06-10", "done", "all")
    assert inside("replan", season, "--today", "2027-06-10", cwd=season).code == 0
    ended = inside("calendar", season, "--helpers", "helpers.ics", "--today", "2027-06-10", cwd=season)
    assert ended.code == 2 and "no day of planting is in the plan" in ended.err
    assert not (season / "helpers.ics").exists()


def test_the_running_order_follows_a_replan(tmp_path: Path) -> None:
    """When 12 of 20 logs are planted the rest have the numbers 13 to 20."""
    season = planned(tmp_path)
    said(season, "2027-05-14", "done", "all")
    said(season, "2027-05-15", "planted", "oak", "12")
    ended = inside("replan", season, "--today", "2027-05-15", "--undone", cwd=season)
    assert ended.code == 0, ended.err + ended.out
    text = inside("show", season, "--running-order", "oak", "--today", "2027-05-15", cwd=season).out
    assert "logs 13 to 20 from SHI-Sa/1" in text
