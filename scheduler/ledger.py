"""What calendars have been told: for each entry of an exported file its content, number and moments.

Programs that follow a file update an entry when its SEQUENCE, its LAST-MODIFIED or both rise, each program by
another rule; so the two rise together, for every change, and stand still otherwise (RFC 5545 sections 3.8.7.3
and 3.8.7.4). Plain frozen data: the book keeps it, the export reads it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Literal

Kind = Literal["VEVENT", "VTODO"]

HIGHEST = 2**31 - 1_000_000
"""No higher number is taken over from elsewhere: an INTEGER ends at 2^31 - 1 (RFC 5545 section 3.3.8), and
there has to be room to count on."""


@dataclass(frozen=True)
class Shown:
    """What one entry of a calendar file shows, as far as the ledger has to know it."""

    uid: str
    kind: Kind
    name: str
    """The task, or what is ordered; never a day, a wording or a position. Empty where nobody knows it."""
    sha: str
    """Of everything that a person sees."""
    summary: str
    category: str
    first: date
    last: date


@dataclass(frozen=True)
class Row:
    """An entry as it was last told to calendars."""

    shown: Shown
    sequence: int
    created: datetime
    """In UTC, to the second; so is `modified`."""
    modified: datetime
    removed_on: date | None = None
    """The day on which an export found it gone from the plan."""


Ledger = Mapping[str, Row]
"""The newest row of each UID."""


@dataclass(frozen=True)
class When:
    """When an export is made: the moment in UTC, and the day that it is where the season is."""

    moment: datetime
    day: date


def revised(
    ledger: Ledger,
    shown: Iterable[Shown],
    kind: Kind,
    when: When,
    at_least: int = 0,
    is_of: Callable[[str], bool] = lambda name: True,
) -> Ledger:
    """The ledger after an export that shows these, all of one kind; `is_of` tells the names it speaks of.

    What shows the same keeps its row. What shows something else, is no longer there, is there again or has a
    number below `at_least` gets the next number that is not, and a later moment.
    """
    moment = when.moment.replace(microsecond=0)
    now = {one.uid: one for one in shown}
    rows = dict(ledger)
    for uid, row in ledger.items():
        if not (row.shown.kind == kind and is_of(row.shown.name)):
            continue
        if uid not in now and row.removed_on is None:
            rows[uid] = replace(_next(row, moment, at_least), removed_on=when.day)
    for uid, one in now.items():
        last = ledger.get(uid)
        if last is None:
            rows[uid] = Row(one, at_least, moment, moment)
        elif last.removed_on is not None or last.shown.sha != one.sha or last.sequence < at_least:
            rows[uid] = replace(_next(last, moment, at_least), shown=one, removed_on=None)
    return rows


def changed(before: Ledger, after: Ledger) -> list[Row]:
    """The rows that a later ledger has beside those of an earlier one, sorted by UID."""
    return [row for uid, row in sorted(after.items()) if before.get(uid) != row]


def joined(ledger: Ledger, found: Iterable[Row]) -> Ledger:
    """The ledger with rows that were read from exported files, so that no number and no moment ever falls.

    Of one entry the higher number counts. Where the two show different things and neither is the later in
    number and moment, programs may have either: the entry is then counted on from above both.
    """
    rows = dict(ledger)
    for row in found:
        known = rows.get(row.shown.uid)
        rows[row.shown.uid] = row if known is None else _of_both(known, row)
    return rows


def _of_both(known: Row, row: Row) -> Row:
    lower, higher = sorted((row, known), key=lambda one: one.sequence)
    latest = max(row.modified, known.modified)
    if _state(known) == _state(row):
        return replace(higher, modified=latest)
    if higher.sequence > lower.sequence and higher.modified > lower.modified:
        return higher
    return replace(known, sequence=higher.sequence + 1, modified=latest + timedelta(seconds=1))


def _state(row: Row) -> str:
    """What an entry shows; of one that is gone, that alone."""
    return "" if row.removed_on else row.shown.sha


def _next(row: Row, moment: datetime, at_least: int) -> Row:
    later = max(moment, row.modified + timedelta(seconds=1))
    return replace(row, sequence=max(row.sequence + 1, at_least), modified=later)
