"""What calendars are told of a plan: its entries as far as they are shown, with the numbers of the book."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Literal

from scheduler.book.store import Book
from scheduler.journal.fold import fold
from scheduler.ledger import Kind, Ledger, Row, When, changed, revised
from scheduler.plan import Plan
from scheduler.present import helpers_calendar
from scheduler.present.alarms import Alarm
from scheduler.present.calendar import Piece, pieces, uid
from scheduler.present.calendar_items import ORDERS, items, ordered
from scheduler.progress import Recorded
from scheduler.season.season import Season

Sheet = Literal["events", "to-dos", "helpers"]
"""The kinds of file: of the season's own events, of its to-dos, and of the days of planting for helpers."""
KINDS: Mapping[Sheet, Kind] = {"events": "VEVENT", "to-dos": "VTODO", "helpers": "VEVENT"}
SPLIT = {"Lab": "lab", "Yard": "yard", "Other": "other", ORDERS: "orders"}
"""The files of a folder, by the category of what is in them."""


@dataclass(frozen=True)
class Told:
    """A plan's entries by kind of file, and the ledger that numbers them."""

    plan: Plan
    shown: Mapping[Sheet, list[Piece]]
    ledger: Ledger


def tell(
    book_at: Path, plan: Plan, sheets: Iterable[Sheet], alarm: Alarm | None, when: When, dry: bool = False
) -> Told:
    """What a plan that is kept in the book at `book_at` shows now; the book is told the news, unless `dry`.

    Raises BookError as the book does. Where nothing is news, nothing is written.
    """
    found = {sheet: entries_of(plan, sheet, alarm) for sheet in sheets}
    with Book.open(book_at, create=False) as book:
        before = book.ledger()
        told = numbered(book, plan, found, before, when)
    if changed(before, told.ledger) and not dry:
        with Book.open(book_at, create=True) as book:
            # Read again inside the transaction: another command may have told calendars meanwhile.
            before = book.ledger()
            told = numbered(book, plan, found, before, when)
            book.tell(changed(before, told.ledger))
    return told


def entries_of(plan: Plan, sheet: Sheet, alarm: Alarm | None) -> list[Piece]:
    """What a plan shows in one kind of file."""
    return pieces(plan, KINDS[sheet], alarm, helpers_calendar.items(plan) if sheet == "helpers" else None)


def is_of(sheet: Sheet, name: str) -> bool:
    """Whether an entry of that name stands in this kind of file."""
    return helpers_calendar.is_for_helpers(name) == (sheet == "helpers")


def is_told(row: Row, sheet: Sheet, title: str) -> bool:
    """Whether a file of that title speaks of an entry."""
    mine = row.shown.kind == KINDS[sheet] and is_of(sheet, row.shown.name)
    return mine and (title not in SPLIT.values() or title == SPLIT.get(row.shown.category))


def numbered(
    book: Book, plan: Plan, found: Mapping[Sheet, list[Piece]], ledger: Ledger, when: When, at_least: int = 0
) -> Told:
    """What is shown of some entries of a plan, with the ledger after they are shown."""
    finished = done(book.entries(), [plan])
    shown = {sheet: _open(some, KINDS[sheet], finished) for sheet, some in found.items()}
    for sheet, some in shown.items():
        rows = [piece.shown for piece in some]
        ledger = revised(ledger, rows, KINDS[sheet], when, at_least, partial(is_of, sheet))
    return Told(plan, shown, ledger)


def with_hours(plan: Plan, season: Season) -> Plan:
    """The plan with the hours at which work begins today.

    They move no day, so a plan that was kept under way need not be made anew for them.
    """
    return replace(plan, season=replace(plan.season, at=season.people.starts()))


def names(book: Book, plan: Plan) -> dict[str, str]:
    """Which task or order has which UID, by every plan of the book."""
    known = plans(book, plan)
    found = {item.name for one in known for item in (*items(one), *helpers_calendar.items(one))}
    return {uid(plan.season.id, name, kind): name for name in found for kind in set(KINDS.values())}


def plans(book: Book, plan: Plan) -> list[Plan]:
    """A plan and all that were kept before it."""
    numbers = range(1, plan.plan_no or 0)
    return [plan, *(kept.plan for number in numbers if (kept := book.plan(number)))]


def done(recorded: Sequence[Recorded], known: Iterable[Plan]) -> set[str]:
    """Tasks of some plans that are done, and what was bought, by what was recorded.

    Each plan knows of its own tasks which are done with a batch that was cooked, or wood that was felled.
    """
    found: set[str] = set()
    for plan in known:
        progress = fold(recorded, plan)
        found |= {*progress.done, *progress.bought, *progress.received}
    return found


def is_done(name: str, finished: Collection[str]) -> bool:
    """Whether a task, or what an order orders, is among what is done."""
    return (ordered(name) or name) in finished


def _open(found: list[Piece], kind: Kind, finished: Collection[str]) -> list[Piece]:
    """What is shown: a to-do that is done is no longer to do, an event stays until the plan is made anew."""
    return [piece for piece in found if kind == "VEVENT" or not is_done(piece.shown.name, finished)]
