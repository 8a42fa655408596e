"""What came of many seasons, kept while they are planned, so that a run that was stopped can go on.

A file of its own beside the table: what is in it is there for good with the row's own transaction. It holds
nothing that cannot be planned again, and may be deleted.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.book.file import BUSY_SECONDS
from scheduler.errors import Fault, UsageError
from scheduler.many import Result

if TYPE_CHECKING:
    from pydantic import TypeAdapter

APPLICATION_ID = 0x42756473
"""By which SQLite's header tells these files from others."""
VERSION = 1
"""Of what is kept of a season; files of another version are begun anew."""


class Results:
    """What came of seasons, by the fingerprint of what they were planned from; made by `Results.open`."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self._path = path
        self._connection = connection

    @classmethod
    @contextmanager
    def open(cls, path: Path, anew: bool = False) -> Iterator[Results]:
        """Opens the file at `path`, made where there is none; `anew` forgets what is in it.

        Raises UsageError where it is no such file, damaged, or cannot be read and written; it is left as it
        was.
        """
        with _explained(path), closing(sqlite3.connect(path, BUSY_SECONDS, isolation_level=None)) as file:
            _begin(file, path, anew)
            yield cls(path, file)

    def find(self, inputs: str) -> Result | None:
        """What came of a season; None where it was not planned yet. UsageError as `open`."""
        with _explained(self._path):
            row = self._connection.execute(
                "SELECT result FROM results WHERE inputs = ?", (inputs,)
            ).fetchone()
        try:
            return None if row is None else _adapter().validate_json(row[0])
        except ValueError:
            return None  # it is planned again

    def keep(self, inputs: str, result: Result) -> None:
        """Keeps what came of a season, on the disk when this returns. UsageError as `open`."""
        text = _adapter().dump_json(result).decode()
        with _explained(self._path):
            self._connection.execute("INSERT OR REPLACE INTO results VALUES (?, ?)", (inputs, text))


@cache
def _adapter() -> TypeAdapter[Result]:
    from pydantic import TypeAdapter

    return TypeAdapter(Result)


def _begin(file: sqlite3.Connection, path: Path, anew: bool) -> None:
    file.execute("BEGIN IMMEDIATE")
    empty = file.execute("SELECT count(*) FROM sqlite_master").fetchone()[0] == 0
    if not empty and file.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
        raise UsageError(_fault(path, "a database of another program"))
    if anew or (not empty and file.execute("PRAGMA user_version").fetchone()[0] != VERSION):
        file.execute("DROP TABLE IF EXISTS results")
    file.execute("CREATE TABLE IF NOT EXISTS results (inputs TEXT PRIMARY KEY, result TEXT NOT NULL) STRICT")
    file.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    file.execute(f"PRAGMA user_version = {VERSION}")
    file.execute("COMMIT")


@contextmanager
def _explained(path: Path) -> Iterator[None]:
    try:
        yield
    except sqlite3.Error as error:
        raise UsageError(_fault(path, f"it cannot be used: {error}")) from error


def _fault(path: Path, found: str) -> Fault:
    allowed = "the file in which plan-many keeps what it has planned, where it may be written"
    return Fault(str(path), found, allowed, "move it away, or give the table another name")
