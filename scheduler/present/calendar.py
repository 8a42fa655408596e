"""A plan as iCalendar files: each task and each order is one event, or one to-do.

Written for subscribing. The identity of an entry comes from the season and the task, never from its day or
wording, so a moved task moves in every calendar that follows the file; its number and moments come from the
ledger, so that programs see the move. RFC numbers stand where a rule is not obvious. An equal plan with an
equal ledger gives equal bytes.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, timedelta
from functools import reduce
from typing import Any
from uuid import UUID, uuid5

from icalendar import Alarm as Ring
from icalendar import Calendar, Component, Event, Todo, vDuration, vText

from scheduler.ledger import Kind, Ledger, Row, Shown
from scheduler.plan import Plan
from scheduler.present.alarms import Alarm
from scheduler.present.calendar_items import Hours, Item, items, one_line
from scheduler.present.calendar_lines import components, folded, sha
from scheduler.present.zone_rules import vtimezone
from scheduler.workdays import ONE_DAY

NAMESPACE = UUID("3d0c8a5e-6f2b-5d41-9c7a-b1e4f0a29d66")
"""Under which the ids of all entries are made. Never changed: calendars would show every entry twice."""

PRODID = "-//Budswell//Season calendar//EN"
SEASON = "X-BUDSWELL-SEASON"
"""Property of a file that says which season it is of."""
REFRESH = timedelta(hours=6)
_END = b"END:VCALENDAR\r\n"
_ESCAPES = (("\r", ""), ("\\", r"\\"), (";", r"\;"), (",", r"\,"), ("\n", r"\n"))
"""Of a text (section 3.3.11), in the order in which they are put in."""


@dataclass(frozen=True)
class Piece:
    """One entry of a file, all but its number and moments."""

    shown: Shown
    body: bytes
    """Its component as in the file."""
    hours: Hours | None = None


def uid(season_id: str, name: str, kind: str) -> str:
    """The id of an entry: an event and a to-do of one task have two, as RFC 4791 section 4.1 asks."""
    return str(uuid5(NAMESPACE, json.dumps([season_id, name, kind])))


def pieces(
    plan: Plan, kind: Kind, alarm: Alarm | None = None, of: Iterable[Item] | None = None
) -> list[Piece]:
    """Every task and order of a plan, or the items `of` it, as events or to-dos, sorted by their ids."""
    found = (_piece(plan, item, kind, alarm) for item in (items(plan) if of is None else of))
    return sorted(found, key=lambda piece: piece.shown.uid)


def farewell(row: Row, done: bool) -> Piece | None:
    """What a file that is imported once says of an entry that left the plan; None where it says nothing.

    What was done, or lies behind, stays as it is among the events of a calendar; a to-do that was done is
    ticked off. All else is cancelled: leaving it out deletes nothing where a file is imported.
    """
    shown = row.shown
    if row.removed_on is None or (shown.kind == "VEVENT" and (done or shown.last < row.removed_on)):
        return None
    component = _component(shown.kind, shown.uid, shown.first, shown.last, None)
    component.add("summary", shown.summary if done else f"Cancelled: {shown.summary}")
    component.add("description", "This is done." if done else "This is no longer part of the plan.")
    component.add("categories", [shown.category])
    component.add("status", "COMPLETED" if done else "CANCELLED")
    if done:
        component.add("completed", row.modified)
        component.add("percent-complete", 100)
    return Piece(shown, folded(content_lines(component)))


def calendar(plan: Plan, entries: Iterable[Piece], ledger: Ledger, title: str = "") -> bytes:
    """An iCalendar file (RFC 5545, RFC 7986) of some entries, numbered by the ledger.

    A `title` tells a file from others of the same season. Without entries the file holds the time zone
    alone, since a calendar has to hold something (RFC 5545 section 3.6).
    """
    entries = sorted(entries, key=lambda piece: piece.shown.uid)
    zone = folded(_zone(plan, entries))
    numbered = (_numbered(piece, ledger[piece.shown.uid]) for piece in entries)
    return _head(plan, title).removesuffix(_END) + zone + b"".join(numbered) + _END


def content_lines(component: Component) -> list[str]:
    """A component as lines that are not folded yet.

    The library's own way takes a third of a long export's time, and makes a line break of a backslash before
    an N.
    """
    found = []
    properties: list[tuple[str, Any]] = component.property_items()
    for name, value in properties:
        if type(value) is vText:
            written = reduce(lambda text, escape: text.replace(*escape), _ESCAPES, str(value))
        else:
            written = (value if isinstance(value, bytes) else value.to_ical()).decode()
        parameters = value.params.to_ical().decode() if getattr(value, "params", None) else ""
        found.append(f"{name};{parameters}:{written}" if parameters else f"{name}:{written}")
    return found


def season_mark(season_id: str) -> str:
    """By which a file of a season is known again."""
    return uid(season_id, "", "VCALENDAR")


def _head(plan: Plan, title: str) -> bytes:
    result = Calendar()
    result.add("prodid", PRODID)
    result.add("version", "2.0")
    result.add("calscale", "GREGORIAN")
    season = one_line(plan.season.name)
    name = f"{season}: {title}" if title else season
    for key in ("name", "x-wr-calname"):
        result.add(key, vText(name))  # which the library takes for no text by itself
    stopped = ", of a search that was interrupted" if plan.status == "stopped" else ""
    result.add("description", f"Work and order days of {season}{stopped}")
    result.add("color", "olivedrab")
    # The library leaves out VALUE, which RFC 7986 section 5.7 requires.
    result.add("refresh-interval", REFRESH, parameters={"VALUE": "DURATION"})
    result.add("x-published-ttl", vDuration(REFRESH))
    result.add(SEASON, season_mark(plan.season.id))
    return folded(content_lines(result))


def _zone(plan: Plan, entries: Sequence[Piece]) -> list[str]:
    """The time zone, where an entry has hours in it or there is no entry at all."""
    days = [day for piece in entries for day in (piece.shown.first, piece.shown.last)]
    if entries and not any(piece.hours and not _in_utc(piece.hours) for piece in entries):
        return []
    today = plan.season.today
    return vtimezone(plan.season.timezone, min([today, *days]), max([today, *days]))


def _piece(plan: Plan, item: Item, kind: Kind, alarm: Alarm | None) -> Piece:
    known = uid(plan.season.id, item.name, kind)
    hours = item.hours if kind == "VEVENT" and item.first == item.last else None
    component = _component(kind, known, item.first, item.last, hours)
    component.add("summary", item.summary)
    component.add("description", item.text)
    component.add("categories", list(item.categories))
    taken = "TENTATIVE" if item.tentative else "CONFIRMED"
    component.add("status", taken if kind == "VEVENT" else "NEEDS-ACTION")
    if kind == "VTODO":
        component.add("priority", item.priority)
    if alarm:
        component.add_component(_ring(plan, item, kind, alarm, hours))
    lines = content_lines(component)
    [[found, *_], _] = components(enumerate(lines))
    shown = Shown(known, kind, item.name, sha(found), item.summary, item.categories[0], item.first, item.last)
    return Piece(shown, folded(lines), hours)


def _component(kind: Kind, known: str, first: date, last: date, hours: Hours | None) -> Event | Todo:
    """An entry with its id and its days or hours."""
    component = Event() if kind == "VEVENT" else Todo()
    component.add("uid", known)
    if kind == "VTODO":
        # DUE has to be later than DTSTART (section 3.8.2.3), so what takes one day has no beginning.
        if first < last:
            component.add("dtstart", first)
        component.add("due", last)
        return component
    begin, end = hours or (first, last + ONE_DAY)
    # The end is exclusive (section 3.6.1), and written out because some programs need it.
    as_written = [one.astimezone(UTC) for one in hours] if hours and _in_utc(hours) else [begin, end]
    component.add("dtstart", as_written[0])
    component.add("dtend", as_written[1])
    # A day with work on it is not a day on which nothing else can be arranged; an hour is.
    component.add("transp", "OPAQUE" if hours else "TRANSPARENT")
    component.add("x-microsoft-cdo-busystatus", "BUSY" if hours else "FREE")
    return component


def _in_utc(hours: Hours) -> bool:
    """Whether hours are written in UTC: where that is the zone, and where clocks show an hour twice.

    A local time that comes twice means the first one (section 3.3.5); the second has no other form, and some
    programs take the first for the second where clocks are changed by half an hour.
    """
    return any(
        str(one.tzinfo) in ("UTC", "Etc/UTC") or one.utcoffset() != one.replace(fold=1 - one.fold).utcoffset()
        for one in hours
    )


def _ring(plan: Plan, item: Item, kind: Kind, alarm: Alarm, hours: Hours | None) -> Ring:
    ring = Ring()
    ring.add("uid", uid(plan.season.id, item.name, f"{kind} VALARM"))
    ring.add("action", "DISPLAY")
    ring.add("description", item.summary)
    ahead = alarm.before(hours[0]) if hours else alarm.before_day()
    # Without a beginning there is only the end to count from (section 3.8.6.3).
    at_end = {"RELATED": "END"} if kind == "VTODO" and item.first == item.last else {}
    ring.add("trigger", ahead, parameters=at_end)
    return ring


def _numbered(piece: Piece, row: Row) -> bytes:
    """The component of an entry with its stamps after its id; they are plain letters, and short.

    Without METHOD, DTSTAMP is when the data was last revised (section 3.8.7.2), not when it was written.
    """
    own = f"\r\nUID:{piece.shown.uid}\r\n".encode()
    # %Y alone leaves out the zeros before a year on some machines.
    modified, created = (f"{one.year:04}{one:%m%dT%H%M%SZ}" for one in (row.modified, row.created))
    stamps = (
        f"DTSTAMP:{modified}\r\nSEQUENCE:{row.sequence}\r\nCREATED:{created}\r\nLAST-MODIFIED:{modified}\r\n"
    )
    return piece.body.replace(own, own + stamps.encode(), 1)
