"""Work with a time of day: one task after the other, right on both sides of every change of the clocks."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import icalendar
import pytest
import vobject
from ical.calendar_stream import IcsCalendarStream

from scheduler.plan import DayStart, Plan, Task
from scheduler.present.calendar_check import faults
from scheduler.present.calendar_items import items
from scheduler.workdays import WEEKDAYS
from tests.present.exports import calendar
from tests.present.readers import READERS, TO_DO_READERS
from tests.sample import SEASON, TASKS, sample_plan


def timed(*tasks: Task, zone: str = "America/Toronto", **at: str) -> Plan:
    """The sample with these tasks, beginning at these hours."""
    begins = tuple(DayStart(day, at[day]) for day in WEEKDAYS if day in at)
    return replace(
        sample_plan(), tasks=tasks or TASKS, orders=(), season=replace(SEASON, timezone=zone, at=begins)
    )


def task(name: str, on: date, minutes: int) -> Task:
    """One task of so many minutes."""
    return replace(TASKS[1], id=name, title=name, on=on, minutes=minutes, after=())


def hours(plan: Plan) -> dict[str, tuple[datetime, datetime] | None]:
    """Begin and end of each task."""
    return {item.name: item.hours for item in items(plan)}


def read(data: bytes, zone: str = "America/Toronto") -> list[dict[str, tuple[datetime, datetime]]]:
    """Begin and end in UTC by summary, as three programs read them.

    The first is given a name that it has no zone of its own for, and so goes by the file's rules. The second
    goes by a table of its own that has the summer time of Morocco upside down.
    """
    unknown = data.replace(zone.encode(), f"Season/{zone}".encode())
    by_icalendar: Any = icalendar.Calendar.from_ical(unknown)
    by_ical: Any = IcsCalendarStream.calendar_from_ics(data.decode())
    found = [
        {str(e["SUMMARY"]): _utc(e.start, e.end) for e in by_icalendar.walk("VEVENT")},
        {str(e.summary): _utc(e.dtstart, e.dtend) for e in by_ical.events},
    ]
    if zone != "Africa/Casablanca":
        events = vobject.readOne(data.decode()).vevent_list
        found.append({e.summary.value: _utc(e.dtstart.value, e.dtend.value) for e in events})
    return found


def _utc(*moments: datetime) -> tuple[datetime, datetime]:
    first, last = (moment.astimezone(UTC) for moment in moments)
    return first, last


SATURDAY = date(2027, 1, 30)


def test_tasks_of_a_day_follow_each_other() -> None:
    """From the hour that is said, each with its hands-on minutes; days without an hour stay whole days."""
    plan = timed(
        task("a", SATURDAY, 45), task("b", SATURDAY, 2), task("c", SATURDAY, 90),
        task("sunday", SATURDAY + timedelta(days=1), 30), sat="09:00",
    )  # fmt: skip
    found = {name: one and [f"{moment:%H:%M}" for moment in one] for name, one in hours(plan).items()}
    assert found == {
        "a": ["09:00", "09:45"],
        "b": ["09:45", "09:50"],
        "c": ["09:50", "11:20"],
        "sunday": None,
    }
    assert faults(calendar(plan)) == []


def test_what_would_go_on_after_midnight_has_its_day_alone() -> None:
    """Fourteen hours with helpers are no hours of one clock; what fits after it still has its own."""
    found = hours(timed(task("long", SATURDAY, 900), task("short", SATURDAY, 30), sat="12:00"))
    assert found["long"] is None
    assert found["short"] is not None


def test_orders_and_to_dos_have_days_only() -> None:
    """A shop is asked on a day, and a to-do is due on one."""
    plan = replace(timed(wed="09:00", sat="09:00"), orders=sample_plan().orders)
    assert b"SUMMARY:Order by today" in calendar(plan)
    assert b"DTSTART;VALUE=DATE:20270120" in calendar(plan)
    data = calendar(plan, "VTODO")
    assert b"TZID" not in data
    for reader in TO_DO_READERS.values():
        assert {(due, status) for due, status, *_ in reader(data).values()} == {
            (date(2027, 1, 30), "NEEDS-ACTION"),
            (date(2027, 1, 29), "NEEDS-ACTION"),
            (date(2027, 4, 24), "NEEDS-ACTION"),
            (date(2027, 1, 20), "NEEDS-ACTION"),
            (date(2026, 11, 28), "NEEDS-ACTION"),
        }


ZONES = [
    "America/Toronto", "America/St_Johns", "America/Santiago", "Europe/Berlin", "Europe/Dublin",
    "Africa/Casablanca", "Asia/Kolkata", "Australia/Lord_Howe", "Australia/Adelaide", "Pacific/Auckland",
    "Pacific/Chatham", "UTC",
]  # fmt: skip


def weekly(zone: str) -> tuple[bytes, dict[str, tuple[datetime, datetime]]]:
    """A file with every Saturday of a season at nine, and the hours of each in UTC, by its title."""
    first = date(2026, 9, 5)
    days = [first + timedelta(days=7 * week) for week in range(60)]
    plan = timed(*(task(f"week {n}", day, 45) for n, day in enumerate(days)), zone=zone, sat="09:00")
    there = ZoneInfo(zone)
    return calendar(plan, alarm="evening before"), {
        f"week {n}": _utc(datetime.combine(day, time(9), there), datetime.combine(day, time(9, 45), there))
        for n, day in enumerate(days)
    }


@pytest.mark.parametrize("zone", ZONES)
def test_every_week_of_a_season_is_at_its_hour_in_every_program(zone: str) -> None:
    """Through both changes of the clocks: what programs show is nine o'clock where the season is."""
    data, wanted = weekly(zone)
    assert faults(data) == []
    for found in read(data, zone):
        assert found == wanted


NIGHTS = [
    ("America/Toronto", date(2027, 3, 14), "02:30", "2027-03-14T07:30+00:00"),  # the clocks leave it out
    ("America/Toronto", date(2027, 11, 7), "01:30", "2027-11-07T05:30+00:00"),  # it comes twice
    ("Australia/Lord_Howe", date(2027, 4, 4), "01:15", "2027-04-03T14:15+00:00"),
]
"""Hours in the night in which clocks are changed, and when they begin in UTC."""


@pytest.mark.parametrize(("zone", "on", "at", "begins"), NIGHTS)
def test_hours_on_the_night_of_a_change(zone: str, on: date, at: str, begins: str) -> None:
    """An hour that is not is the next one, of two the first; four tasks pass through the change in an unbroken row."""
    plan = timed(*(task(name, on, 30) for name in "abcd"), zone=zone, sun=at)
    data = calendar(plan)
    assert faults(data) == []
    for found in read(data, zone):
        moments = sorted(found.values())
        assert moments[0][0].isoformat(timespec="minutes") == begins
        assert [end - begin for begin, end in moments] == 4 * [timedelta(minutes=30)]
        assert [end for _, end in moments[:-1]] == [begin for begin, _ in moments[1:]]


def test_hours_that_come_twice_are_written_in_utc() -> None:
    """A local time that comes twice means the first, so the second is told by the time of the world.

    The first is as well: ical.js 2.2.1 and libical 3.0.16 take some of them for the second.
    """
    plan = timed(*(task(name, date(2027, 11, 7), 30) for name in "abcdef"), sun="00:00")
    events = calendar(plan).partition(b"END:VTIMEZONE")[2]
    starts = [line for line in events.split(b"\r\n") if line.startswith(b"DTSTART")]
    assert sorted(starts) == [
        b"DTSTART:20271107T043000Z",  # it ends at the first one o'clock
        b"DTSTART:20271107T050000Z",
        b"DTSTART:20271107T053000Z",
        b"DTSTART:20271107T060000Z",  # the second one
        b"DTSTART:20271107T063000Z",
        b"DTSTART;TZID=America/Toronto:20271107T000000",
    ]


def test_a_season_in_utc_needs_no_zone() -> None:
    """Its hours are written as such."""
    data = calendar(timed(zone="UTC", sat="09:00"))
    assert faults(data) == []
    assert b"DTSTART:20270130T090000Z" in data
    assert b"VTIMEZONE" not in data


@pytest.mark.parametrize("words", ["evening before", "morning", "2 h before", "30 min before", "1 d before"])
@pytest.mark.parametrize("at", [{}, {"sat": "09:00"}], ids=["days", "hours"])
def test_alarms_are_read_by_every_program(words: str, at: dict[str, str]) -> None:
    """Events and to-dos with an alarm each are sound, and say the same apart from it."""
    plan = replace(timed(**at), orders=sample_plan().orders)
    for kind, readers in (("VEVENT", READERS), ("VTODO", TO_DO_READERS)):
        data = calendar(plan, kind, words)  # type: ignore[arg-type]
        assert faults(data) == []
        assert data.count(b"BEGIN:VALARM") == 5
        for name, reader in readers.items():
            assert reader(data) == reader(calendar(plan, kind)), name  # type: ignore[arg-type]


def test_alarms_keep_their_ids() -> None:
    """A moved task has a moved alarm, not another one; an event and a to-do have one each."""

    def ids(data: bytes) -> set[bytes]:
        return {
            part.split(b"\r\n")[0] for part in data.replace(b"\r\nBEGIN:VALARM", b"").split(b"\r\nUID:")[1:]
        }

    plan = timed()
    moved = replace(plan, tasks=tuple(replace(one, on=one.on + timedelta(days=7)) for one in plan.tasks))
    events = ids(calendar(plan, alarm="morning"))
    assert len(events) == 6
    assert events == ids(calendar(moved, alarm="2 h before"))
    assert not events & ids(calendar(plan, "VTODO", alarm="morning"))
