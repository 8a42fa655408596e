"""A book as JSON Lines, and back: nobody is locked in, and any program can read what a season was.

The first line says what the file is and how much is in it; then comes one line for each kept plan and one
for each entry, in the order of their numbers, and one for each time a calendar was told something.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any, cast

from scheduler.book import entry_text, ledger_text
from scheduler.book.entry_text import json_line, json_object, require, require_letters
from scheduler.book.file import DAMAGED, reading, rows, writing
from scheduler.book.migrations import MIGRATIONS
from scheduler.book.store import Book, KeptPlan
from scheduler.document import from_json
from scheduler.errors import BookError, Fault, UsageError
from scheduler.ledger import Row
from scheduler.measures import counted
from scheduler.progress import Recorded

FORMAT = 1
"""The shape of the lines; a changed meaning is a new number."""

_EXPORTED = "a whole file that `budswell book export` has written"
_MEND = (
    "export the book again and copy the file whole; where a newer budswell has written it, update this one"
)


@dataclass(frozen=True)
class Contents:
    """How much is in a book."""

    plans: int
    entries: int
    calendar: int = 0

    def __str__(self) -> str:
        entries = "1 entry" if self.entries == 1 else f"{self.entries} entries"
        if not self.calendar:
            return f"{counted(self.plans, 'plan')} and {entries}"
        told = counted(self.calendar, "calendar line")
        return f"{counted(self.plans, 'plan')}, {entries} and {told}"


def export(path: Path) -> Iterator[str]:
    """The lines of the book at `path`, each with its end; the same book always gives the same ones.

    A kept plan is written as it stands, also where today's words for plans are others. Raises BookError
    where the book cannot be read or is not sound.
    """
    with reading(path) as connection:
        book = Book(path, connection)
        entries, told = book.entries(), book.told()
        head = {"budswell_book": FORMAT, "version": len(MIGRATIONS), **asdict(_contents(connection, path))}
        yield json_line(head) + "\n"
        query = "SELECT plan_no, kept_at, basis, season_text, document FROM plans ORDER BY plan_no"
        for row in rows(connection, path, query):
            try:
                data = {**row, "document": json_object(row["document"])}
                _require_plan(data)
                yield json_line(data) + "\n"
            except ValueError as error:
                found = f"plan {row['plan_no']} cannot be read: {error}"
                raise BookError(Fault(str(path), found, *DAMAGED[1:])) from error
        for recorded in entries:
            said = entry_text.to_data(recorded.entry)
            yield json_line({"entry_no": recorded.entry_no, "at": recorded.at, **said}) + "\n"
        for line in told:
            yield json_line(ledger_text.to_data(line)) + "\n"


def import_(path: Path, file: Path) -> Contents:
    """Puts an exported book back, under the same numbers, where there is none or an empty one.

    The whole file is read before anything is written. Raises UsageError where the file cannot be read, is
    cut off or has a line that is not right, and where something is in the book already: two books are
    never mixed. Raises BookError where the book cannot be written.
    """
    lines = _read(file)
    with writing(path) as connection:
        there = _contents(connection, path)
        if there != Contents(0, 0):
            found = f"this book already holds {there}, and two books are never mixed"
            hint = "export it first if it is needed, and move it away"
            raise UsageError(Fault(str(path), found, "no book, or an empty one", hint))
        book = Book(path, connection)
        for kept, document in lines.plans:
            book.restore(kept, document)
        for recorded in lines.entries:
            book.record(recorded.entry, recorded.at)
        book.tell(lines.told)
    return lines.contents


@dataclass
class _Lines:
    """What the lines of a file hold, as far as they were read."""

    promised: Contents | None = None
    plans: list[tuple[KeptPlan, str]] = field(default_factory=list)
    entries: list[Recorded] = field(default_factory=list)
    told: list[Row] = field(default_factory=list)

    @property
    def contents(self) -> Contents:
        return Contents(len(self.plans), len(self.entries), len(self.told))

    def take(self, data: dict[str, object]) -> None:
        """Adds what a line says. ValueError where it is not the next one of an exported book."""
        require_letters(json_line(data))
        if self.promised is None:
            self.promised = _promised(data)
        elif "plan_no" in data:
            _require_next("plan", data["plan_no"], len(self.plans))
            self.plans.append(_plan(data))
        elif "uid" in data:
            row = ledger_text.from_data(data)
            _require_risen(row, self.told[-1] if self.told else None)
            self.told.append(row)
        else:
            _require_next("entry", data.pop("entry_no", None), len(self.entries))
            self.entries.append(_recorded(data, len(self.entries) + 1))


def _read(file: Path) -> _Lines:
    lines = _Lines()
    try:
        with file.open("rb") as stream:
            for number, line in enumerate(stream, start=1):
                try:
                    lines.take(json_object(_decoded(line)))
                except ValueError as error:
                    found = f"this line cannot be read: {error}"
                    raise UsageError(Fault(f"{file}:{number}", found, _EXPORTED, _MEND)) from error
    except OSError as error:
        found = f"a file that cannot be read ({error.strerror})"
        raise UsageError(Fault(str(file), found, _EXPORTED)) from error
    if lines.promised is None:
        raise UsageError(Fault(str(file), "an empty file", _EXPORTED, _MEND))
    if lines.promised != lines.contents:
        found = f"the first line promises {lines.promised}, but the file holds {lines.contents}"
        raise UsageError(Fault(str(file), found, _EXPORTED, _MEND))
    return lines


def _decoded(line: bytes) -> str:
    try:
        return line.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ValueError("letters that are not UTF-8") from error


def _promised(data: Mapping[str, Any]) -> Contents:
    data = {"calendar": 0, **data}  # exports of versions 1 and 2 say nothing of calendars
    for key in ("budswell_book", "version", "plans", "entries", "calendar"):
        require(data.get(key), int, f"{key}: a whole number")
    if data["budswell_book"] > FORMAT or data["version"] > len(MIGRATIONS):
        raise ValueError(f"a newer budswell has written this book (version {data['version']})")
    return Contents(data["plans"], data["entries"], data["calendar"])


def _require_next(what: str, number: object, last: int) -> None:
    require(number, int, f"{what}_no: a whole number")
    if number != last + 1:
        raise ValueError(f"{what} {number} where {what} {last + 1} is due")


def _require_risen(row: Row, last: Row | None) -> None:
    if last and (row.shown.uid, row.sequence) <= (last.shown.uid, last.sequence):
        raise ValueError("lines of calendars stand by uid, and their sequence rises")


def _require_plan(data: Mapping[str, object]) -> None:
    if data.keys() != {"plan_no", "kept_at", "basis", "season_text", "document"}:
        raise ValueError("a plan has plan_no, kept_at, basis, season_text and document")
    for key in ("kept_at", "season_text"):
        require(data[key], str, f"{key}: a text")
    if data["basis"] is not None:
        require(data["basis"], str, "basis: a text or null")


def _plan(data: dict[str, Any]) -> tuple[KeptPlan, str]:
    """The plan and the text of its document, which is laid out as the book has kept it."""
    _require_plan(data)
    document = json.dumps(data["document"], ensure_ascii=False, indent=1) + "\n"
    try:
        plan = from_json(document)
    except UsageError as error:
        raise ValueError(f"document: {error.fault.where}: {error.fault.found}") from error
    if plan.plan_no != data["plan_no"]:
        raise ValueError(f"document: it is that of plan {plan.plan_no}")
    kept = KeptPlan(data["plan_no"], data["kept_at"], data["season_text"], plan, data["basis"])
    return kept, document


def _recorded(data: dict[str, object], number: int) -> Recorded:
    at = data.pop("at", None)
    require(at, str, "at: a text")
    entry = entry_text.from_data(data)
    if entry.corrects is not None and not 0 < entry.corrects < number:
        raise ValueError(f"corrects: entry {entry.corrects} does not come before it")
    return Recorded(number, cast(str, at), entry)


def _contents(connection: sqlite3.Connection, path: Path) -> Contents:
    tables = ("plans", "entries", "calendar")
    query = "SELECT " + ", ".join(f"(SELECT count(*) FROM {table}) AS {table}" for table in tables)
    return Contents(**rows(connection, path, query)[0])
