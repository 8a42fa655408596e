"""The use case of `calendar`: a kept plan becomes calendar files, and the book keeps what they were told.

The numbers of the files are in the book before a file has its name: a file that was never written leaves a
gap in the numbers, and a number that was forgotten would leave a calendar behind for good.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path

from scheduler.book.store import Book, book_path
from scheduler.errors import Fault, UnsoundFile, UsageError
from scheduler.ledger import Ledger, Row, When, changed, joined
from scheduler.plan import Plan
from scheduler.present.alarms import Alarm
from scheduler.present.calendar import Piece, calendar, farewell
from scheduler.present.calendar_adopt import read_back, require_readable
from scheduler.present.calendar_check import faults
from scheduler.present.calendar_items import ORDERS
from scheduler.present.files import Staging, require_place
from scheduler.season.season import Season
from scheduler.service.told import (
    KINDS,
    SPLIT,
    Sheet,
    done,
    entries_of,
    is_done,
    is_of,
    is_told,
    names,
    numbered,
    plans,
    with_hours,
)


@dataclass(frozen=True)
class Wishes:
    """Which files are wished for, and how."""

    events: Path | None = None
    todos: Path | None = None
    split: Path | None = None
    """A folder that takes a file of events for each category."""
    helpers: Path | None = None
    """A file of the days of planting alone, for those who come to help."""
    adopt: tuple[Path, ...] = ()
    """Exported files from which the ledger is made good."""
    alarm: Alarm | None = None
    once: bool = False
    """For importing once: what is gone from the plan is cancelled, not left out."""
    at_least: int = 0
    """The lowest number that an entry may have; above whatever was written before, where nobody knows it."""

    def places(self) -> list[Path]:
        """The files that may be written."""
        split = [self.split / f"{name}.ics" for name in SPLIT.values()] if self.split else []
        return [path for path in (self.events, self.todos, self.helpers, *split) if path]

    def require_places(self, keep: tuple[Path, ...]) -> None:
        """Raises, before there is anything to write, the UsageError with which writing would end."""
        for path in self.places():
            require_place(path, keep)
        found = [path.resolve() for path in self.places()]
        if len(set(found)) < len(found):
            twice = next(path for path, count in Counter(found).items() if count > 1)
            raise UsageError(Fault(str(twice), "two files of this call", "a file of its own for each"))


@dataclass(frozen=True)
class Written:
    """A file that was written: what is in it, and what of that is news to calendars."""

    path: Path
    sheet: Sheet
    tasks: int
    orders: int
    new: int
    changed: int
    gone: int


@dataclass(frozen=True)
class Outcome:
    """What a call has done: files from which the ledger was made good, and files that were written."""

    adopted: tuple[tuple[Path, int], ...]
    """With the number of their entries that were news to the ledger."""
    written: tuple[Written, ...]


@dataclass(frozen=True)
class _Export:
    """Files as they are to be written, what calendars are told with them, and what is said of both."""

    files: Mapping[Path, bytes]
    news: list[Row]
    outcome: Outcome


def require_ours(season: Season, files: Iterable[Path]) -> None:
    """Raises, before anything is planned, UsageError for a file to adopt that is none of ours."""
    for path in files:
        require_readable(path, season.id)


def write(season: Season, plan: Plan, wishes: Wishes, when: When) -> Outcome:
    """Writes the files that are wished for, of a plan that is kept in the season's book.

    Raises UsageError where nothing is in the plan, a file to adopt is no file of this season, or one cannot
    be written; UnsoundFile where our own check refuses one; BookError as the book does. Nothing is changed
    then, neither a file nor the book.
    """
    book_at = book_path(season.path)
    plan = with_hours(plan, season)
    entries = _entries(plan, wishes)
    with Staging() as staging:
        with Book.open(book_at, create=False) as book:
            export = _export(book, plan, entries, wishes, when)
        if export.news:
            with Book.open(book_at, create=True) as book:
                # Read again inside the transaction: another command may have told calendars meanwhile.
                export = _export(book, plan, entries, wishes, when)
                book.tell(export.news)
                _stage(export, staging)
        else:
            _stage(export, staging)
        staging.publish()
    return export.outcome


def _entries(plan: Plan, wishes: Wishes) -> Mapping[Sheet, list[Piece]]:
    """What each kind of file shows. Raises UsageError where there is nothing at all to show."""
    sheets: list[Sheet] = ["events"] if wishes.events or wishes.split or not wishes.places() else []
    sheets += ["to-dos"] if wishes.todos else []
    entries = {sheet: entries_of(plan, sheet, wishes.alarm) for sheet in sheets}
    if entries and not any(entries.values()):
        found = "the plan has no work and nothing to order"
        raise UsageError(Fault(plan.season.name, found, "a plan with at least one task"))
    if wishes.helpers:
        entries["helpers"] = entries_of(plan, "helpers", wishes.alarm)
        if not entries["helpers"]:
            found = "no day of planting is in the plan"
            raise UsageError(Fault(plan.season.name, found, "a plan with planting still to do"))
    return entries


def _stage(export: _Export, staging: Staging) -> None:
    for path, data in export.files.items():
        wrong = faults(staging.add(path, data).read_bytes())
        if wrong:
            raise UnsoundFile(str(path), wrong)


def _export(
    book: Book, plan: Plan, entries: Mapping[Sheet, list[Piece]], wishes: Wishes, when: When
) -> _Export:
    known = book.ledger()
    before, adopted = _made_good(book, known, plan, wishes)
    told = numbered(book, plan, entries, before, when, wishes.at_least)
    after = told.ledger if wishes.places() else before
    files: dict[Path, bytes] = {}
    written = []
    finished = done(book.entries(), plans(book, plan)) if wishes.once else set[str]()
    for path, sheet, title, found in _files(wishes, told.shown):
        gone = [*_gone(after, plan, sheet, finished, when, title)] if wishes.once else []
        if not found and not gone and title in SPLIT.values() and not path.exists():
            continue
        files[path] = calendar(plan, [*found, *gone], after, title)
        written.append(_written(path, sheet, found, before, after, title))
    return _Export(files, changed(known, after), Outcome(adopted, tuple(written)))


def _made_good(
    book: Book, before: Ledger, plan: Plan, wishes: Wishes
) -> tuple[Ledger, tuple[tuple[Path, int], ...]]:
    """The ledger with what exported files say: those that are named, and those about to be overwritten.

    These are asked whatever the ledger knows: the book may have been lost, and told other calendars since.
    """
    there = [path for path in wishes.places() if path.is_file() and path not in wishes.adopt]
    known = cache(partial(names, book, plan))  # of every plan in the book, which takes its time

    def name_of(uid: str) -> str:
        row = before.get(uid)
        return (row.shown.name if row else "") or known().get(uid, "")

    adopted = []
    ledger = before
    for path in (*wishes.adopt, *there):
        try:
            after = joined(ledger, read_back(path, plan.season.id, name_of, whole=path in wishes.adopt))
        except UsageError:
            if path in wishes.adopt:
                raise
            continue  # not ours: it is overwritten as any file of that name
        news = len(changed(ledger, after))
        if news or path in wishes.adopt:
            adopted.append((path, news))
        ledger = after
    return ledger, tuple(adopted)


def _gone(
    ledger: Ledger, plan: Plan, sheet: Sheet, finished: Collection[str], when: When, title: str
) -> Iterator[Piece]:
    """Farewells to what left the plan, until the season is over."""
    last = max(task.on for task in plan.tasks) if plan.tasks else plan.season.today
    for row in ledger.values() if when.day <= last else ():
        if is_told(row, sheet, title):
            said = farewell(row, is_done(row.shown.name, finished))
            if said:
                yield said


_File = tuple[Path, Sheet, str, list[Piece]]


def _files(wishes: Wishes, shown: Mapping[Sheet, list[Piece]]) -> Iterator[_File]:
    """Place, kind, title and entries of each file; a file of a category also where there is nothing in it."""
    if wishes.events:
        yield wishes.events, "events", "", shown["events"]
    if wishes.todos:
        yield wishes.todos, "to-dos", "to-dos", shown["to-dos"]
    if wishes.helpers:
        yield wishes.helpers, "helpers", "planting days", shown["helpers"]
    for category, name in SPLIT.items() if wishes.split else ():
        found = [piece for piece in shown["events"] if piece.shown.category == category]
        assert wishes.split is not None
        yield wishes.split / f"{name}.ics", "events", name, found


def _written(
    path: Path, sheet: Sheet, found: list[Piece], before: Ledger, after: Ledger, title: str
) -> Written:
    """What a file holds, and what of it is news beside the ledger before, where that was not empty."""
    orders = sum(piece.shown.category == ORDERS for piece in found)
    news = [row for row in changed(before, after) if is_told(row, sheet, title)]
    if not any(row.shown.kind == KINDS[sheet] and is_of(sheet, row.shown.name) for row in before.values()):
        news = []
    gone = sum(row.removed_on is not None for row in news)
    new = sum(row.shown.uid not in before for row in news)
    return Written(path, sheet, len(found) - orders, orders, new, len(news) - gone - new, gone)
