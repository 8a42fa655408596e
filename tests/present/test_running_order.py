"""The running order on the screen, and the calendar for helpers: both from a plan alone."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from icalendar import Calendar
from rich.cells import cell_len

from scheduler.document import from_json, to_json
from scheduler.ledger import When, revised
from scheduler.plan import Helpers, Plan, PlantingDay
from scheduler.present.calendar import Piece, calendar, pieces
from scheduler.present.calendar_check import faults
from scheduler.present.helpers_calendar import counted, items
from scheduler.present.running_order import hints, people, show_running_order
from tests.journal.under_way import plan_of
from tests.present.screen import section, shown

TODAY = date(2026, 11, 28)


def page(plan: Plan, *days: PlantingDay, width: int = 80) -> str:
    """The page of some days, the first if none is named."""
    return shown(show_running_order, plan, days or plan.planting_days[:1], TODAY, width=width)


def test_the_whole_page_of_a_small_day() -> None:
    """Who, how long, stations with the wax at its time, spawn, what to bring, cautions, and the rain day."""
    text = page(plan_of("backyard"), width=100)
    lines = text.splitlines()
    assert lines[0] == "Sat 15 May 2027: Oak stack"
    assert "people  you for 6 h" in lines
    assert "takes   4 h 30 (2 h 55 to 6 h 45), breaks not counted" in lines
    assert [line for line in lines[1:] if line and not line.startswith((" ", "people", "takes", "mind"))] == [
        "Fern Hollow, spring 2027",
        "Inoculate 20 logs: Oak stack",
        "Spawn",
        "Bring",
        "At hand",
        "Mind",
        "Rain day for Oak stack: Sun 16 May",
        "Other days of planting: Sat 22 May, Currant bed.",
    ]
    stations = section(text, "Inoculate 20 logs: Oak stack").splitlines()
    assert [re.split(r"\s{2,}", line.strip())[0] for line in stations if re.match(r" {2,3}\d", line)] == [
        "0:00", "0:30", "2:10", "2:50", "3:20", "4:00",
    ]  # fmt: skip
    assert any("2:50" in line and "The wax goes on the heat" in line for line in stations)
    assert section(text, "Spawn").splitlines() == [
        "  - logs 1 to 20 from SHI-Sa/1",
        "  - closed as long as the others are enough: SHI-Sa/2-3",
    ]
    assert "  - 2 lb wax" in section(text, "Bring").splitlines()
    assert "1/2 in: holes for sawdust" in section(text, "At hand")
    assert "Hot wax" in section(text, "Mind") and "Drilling" in section(text, "Mind")


def test_the_rain_day_says_what_must_be_true() -> None:
    """Until when spawn, wood and window hold, and that the hours of that day are too few."""
    lines = section(page(plan_of("backyard"), width=120), "Rain day for Oak stack: Sun 16 May")
    oak = plan_of("backyard").plantings[0]
    assert oak.spawn_until is not None and oak.wood_until is not None
    assert "The spawn is good until Fri 6 Aug, closed and back in the fridge." in lines
    assert "The wood is fresh and moist enough until Tue 13 Jul, in the shade." in lines
    assert "The window is open until Mon 31 May." in lines
    assert "4 h 40 of hands are needed and 4 h are there: ask for help on that day as well" in lines
    plan = plan_of("backyard")
    more = replace(plan, plantings=(replace(oak, fallback_minutes=600), *plan.plantings[1:]))
    assert "10 h are there; nothing is reserved, so keep the day free." in page(more, width=120)


def test_without_a_rain_day_it_says_what_to_do() -> None:
    """Nothing later fits: there is a roof."""
    plan = plan_of("backyard")
    none = replace(plan, plantings=(replace(plan.plantings[0], fallback_on=None), *plan.plantings[1:]))
    assert "plant under a roof" in section(page(none, width=120), "Rain day for Oak stack: none")


def test_helpers_teams_and_drills_are_told() -> None:
    """The market's day: five people, two at the drills, the rest share a team; three plantings after another."""
    plan = plan_of("market")
    day = next(day for day in plan.planting_days if day.help)
    text = page(plan, day, width=100)
    assert "people  you for 8 h, 4 helpers for 7 h" in text
    assert "drill: 2 at a time, since there are 2 drills." in text
    assert text.count("  the same  ") == 6
    assert text.count("The wax goes on the heat") == 2
    totals = section(text, "Bring").splitlines()
    assert "  - 112 x label" in totals, "all plantings together"
    assert len(totals) == len(set(totals))


@pytest.mark.parametrize("name", ["backyard", "market", "south", "cold-room"])
@pytest.mark.parametrize("width", [60, 80, 100])
def test_no_line_is_too_long(name: str, width: int) -> None:
    """Every day of every example stays within the page, and no line ends in spaces."""
    plan = plan_of(name)
    assert plan.planting_days
    for line in page(plan, *plan.planting_days, width=width).splitlines():
        assert cell_len(line) <= width
        assert line == line.rstrip()


def test_hours_that_are_too_few_are_told() -> None:
    """A day that at the most is too long, and one that only fits when people move on, have a hint each."""
    (day, *_) = plan_of("backyard").planting_days
    assert list(hints(replace(day, own_minutes=800))) == []
    assert "At the most" in " ".join(hints(replace(day, own_minutes=300)))
    helped = replace(day, own_minutes=120, help=(Helpers(2, 100),))
    assert "whoever is free moves on" in " ".join(hints(helped))
    assert "All hands together need 1 h 30." in " ".join(hints(helped))
    assert people(replace(day, own_minutes=0)) == "nobody is named"
    assert people(helped, "the host") == "the host for 2 h, 2 helpers for 1 h 40"


# -- the calendar for helpers ----------------------------------------------------------------------------


def file_of(plan: Plan, shown: list[Piece], title: str = "") -> bytes:
    """A file of events as it is written the first time."""
    when = When(datetime(2026, 11, 28, 9, tzinfo=UTC), date(2026, 11, 28))
    return calendar(plan, shown, revised({}, [piece.shown for piece in shown], "VEVENT", when), title)


def helpers_file(plan: Plan) -> bytes:
    """The calendar for helpers."""
    return file_of(plan, pieces(plan, "VEVENT", of=items(plan)), "planting days")


def events(data: bytes) -> dict[str, tuple[date, str, str]]:
    """Day, status and summary of each event by its identity."""
    return {
        str(event["UID"]): (event["DTSTART"].dt, str(event["STATUS"]), str(event["SUMMARY"]))
        for event in Calendar.from_ical(data).walk("VEVENT")
    }


@pytest.mark.parametrize("name", ["backyard", "market"])
def test_it_holds_planting_days_and_tentative_rain_days(name: str) -> None:
    """One event for each planting task, one for each rain day; nothing else, and nothing wrong with the file."""
    plan = plan_of(name)
    data = helpers_file(plan)
    assert faults(data) == []
    found = sorted(events(data).values())
    tasks = [(task.on, "CONFIRMED", f"Planting: {task.title}") for task in plan.tasks if task.kind == "plant"]
    rain = [(p.fallback_on, "TENTATIVE", f"Rain day: {p.name}") for p in plan.plantings if p.fallback_on]
    assert found == sorted([*tasks, *rain])  # type: ignore[type-var]
    assert counted(plan) == f"{len(tasks)} planting days and {len(rain)} rain days"


def test_both_calendars_can_be_followed_at_once() -> None:
    """No identity is in both, and the names differ."""
    plan = plan_of("market")
    own, helping = file_of(plan, pieces(plan, "VEVENT")), helpers_file(plan)
    assert not events(own).keys() & events(helping).keys()
    assert b"X-WR-CALNAME:Millrace market garden\\, 2027: planting days" in helping.replace(b"\r\n ", b"")
    assert b"planting days" not in own.split(b"BEGIN:VEVENT")[0]


def test_an_event_keeps_its_identity_when_its_day_moves() -> None:
    """A planting put off by a week is the same event, and so is its rain day."""
    plan, week = plan_of("backyard"), timedelta(days=7)
    later = replace(
        plan,
        planting_days=tuple(replace(day, on=day.on + week) for day in plan.planting_days),
        plantings=tuple(
            replace(p, fallback_on=p.fallback_on and p.fallback_on + week) for p in plan.plantings
        ),
    )
    was, now = events(helpers_file(plan)), events(helpers_file(later))
    assert was.keys() == now.keys()
    assert all(now[name][0] - was[name][0] == week for name in was)


def test_an_event_says_when_to_begin_and_what_to_mind() -> None:
    """Who is there, how the day begins, stations, spawn, tools, cautions and the rain day stand in its text."""
    plan = plan_of("market")
    data = Calendar.from_ical(helpers_file(plan))
    texts = {str(event["SUMMARY"]): str(event["DESCRIPTION"]) for event in data.walk("VEVENT")}
    first = texts["Planting: Inoculate 60 logs: Long yard, oak"]
    second = texts["Planting: Inoculate 40 logs: Brook side, maple"]
    assert "There: the host for 8 h, 4 helpers for 7 h." in first
    assert "Start: at once, with set up: Trestles, wax pot" in first
    assert "0:00 The wax goes on the heat." in first
    assert re.search(r"drill \(2 people, 5 h of hands\)", first)
    assert "Spawn: logs 1 to 20 from SCW-Sa/1; " in first
    assert "At hand: wax pot" in first and "Caution: Hot wax" in first
    assert "Rain day: Sun 18 Apr 2027." in first
    assert re.search(r"Start: after Long yard, oak, about \d:\d\d into the day", second)
    assert "Only if Long yard, oak cannot be planted as planned" in texts["Rain day: Long yard, oak"]


def test_a_plan_of_an_older_version_has_nothing_for_helpers() -> None:
    """It knew no running order."""
    assert items(replace(plan_of("backyard"), planting_days=())) == []


def test_it_is_the_same_for_a_plan_read_back() -> None:
    """The document holds all that view and calendar need."""
    plan = plan_of("market")
    read = from_json(to_json(plan))
    assert read == plan
    assert helpers_file(read) == helpers_file(plan)
    assert page(read, *read.planting_days) == page(plan, *plan.planting_days)
