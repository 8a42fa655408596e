"""The file of a book: opened for one command, refused in one sentence where it is not sound.

A file that is damaged, newer, or no book at all is left as it is, byte for byte; a new one appears only
with what is written into it.
"""

from __future__ import annotations

import os
import sqlite3
import stat
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from scheduler.book.migrations import APPLICATION_ID, MIGRATIONS, migrate, version
from scheduler.errors import BookError, Fault

BUSY_SECONDS = 10.0
"""How long a command waits for another one that is writing."""

SETTINGS = (
    "PRAGMA synchronous = FULL",
    "PRAGMA foreign_keys = ON",
    "PRAGMA recursive_triggers = ON",
)
"""What SQLite forgets with every connection. The rollback journal is its default and needs no word."""

DAMAGED = (
    "the book is damaged, or is no book",
    "a book that budswell has written",
    "put back a copy, or move the file away to begin a new book",
)
UNWRITABLE = (
    "the book cannot be opened or written here",
    "a file and a folder that may be written",
    "give yourself the right to write to both",
)
BUSY = (
    "another command is writing to the book",
    "one writer at a time",
    "wait until it is done and run the command again",
)
TROUBLE = {
    sqlite3.SQLITE_NOTADB: DAMAGED,
    sqlite3.SQLITE_CORRUPT: DAMAGED,
    sqlite3.SQLITE_READONLY: UNWRITABLE,
    sqlite3.SQLITE_CANTOPEN: UNWRITABLE,
    sqlite3.SQLITE_PERM: UNWRITABLE,
    sqlite3.SQLITE_BUSY: BUSY,
    sqlite3.SQLITE_IOERR_FSTAT: BUSY,  # the file was taken away between opening and locking
    sqlite3.SQLITE_IOERR: (
        "the disk fails while the book is read or written",
        "a disk that can be read and written",
        "copy the book to another disk while that is possible",
    ),
    sqlite3.SQLITE_FULL: (
        "the disk is full, nothing was kept",
        "room for what is to be kept",
        "make room and run the command again",
    ),
}
"""What SQLite's result codes mean to a person: found, allowed, hint; the exact code goes before its kind."""


@contextmanager
def writing(path: Path) -> Iterator[sqlite3.Connection]:
    """The book in one transaction, made at the end of the block or not at all; a missing one is made.

    Raises BookError where it cannot be written or is not sound, also for what goes wrong inside the block.
    """
    there = _status(path)
    opened = there or _made(path)
    with _explained(path), closing(_connect(f"{path.absolute().as_uri()}?mode=rw")) as connection:
        for setting in SETTINGS:
            connection.execute(setting)
        connection.execute("BEGIN IMMEDIATE")
        locked = _status(path)
        if locked is None or not os.path.samestat(opened, locked):
            # A command that kept nothing in the end has taken its new file away.
            raise BookError(Fault(str(path), *BUSY))
        try:
            _require_book(connection, path)
            migrate(connection)
            yield connection
            connection.execute("COMMIT")
        except BaseException:
            if there is None:
                _remove_if_empty(connection, path)
            raise


@contextmanager
def reading(path: Path) -> Iterator[sqlite3.Connection]:
    """A copy of the book in memory, which is brought up to date without touching the file.

    Where there is no file the copy is an empty book. Raises BookError where it cannot be read or is not
    sound.
    """
    with _explained(path), closing(_connect("file::memory:")) as copy:
        if _status(path):
            with closing(_connect(f"{path.absolute().as_uri()}?mode=rw")) as file:
                # One transaction, so that what was looked at is what is copied.
                file.execute("BEGIN")
                _require_book(file, path)
                file.backup(copy)
        migrate(copy)
        copy.execute("PRAGMA query_only = ON")
        yield copy


def rows(connection: sqlite3.Connection, path: Path, query: str, *values: object) -> list[sqlite3.Row]:
    """What a query finds; BookError where the file is too scrambled for SQLite to say so."""
    try:
        return connection.execute(query, values).fetchall()
    except UnicodeDecodeError as error:  # the scrambled bytes stand in its message
        raise BookError(Fault(str(path), *DAMAGED)) from error


def first(connection: sqlite3.Connection, path: Path, query: str, *values: object) -> sqlite3.Row | None:
    """The first row that a query finds; BookError as `rows`."""
    found = rows(connection, path, query, *values)
    return found[0] if found else None


def _connect(uri: str) -> sqlite3.Connection:
    connection = sqlite3.connect(uri, uri=True, timeout=BUSY_SECONDS, isolation_level=None)
    connection.row_factory = sqlite3.Row
    return connection


def _status(path: Path) -> os.stat_result | None:
    try:
        status = path.stat()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise BookError(Fault(str(path), *UNWRITABLE)) from error
    if not stat.S_ISREG(status.st_mode):
        what = "a folder" if stat.S_ISDIR(status.st_mode) else "something that is no file"
        raise BookError(Fault(str(path), f"{what} lies where the book belongs", "a file", "move it away"))
    return status


def _made(path: Path) -> os.stat_result:
    try:
        path.touch()
        return path.stat()
    except OSError as error:
        raise BookError(Fault(str(path), *UNWRITABLE)) from error


def _remove_if_empty(connection: sqlite3.Connection, path: Path) -> None:
    """Takes away the file that was made for a book that did not come to be.

    Under the lock only: an empty file without it may be the book that another command is about to fill.
    """
    with suppress(sqlite3.Error, OSError):
        connection.rollback()
        connection.execute("BEGIN EXCLUSIVE")
        if path.stat().st_size == 0:
            path.unlink()


def _require_book(connection: sqlite3.Connection, path: Path) -> None:
    """Lets nothing pass but a sound book of a known version, or a file with nothing in it."""
    if _value(connection, path, "SELECT 1 FROM sqlite_master") is None:
        return
    if _value(connection, path, "PRAGMA application_id") != APPLICATION_ID:
        raise BookError(Fault(str(path), "a database of another program", *DAMAGED[1:]))
    known, found = len(MIGRATIONS), version(connection)
    if found > known:
        what = f"a newer budswell has written this book (version {found})"
        hint = "update budswell; the book was not touched"
        raise BookError(Fault(str(path), what, f"versions up to {known}", hint))
    if _value(connection, path, "PRAGMA quick_check(1)") != "ok":
        raise BookError(Fault(str(path), *DAMAGED))


def _value(connection: sqlite3.Connection, path: Path, query: str) -> object:
    row = first(connection, path, query)
    return None if row is None else row[0]


@contextmanager
def _explained(path: Path) -> Iterator[None]:
    try:
        yield
    except sqlite3.Error as error:
        code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR)
        other = (f"the book cannot be used: {error}", *DAMAGED[1:])
        words = TROUBLE.get(code) or TROUBLE.get(code & 0xFF, other)
        raise BookError(Fault(str(path), *words)) from error
