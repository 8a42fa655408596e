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
        for event in read.contents.get("vevent", [])
    }


def by_ical(data: bytes) -> Read:
    """Reads with another independent parser, strict about types."""
    read: Any = IcsCalendarStream.calendar_from_ics(data.decode())
    return {
        str(event.uid): (event.dtstart, event.dtend, str(event.summary), str(event.description))
        for event in read.events
    }


ReadToDos = dict[str, tuple[date, str, str, str]]
"""Per UID: the day on which it is due, its status, summary, description."""


def to_dos_by_icalendar(data: bytes) -> ReadToDos:
    """The to-dos, read with the library that also writes."""
    read: Any = icalendar.Calendar.from_ical(data)
    assert not read.errors
    read.validate()
    return {
        str(one["UID"]): (one["DUE"].dt, str(one["STATUS"]), str(one["SUMMARY"]), str(one["DESCRIPTION"]))
        for one in read.walk("VTODO")
    }


def to_dos_by_vobject(data: bytes) -> ReadToDos:
    """The to-dos, read with the parser behind a CalDAV server."""
    read = vobject.readOne(data.decode())
    read.validate(raiseException=True)
    return {
        one.uid.value: (one.due.value, one.status.value, one.summary.value, one.description.value)
        for one in read.contents.get("vtodo", [])
    }


def to_dos_by_ical(data: bytes) -> ReadToDos:
    """The to-dos, read with the parser that is strict about types."""
    read: Any = IcsCalendarStream.calendar_from_ics(data.decode())
    return {
        str(one.uid): (one.due, str(one.status.value), str(one.summary), str(one.description))
        for one in read.todos
    }


TO_DO_READERS: dict[str, Callable[[bytes], ReadToDos]] = {
    "icalendar": to_dos_by_icalendar,
    "vobject": to_dos_by_vobject,
    "ical": to_dos_by_ical,
}

READERS: dict[str, Callable[[bytes], Read]] = {
    "icalendar": by_icalendar,
    "vobject": by_vobject,
    "ical": by_ical,
}
