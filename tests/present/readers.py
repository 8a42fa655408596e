"""Three programs that read calendar files; two of them share no code with what writes ours."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import icalendar
import vobject
from ical.calendar_stream import IcsCalendarStream

Read = dict[str, tuple[date, date, str, str]]
"""Per UID: first day, day after the last, summary, description."""


def by_icalendar(data: bytes) -> Read:
    """Reads with the library that also writes; refuses what it complains about or leaves undone."""
    read: Any = icalendar.Calendar.from_ical(data)
    assert not read.errors
    read.validate()
    events = {}
    for event in read.walk("VEVENT"):
        assert not event.errors
        assert event["DTSTAMP"].dt
        events[str(event["UID"])] = (event.start, event.end, str(event["SUMMARY"]), str(event["DESCRIPTION"]))
    return events


def by_vobject(data: bytes) -> Read:
    """Reads with an independent parser, the one behind a CalDAV server."""
    read = vobject.readOne(data.decode())
    read.validate(raiseException=True)
    return {
        event.uid.value: (
            event.dtstart.value,
            event.dtend.value,
            event.summary.value,
            event.description.value,
        )
        for event in read.vevent_list
    }


def by_ical(data: bytes) -> Read:
    """Reads with another independent parser, strict about types."""
    read: Any = IcsCalendarStream.calendar_from_ics(data.decode())
    return {
        str(event.uid): (event.dtstart, event.dtend, str(event.summary), str(event.description))
        for event in read.events
    }


READERS: dict[str, Callable[[bytes], Read]] = {
    "icalendar": by_icalendar,
    "vobject": by_vobject,
    "ical": by_ical,
}
