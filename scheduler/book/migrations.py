"""What the tables of a book are, and how a book of an older version becomes one of today.

Each entry of `MIGRATIONS` takes a book one version further and is never changed once it has been released.
"""

from __future__ import annotations

import sqlite3

APPLICATION_ID = 0x42554457
"""Stands in the file's header (the letters BUDW) and tells a book from any other database."""

_PLANS = (
    f"PRAGMA application_id = {APPLICATION_ID}",
    """
    CREATE TABLE plans (
        plan_no     INTEGER PRIMARY KEY,
        kept_at     TEXT NOT NULL,
        inputs_sha  TEXT NOT NULL,
        season_id   TEXT NOT NULL,
        season_name TEXT NOT NULL,
        season_text TEXT NOT NULL,
        made_with   TEXT NOT NULL,
        document    TEXT NOT NULL
    )
    """,
    # Also stops INSERT OR REPLACE from a program that has not switched recursive triggers on.
    """
    CREATE TRIGGER plans_are_numbered BEFORE INSERT ON plans
    WHEN NEW.plan_no <> (SELECT coalesce(max(plan_no), 0) + 1 FROM plans)
    BEGIN SELECT RAISE(ABORT, 'plans are numbered one after the other'); END
    """,
    """
    CREATE TRIGGER plans_are_not_changed BEFORE UPDATE ON plans
    BEGIN SELECT RAISE(ABORT, 'a kept plan is never changed'); END
    """,
    """
    CREATE TRIGGER plans_are_not_deleted BEFORE DELETE ON plans
    BEGIN SELECT RAISE(ABORT, 'a kept plan is never deleted'); END
    """,
)

_ENTRIES = (
    """
    CREATE TABLE entries (
        entry_no INTEGER PRIMARY KEY,
        at       TEXT NOT NULL,
        on_day   TEXT NOT NULL,
        kind     TEXT NOT NULL,
        subject  TEXT NOT NULL,
        data     TEXT NOT NULL,
        corrects INTEGER REFERENCES entries CHECK (corrects < entry_no)
    )
    """,
    """
    CREATE TRIGGER entries_are_numbered BEFORE INSERT ON entries
    WHEN NEW.entry_no <> (SELECT coalesce(max(entry_no), 0) + 1 FROM entries)
    BEGIN SELECT RAISE(ABORT, 'entries are numbered one after the other'); END
    """,
    """
    CREATE TRIGGER entries_are_not_changed BEFORE UPDATE ON entries
    BEGIN SELECT RAISE(ABORT, 'an entry is never changed, a later one takes it back'); END
    """,
    """
    CREATE TRIGGER entries_are_not_deleted BEFORE DELETE ON entries
    BEGIN SELECT RAISE(ABORT, 'an entry is never deleted, a later one takes it back'); END
    """,
    "ALTER TABLE plans ADD COLUMN basis TEXT",
)

_CALENDAR = (
    """
    CREATE TABLE calendar (
        uid        TEXT NOT NULL,
        sequence   INTEGER NOT NULL,
        kind       TEXT NOT NULL,
        name       TEXT NOT NULL,
        sha        TEXT NOT NULL,
        summary    TEXT NOT NULL,
        category   TEXT NOT NULL,
        first_day  TEXT NOT NULL,
        last_day   TEXT NOT NULL,
        created    TEXT NOT NULL,
        modified   TEXT NOT NULL,
        removed_on TEXT,
        PRIMARY KEY (uid, sequence)
    )
    """,
    """
    CREATE TRIGGER calendar_numbers_rise BEFORE INSERT ON calendar
    WHEN NEW.sequence <= (SELECT max(sequence) FROM calendar WHERE uid = NEW.uid)
    BEGIN SELECT RAISE(ABORT, 'what calendars are told has a number above the last one'); END
    """,
    """
    CREATE TRIGGER calendar_is_not_changed BEFORE UPDATE ON calendar
    BEGIN SELECT RAISE(ABORT, 'what calendars were told is never changed'); END
    """,
    """
    CREATE TRIGGER calendar_is_not_deleted BEFORE DELETE ON calendar
    BEGIN SELECT RAISE(ABORT, 'what calendars were told is never deleted'); END
    """,
)

MIGRATIONS: tuple[tuple[str, ...], ...] = (_PLANS, _ENTRIES, _CALENDAR)
"""The statements that lead to version 1, 2, ... of the book."""


def version(connection: sqlite3.Connection) -> int:
    """The version of the book; 0 for a file with nothing in it."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def migrate(connection: sqlite3.Connection) -> None:
    """Brings the tables to the newest version, inside the transaction of the caller."""
    for number, statements in enumerate(MIGRATIONS, start=1):
        if number > version(connection):
            for statement in statements:
                connection.execute(statement)
            connection.execute(f"PRAGMA user_version = {number}")
