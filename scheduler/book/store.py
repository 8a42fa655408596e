"""The book of a season: kept plans, entries, and what calendars were told, none of it ever changed."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from scheduler.book import entry_text, ledger_text
from scheduler.book.file import DAMAGED, first, reading, rows, writing
from scheduler.document import from_json, to_json
from scheduler.errors import BookError, Fault, UsageError
from scheduler.ledger import Ledger, Row
from scheduler.plan import Plan
from scheduler.progress import Entry, Recorded


def book_path(season_path: Path) -> Path:
    """Where the book of a season file lies: beside it, under the same name."""
    return season_path.with_suffix(".book")


@dataclass(frozen=True)
class KeptPlan:
    """A plan as the book keeps it, with the season's text that it was made from."""

    plan_no: int
    kept_at: str
    season_text: str
    plan: Plan
    basis: str | None
    """What the plan was written from, in the words of whoever kept it; None in books of version 1."""


class Book:
    """The plans and entries kept for one season; made by `Book.open`."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self._path = path
        self._connection = connection

    @classmethod
    @contextmanager
    def open(cls, path: Path, create: bool) -> Iterator[Book]:
        """Opens the book for one command.

        With `create` the whole block is one transaction, made at its end or not at all, and other commands
        that want to write wait meanwhile: open it when there is something to keep. Without, the book can
        only be read; no file is made or changed, and where there is none the book is empty.

        Raises BookError where the file is damaged, newer than this program, no book at all, or cannot be
        read or written; it is then left as it was.
        """
        with writing(path) if create else reading(path) as connection:
            yield cls(path, connection)

    def keep(self, plan: Plan, season_text: str, kept_at: str, basis: str) -> int:
        """Keeps a plan and returns its number, counted from 1.

        A plan that says the same as the newest kept one is not kept twice; it has that one's number, and
        what stands beside that one stays. `kept_at` is the moment, in the caller's words, and `basis` what
        the plan was written from. Raises BookError where the book cannot be written.
        """
        newest = self._newest()
        if newest is not None and self._says(newest, plan):
            return int(newest["plan_no"])
        number = 1 if newest is None else int(newest["plan_no"]) + 1
        numbered = replace(plan, plan_no=number)
        self.restore(KeptPlan(number, kept_at, season_text, numbered, basis), to_json(numbered))
        return number

    def restore(self, kept: KeptPlan, document: str) -> None:
        """Puts a kept plan in under its number, as the document in which it once was kept.

        Raises BookError where the book cannot be written or another number is due.
        """
        head = kept.plan.season
        self._connection.execute(
            "INSERT INTO plans VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (
                kept.plan_no,
                kept.kept_at,
                kept.plan.inputs_sha,
                head.id,
                head.name,
                kept.season_text,
                head.made_with,
                document,
                kept.basis,
            ),
        )

    def latest(self) -> KeptPlan | None:
        """The newest kept plan; None where none was kept. Raises BookError where it cannot be read."""
        return self._read(self._newest())

    def plan(self, number: int) -> KeptPlan | None:
        """The plan of that number; None where there is none. Raises BookError where it cannot be read."""
        return self._read(
            first(self._connection, self._path, "SELECT * FROM plans WHERE plan_no = ?", number)
        )

    def bases(self) -> Iterator[str]:
        """What the kept plans were written from, the newest first, as far as that was kept with them."""
        query = "SELECT basis FROM plans WHERE basis IS NOT NULL ORDER BY plan_no DESC"
        return (str(row["basis"]) for row in rows(self._connection, self._path, query))

    def begins(self) -> date | None:
        """The day of the season's first plan; None where none was kept. BookError where it cannot be read."""
        row = first(self._connection, self._path, "SELECT document FROM plans WHERE plan_no = 1")
        try:
            return None if row is None else date.fromisoformat(json.loads(row["document"])["season"]["today"])
        except (ValueError, LookupError, TypeError) as error:
            raise BookError(Fault(str(self._path), "plan 1 cannot be read", *DAMAGED[1:])) from error

    def record(self, entry: Entry, at: str) -> int:
        """Adds an entry and returns its number, counted from 1; `at` is the moment, in the caller's words.

        Raises UsageError where it takes back an entry that is not in the book or holds letters that cannot
        be kept, BookError where the book cannot be written.
        """
        query = "SELECT coalesce(max(entry_no), 0) + 1 AS next FROM entries"
        number = int(rows(self._connection, self._path, query)[0]["next"])
        if entry.corrects is not None and not 0 < entry.corrects < number:
            hint = "`budswell book show` lists them"
            raise UsageError(
                Fault(f"entry {entry.corrects}", "it is not in the book", "the number of an entry", hint)
            )
        data = entry_text.to_text(entry)
        try:
            entry_text.require_letters(f"{entry.subject}{data}")
        except ValueError as error:
            raise UsageError(Fault(f"{entry.kind} {entry.subject!a}", str(error), "text in UTF-8")) from error
        self._connection.execute(
            "INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?, ?)",
            (number, at, entry.on.isoformat(), entry.kind, entry.subject, data, entry.corrects),
        )
        return number

    def entries(self) -> tuple[Recorded, ...]:
        """Every entry in the order of their numbers, also those that a later one takes back.

        Raises BookError where one cannot be read.
        """
        found = rows(self._connection, self._path, "SELECT * FROM entries ORDER BY entry_no")
        return tuple(self._recorded(row) for row in found)

    def tell(self, rows: Iterable[Row]) -> None:
        """Adds what calendars are told now. BookError where that cannot be written, or no number rises."""
        columns = ", ".join(f":{name}" for name in ledger_text.COLUMNS)
        self._connection.executemany(
            f"INSERT INTO calendar ({', '.join(ledger_text.COLUMNS)}) VALUES ({columns})",
            [ledger_text.to_data(row) for row in rows],
        )

    def told(self) -> tuple[Row, ...]:
        """All that calendars were ever told, by UID and number. BookError where it cannot be read."""
        return tuple(self._rows("SELECT * FROM calendar ORDER BY uid, sequence"))

    def ledger(self) -> Ledger:
        """What calendars were told last, by UID. BookError where it cannot be read."""
        newest = "SELECT uid, max(sequence) FROM calendar GROUP BY uid"
        query = f"SELECT * FROM calendar WHERE (uid, sequence) IN ({newest}) ORDER BY uid"
        return {row.shown.uid: row for row in self._rows(query)}

    def season_id(self, name: str) -> str | None:
        """The id that this season has for good: the one under which its first plan was kept.

        A renamed season keeps the id of the first plan in the book; only where plans were kept under the
        new name with an id of its own is it that one. None where no plan was kept.
        """
        query = "SELECT season_id FROM plans ORDER BY season_name <> ?, plan_no LIMIT 1"
        row = first(self._connection, self._path, query, name)
        return None if row is None else str(row["season_id"])

    def _newest(self) -> sqlite3.Row | None:
        return first(self._connection, self._path, "SELECT * FROM plans ORDER BY plan_no DESC LIMIT 1")

    @staticmethod
    def _says(row: sqlite3.Row, plan: Plan) -> bool:
        """Whether a kept plan says the same; the inputs, a part of it, settle that most of the time."""
        numbered = replace(plan, plan_no=row["plan_no"])
        return bool(row["inputs_sha"] == plan.inputs_sha) and to_json(numbered) == row["document"]

    def _read(self, row: sqlite3.Row | None) -> KeptPlan | None:
        if row is None:
            return None
        try:
            plan = from_json(row["document"])
        except UsageError as error:
            why = f"{error.fault.where}: {error.fault.found}"
            raise self._unreadable(f"plan {row['plan_no']}", why) from error
        return KeptPlan(row["plan_no"], row["kept_at"], row["season_text"], plan, row["basis"])

    def _recorded(self, row: sqlite3.Row) -> Recorded:
        columns = {key: row["on_day" if key == "on" else key] for key in entry_text.COLUMNS}
        try:
            entry_text.require(row["at"], str, "at: a text")
            return Recorded(row["entry_no"], row["at"], entry_text.from_text(row["data"], columns))
        except ValueError as error:
            raise self._unreadable(f"entry {row['entry_no']}", str(error)) from error

    def _rows(self, query: str) -> Iterator[Row]:
        return map(self._told, rows(self._connection, self._path, query))

    def _told(self, row: sqlite3.Row) -> Row:
        try:
            return ledger_text.from_data(dict(row))
        except ValueError as error:
            raise self._unreadable(f"the calendar entry {row['uid']!a}", str(error)) from error

    def _unreadable(self, what: str, why: str) -> BookError:
        return BookError(Fault(str(self._path), f"{what} cannot be read: {why}", *DAMAGED[1:]))
