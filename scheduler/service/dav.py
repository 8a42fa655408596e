"""The use cases of `calendar --push` and `--pull`: a plan on a server, and what was ticked off there.

As with files, the numbers are in the book before a server is told.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from itertools import count
from pathlib import Path

from icalendar import Component

from scheduler.book.store import Book, book_path
from scheduler.errors import UsageError
from scheduler.ledger import Kind, Row, When
from scheduler.plan import Plan
from scheduler.present.alarms import Alarm
from scheduler.present.calendar import Piece
from scheduler.present.calendar_items import ordered
from scheduler.present.calendar_merge import above, entry, is_same, resource, status, ticked, ticked_on
from scheduler.progress import Recorded, taken_back
from scheduler.season.season import Season
from scheduler.service import recording
from scheduler.service.recording import Noted
from scheduler.service.told import Sheet, done, is_done, is_told, names, plans, tell, with_hours
from scheduler.service.under_way import UnderWay, under_way
from scheduler.web.dav import Collection, Refused, Resource


@dataclass(frozen=True)
class Step:
    """One entry with which something is done on a server."""

    does: str
    """``new``, ``changed``, ``ticked`` or ``gone``; ``left`` as another program has made it; ``refused`` by
    the server."""
    summary: str
    on: date
    why: str = ""
    """What the server says of one that it refuses."""


@dataclass(frozen=True)
class Pulled:
    """A to-do that was ticked off, and what the book made of it."""

    summary: str
    on: date
    refused: str = ""
    """Why it was not recorded; empty where it was."""


_Make = Callable[[Resource, Component, Row], bytes]
"""The new bytes of a resource, from what is there and the row with its number."""


class _Push:
    """One push of one kind; each step is carried out, unless it is `dry`."""

    def __init__(self, book_at: Path, plan: Plan, collection: Collection, when: When, dry: bool) -> None:
        self._book_at, self._plan, self._to, self._when, self._dry = book_at, plan, collection, when, dry

    def steps(self, kind: Kind, alarm: Alarm | None) -> Iterator[Step]:
        """What is done, one entry after the other."""
        there = _there(self._to, kind)
        sheet: Sheet = "to-dos" if kind == "VTODO" else "events"
        told = tell(self._book_at, self._plan, [sheet], alarm, self._when, dry=self._dry)
        with Book.open(self._book_at, create=False) as book:
            finished = done(book.entries(), plans(book, self._plan))
        for piece in told.shown[sheet]:
            row = told.ledger[piece.shown.uid]
            if piece.shown.uid not in there:
                yield self._step("new", row, partial(self._new, piece, row))
                continue
            held = there[piece.shown.uid]
            theirs = entry(held.data)
            if theirs is None:  # somebody made more of it than one entry
                yield self._step("left", row, lambda: True)
            elif not is_same(self._plan, piece, row, theirs):
                yield self._step("changed", row, partial(self._put, held, row, self._merged(piece)))
        for row in told.ledger.values():
            gone = there.get(row.shown.uid)
            if gone is None or row.removed_on is None or not is_told(row, sheet, ""):
                continue
            theirs = entry(gone.data)
            if theirs is None or status(theirs) in ("COMPLETED", "CANCELLED"):
                continue
            is_over = is_done(row.shown.name, finished)
            if is_over and kind == "VTODO":
                yield self._step("ticked", row, partial(self._put, gone, row, _tick))
            elif not is_over and (kind == "VTODO" or row.shown.last >= row.removed_on):
                yield self._step("gone", row, partial(self._delete, gone))

    def _step(self, does: str, row: Row, act: Callable[[], bool]) -> Step:
        """What has become of an entry: one that the server does not take keeps nobody from the others."""
        try:
            return Step(does if act() else "left", row.shown.summary, row.shown.first)
        except Refused as error:
            return Step("refused", row.shown.summary, row.shown.first, error.fault.found)

    def _new(self, piece: Piece, row: Row) -> bool:
        if self._dry:
            return True
        return self._to.put(self._to.address(piece.shown.uid), resource(self._plan, piece, row), None)

    def _merged(self, piece: Piece) -> _Make:
        return lambda held, theirs, row: resource(self._plan, piece, row, theirs)

    def _put(self, held: Resource, row: Row, make: _Make) -> bool:
        """Writes over what is there; once more over what another has written meanwhile."""
        now: Resource | None = held
        for _ in range(2):
            theirs = entry(now.data) if now else None
            if now is None or theirs is None:
                return False
            higher = above(row, theirs, self._when)
            if higher is None:
                return False
            if self._dry:
                return True
            if higher != row:
                with Book.open(self._book_at, create=True) as book:
                    book.tell([higher])
                row = higher
            if self._to.put(now.href, make(now, theirs, row), now.etag):
                return True
            now = self._to.get(held.href)
        return False

    def _delete(self, held: Resource) -> bool:
        if self._dry or self._to.delete(held.href, held.etag):
            return True
        now = self._to.get(held.href)
        theirs = entry(now.data) if now else None
        if now is None or theirs is None or status(theirs) == "COMPLETED":
            return now is None
        return self._to.delete(now.href, now.etag)


def push(
    season: Season, plan: Plan, kind: Kind, to: Collection, alarm: Alarm | None, when: When, dry: bool
) -> list[Step]:
    """Puts the plan's events or to-dos on a server, and takes away what the plan no longer has.

    Only entries of the ledger are touched, and of them only what is ours. What was ticked off stays, and
    what is recorded as done is ticked off; events of work that is done or past stay. With `dry` nothing is
    written, neither there nor into the book. Raises UsageError as the server refuses, BookError as the book.
    """
    one = _Push(book_path(season.path), with_hours(plan, season), to, when, dry)
    return sorted(one.steps(kind, alarm), key=lambda step: step.on)


def pull(
    path: Path, source: Collection, *, clock: date, today: date | None, at: str, dry: bool
) -> list[Pulled]:
    """Records what was ticked off on a server, each on its own day, as `record done` and `bought` would.

    What is recorded already, or was taken back, is passed over; what cannot have happened, or is unusual, is
    refused and told. Raises UsageError and BookError as `record` and the server do.
    """
    state = under_way(path, clock, today)
    with Book.open(book_path(state.file), create=False) as book:
        known, past = names(book, state.plan), plans(book, state.plan)
    order = {task.id: place for place, task in enumerate(state.plan.tasks)}
    ticks = []
    for uid, held in _there(source, "VTODO").items():
        theirs = entry(held.data)
        on = ticked_on(theirs, state.plan.season.timezone, state.today) if theirs is not None else None
        if theirs is not None and on is not None and uid in known:
            ticks.append((on, order.get(known[uid], -1), known[uid], str(theirs.get("SUMMARY", ""))))
    found = []
    for on, _, name, summary in sorted(ticks):
        if is_done(name, done(state.recorded, past)):
            continue  # by one before it, perhaps
        item = ordered(name)
        words = ["bought", item] if item else ["done", name]
        try:
            noted = recording.read(state, words, on=on, force=False)
            if _is_taken_back(noted, state.recorded):
                found.append(Pulled(summary, on, "it was recorded, and taken back"))
                continue
            if dry:
                state = _after(state, noted, at)
            else:
                recording.record(path, words, clock=clock, today=today, on=on, force=False, at=at)
                state = under_way(path, clock, today)
            found.append(Pulled(summary, on))
        except UsageError as error:
            found.append(Pulled(summary, on, error.fault.found))
    return found


def _is_taken_back(noted: Noted, recorded: Sequence[Recorded]) -> bool:
    """Whether one of these entries is there already, and no longer stands."""
    gone = taken_back(recorded)
    void = {(one.entry.kind, one.entry.on, one.entry.subject) for one in recorded if one.entry_no in gone}
    return any((one.kind, one.on, one.subject) in void for one in noted.entries)


def _after(state: UnderWay, noted: Noted, at: str) -> UnderWay:
    """Where the season would stand with more entries, which the book does not have."""
    numbers = count(state.recorded[-1].entry_no + 1 if state.recorded else 1)
    more = (Recorded(number, at, one) for number, one in zip(numbers, noted.entries, strict=False))
    return replace(state, recorded=(*state.recorded, *more))


def _tick(held: Resource, theirs: Component, row: Row) -> bytes:
    return ticked(held.data, row)


def _there(collection: Collection, kind: Kind) -> dict[str, Resource]:
    """What lies on the server, by UID; of entries that were made several, any part of them."""
    found: dict[str, Resource] = {}
    for held in collection.read(kind):
        for line in held.data.replace(b"\r\n", b"\n").replace(b"\n ", b"").split(b"\n"):
            if line.upper().startswith(b"UID:"):
                found.setdefault(line[4:].decode(errors="replace").strip(), held)
    return found
