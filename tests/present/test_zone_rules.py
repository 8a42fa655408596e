"""A time zone is written with yearly rules, and a program that knows no other zones reads the world's from it."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from io import StringIO
from zoneinfo import ZoneInfo

import pytest
from dateutil.tz import tzical

from scheduler.present.calendar_lines import components, unfolded
from scheduler.present.zone_check import Zone
from scheduler.present.zone_rules import vtimezone

SEASONS = [
    ("America/New_York", 2026),
    ("America/New_York", 2006),  # the Energy Policy Act of 2005 moved both changes in 2007
    ("America/St_Johns", 2026),  # three and a half hours behind
    ("America/Santiago", 2026),
    ("America/Asuncion", 2024),  # stayed in summer from 2024 on
    ("America/Mexico_City", 2022),  # gave summer time up
    ("Europe/Berlin", 2026),
    ("Europe/London", 1996),
    ("Europe/Dublin", 2026),  # its winter is a step back from summer
    ("Europe/Istanbul", 2016),  # stayed in summer
    ("Europe/Volgograd", 2018),  # changed its standard time twice
    ("Europe/Volgograd", 2020),
    ("Africa/Casablanca", 2026),  # summer time by the moon
    ("Africa/Cairo", 2023),  # took summer time up again
    ("Asia/Kolkata", 2026),
    ("Asia/Kathmandu", 2026),  # five hours and three quarters ahead
    ("Asia/Tehran", 2021),  # by another calendar, then given up
    ("Asia/Amman", 2022),
    ("Asia/Jerusalem", 2026),
    ("Australia/Lord_Howe", 2026),  # half an hour of summer time
    ("Australia/Adelaide", 2026),
    ("Australia/Brisbane", 2026),
    ("Pacific/Auckland", 2026),
    ("Pacific/Chatham", 2026),
    ("Pacific/Apia", 2011),  # left out a day
    ("Antarctica/Troll", 2026),  # two hours of summer time
    ("UTC", 2026),
]
"""Zones, and the autumn with which a season begins that sees both changes of the clocks."""


def text_of(name: str, first: date, last: date) -> str:
    """The component as lines."""
    return "".join(f"{line}\r\n" for line in vtimezone(name, first, last))


@pytest.mark.parametrize(("name", "year"), SEASONS, ids=lambda value: str(value))
def test_every_hour_of_a_season_is_as_in_the_world(name: str, year: int) -> None:
    """From September to the December after next: our own reader and one of another library agree with the zone."""
    first, last = date(year, 9, 1), date(year + 1, 12, 31)
    text = text_of(name, first, last)
    [[component, *_], misfits] = components(unfolded(text.encode()))
    assert misfits == []
    own, other, world = Zone.read(component), tzical(StringIO(text)).get(name), ZoneInfo(name)
    moment = datetime(first.year, first.month, first.day, tzinfo=UTC)
    hours = 0
    while moment.date() <= last:
        local = moment.astimezone(world)
        if not local.fold:  # a local time that comes twice means the first one
            wall = local.replace(tzinfo=None)
            assert own.offset(wall) == local.utcoffset(), wall
            assert wall.replace(tzinfo=other).utcoffset() == local.utcoffset(), wall
            hours += 1
        moment += timedelta(minutes=30)
    assert hours > 20_000


@pytest.mark.parametrize(("name", "year"), SEASONS, ids=lambda value: str(value))
def test_there_are_no_lists_of_dates(name: str, year: int) -> None:
    """Only rules and single onsets, each with both offsets, a name and no comment."""
    text = text_of(name, date(year, 9, 1), date(year + 1, 12, 31))
    assert "RDATE" not in text
    assert "COMMENT" not in text
    onsets = text.count("BEGIN:STANDARD") + text.count("BEGIN:DAYLIGHT")
    assert onsets == text.count("TZOFFSETFROM:") == text.count("TZOFFSETTO:") == text.count("TZNAME:") >= 1


def test_the_rules_are_the_published_ones() -> None:
    """The European Union: last Sundays of March and October, 01:00 UTC (Directive 2000/84/EC)."""
    text = text_of("Europe/Berlin", date(2026, 11, 1), date(2027, 11, 30))
    assert (
        "T020000\r\nTZOFFSETFROM:+0100\r\nTZOFFSETTO:+0200\r\nTZNAME:CEST\r\nRRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=-1SU\r\n"
        in text
    )
    assert (
        "T030000\r\nTZOFFSETFROM:+0200\r\nTZOFFSETTO:+0100\r\nTZNAME:CET\r\nRRULE:FREQ=YEARLY;BYMONTH=10;BYDAY=-1SU\r\n"
        in text
    )


def test_a_rule_that_ended_has_an_end() -> None:
    """The United States until 2006: first Sunday of April, last of October; from 2007 on another rule."""
    text = text_of("America/New_York", date(2006, 9, 1), date(2007, 6, 30))
    assert "RRULE:FREQ=YEARLY;BYMONTH=4;BYDAY=1SU;UNTIL=20061231T235959Z" in text
    assert "RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=2SU\r\n" in text


def test_what_is_no_zone_is_told() -> None:
    """A zone that the world does not know, one with no offsets, and one with nonsense in it."""
    text = text_of("Europe/Berlin", date(2026, 11, 1), date(2027, 11, 30))
    for old, new in (
        ("TZID:Europe/Berlin", "TZID:Mars/Dome"),
        ("TZOFFSETTO:+0200", "TZOFFSETTO:+two"),
        ("DTSTART:2025", "DTSTART:20x5"),
        (text[text.index("BEGIN:DAYLIGHT") : text.index("END:VTIMEZONE")], ""),
    ):
        assert old in text
        [[component, *_], _] = components(unfolded(text.replace(old, new, 1).encode()))
        with pytest.raises(ValueError, match="time zone"):
            Zone.read(component)


def test_times_that_are_not_there() -> None:
    """An hour that the clocks leave out is wrong, and so is one before the file's first onset."""
    text = text_of("Europe/Berlin", date(2026, 11, 1), date(2027, 11, 30))
    [[component, *_], _] = components(unfolded(text.encode()))
    zone = Zone.read(component)
    assert zone.is_right("20270328T013000")
    assert not zone.is_right("20270328T023000")
    assert not zone.is_right("20200101T120000")
