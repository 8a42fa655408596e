"""One entry of a plan beside the same entry on a server, where people and other programs write into it, too.

What the export writes is ours; everything else in an entry stays as it is, and so does that it is ticked off.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from icalendar import Calendar, Component

from scheduler.ledger import HIGHEST, Row, When
from scheduler.plan import Plan
from scheduler.present.calendar import Piece, calendar, content_lines, uid
from scheduler.present.calendar_check import RULES
from scheduler.present.calendar_lines import STAMPS, folded

_HEAD = ("PRODID", "VERSION", "CALSCALE")
_TICK = ("COMPLETED", "PERCENT-COMPLETE")
_OPEN = ("", "NEEDS-ACTION")


def entry(data: bytes) -> Component | None:
    """The event or to-do of a resource; None where it is more than one, or cannot be read."""
    try:
        found = Calendar.from_ical(data.decode())
    except (ValueError, TypeError):  # as the library takes what does not go together
        return None
    parts = [part for part in found.subcomponents if part.name in ("VEVENT", "VTODO")]
    return parts[0] if len(parts) == 1 and not parts[0].errors else None


def status(theirs: Component) -> str:
    """The STATUS of an entry; empty where it has none."""
    return str(theirs.get("STATUS", "")).upper()


def ticked_on(theirs: Component, timezone: str, otherwise: date) -> date | None:
    """Day, in a time zone, on which a to-do was ticked off; None where it is not."""
    if status(theirs) != "COMPLETED":
        return None
    found = getattr(theirs.get("COMPLETED"), "dt", None)
    if isinstance(found, datetime):
        with suppress(OverflowError):  # the first and the last day of all times are no day of a season
            found = found.astimezone(ZoneInfo(timezone)) if found.tzinfo else found
        return found.date()
    return found if isinstance(found, date) else otherwise


def above(row: Row, theirs: Component, when: When) -> Row | None:
    """The row with a number above that on the server, which other programs have raised, perhaps.

    None where it has several, or one from which nobody can count on.
    """
    known = theirs.get("SEQUENCE", 0)
    if not isinstance(known, int) or known > HIGHEST:
        return None
    if row.sequence > known:
        return row
    later = max(when.moment.replace(microsecond=0), row.modified + timedelta(seconds=1))
    return replace(row, sequence=known + 1, modified=later)


def is_same(plan: Plan, piece: Piece, row: Row, theirs: Component) -> bool:
    """Whether the server shows what the plan says, whatever else it shows."""
    mine = _parsed(plan, piece, row)[1]
    names = [
        name
        for name in _ours(piece.shown.kind)
        if name != "STATUS" or status(theirs) in _OPEN or mine.name == "VEVENT"
    ]
    alarm = _alarm(plan, piece)
    return all(_seen(mine, name) == _seen(theirs, name) for name in names) and [
        _seen(ring, "TRIGGER") for ring in _rings(mine, alarm)
    ] == [_seen(ring, "TRIGGER") for ring in _rings(theirs, alarm)]


def resource(plan: Plan, piece: Piece, row: Row, theirs: Component | None = None) -> bytes:
    """An entry as it is put on a server, with what stands there beside what is ours."""
    whole, mine = _parsed(plan, piece, row)
    if theirs is not None:
        ours = {*_ours(piece.shown.kind), *STAMPS}
        for name, value in theirs.items():
            if name not in ours or (
                name == "STATUS" and mine.name == "VTODO" and status(theirs) not in _OPEN
            ):
                mine[name] = value
        rings = _rings(theirs, _alarm(plan, piece))
        mine.subcomponents += [part for part in theirs.subcomponents if part not in rings]
    return folded(content_lines(whole))


def ticked(data: bytes, row: Row) -> bytes:
    """A to-do as it lies on a server, ticked off under the number and at the moment of its row."""
    whole = Calendar.from_ical(data.decode())
    [mine] = [part for part in whole.subcomponents if part.name == "VTODO"]
    changes = {
        "STATUS": "COMPLETED",
        "COMPLETED": row.modified,
        "PERCENT-COMPLETE": 100,
        "SEQUENCE": row.sequence,
    }
    for name, value in {**changes, "DTSTAMP": row.modified, "LAST-MODIFIED": row.modified}.items():
        mine.pop(name, None)
        mine.add(name, value)
    return folded(content_lines(whole))


def _parsed(plan: Plan, piece: Piece, row: Row) -> tuple[Calendar, Component]:
    whole = Calendar.from_ical(calendar(plan, [piece], {piece.shown.uid: row}).decode())
    for name in [name for name in whole if name not in _HEAD]:
        del whole[name]  # of a file, not of an entry
    [mine] = [part for part in whole.subcomponents if part.name == piece.shown.kind]
    return whole, mine


def _ours(kind: str) -> list[str]:
    # DURATION is another way to say when an entry ends, and never stands beside ours (section 3.6.1).
    return [name for name in RULES[kind] if name not in STAMPS and name not in _TICK] + ["DURATION"]


def _alarm(plan: Plan, piece: Piece) -> str:
    return uid(plan.season.id, piece.shown.name, f"{piece.shown.kind} VALARM")


def _rings(component: Component, alarm: str) -> list[Component]:
    return [part for part in component.subcomponents if part.name == "VALARM" and part.get("UID") == alarm]


def _seen(component: Component, name: str) -> list[tuple[bytes, Any]]:
    return [*_values(component.get(name))]


def _values(found: Any) -> Iterator[tuple[bytes, Any]]:
    for value in found if isinstance(found, list) else [] if found is None else [found]:
        yield value.to_ical(), sorted(value.params.items())
