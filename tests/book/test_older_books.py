"""A book of an older version is read as it is and brought up to date by the next command that writes."""

from __future__ import annotations

import hashlib
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from scheduler.book.migrations import MIGRATIONS
from scheduler.book.store import Book, KeptPlan
from scheduler.document import to_json
from tests.book.written import AT, PLAIN, numbered, record, recorded
from tests.sample import SEASON, sample_plan

RELEASED = ("af1fbeddddd4e3a97c4fffc478c9eb13155101080399ab4126ba449233632847",)
"""SHA-256 of the statements that led to each released version: they never change."""

PLAN = replace(sample_plan(), plan_no=1)
KEPT = KeptPlan(1, AT, "[season]", PLAN, None)


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A book of version 1 with one plan, made by the statements of that version."""
    path = tmp_path / "season.book"
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for statement in MIGRATIONS[0]:
            connection.execute(statement)
        connection.execute("PRAGMA user_version = 1")
        connection.execute(
            "INSERT INTO plans VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            (1, AT, PLAN.inputs_sha, SEASON.id, SEASON.name, "[season]", SEASON.made_with, to_json(PLAN)),
        )
    return path


def test_released_migrations_are_not_changed() -> None:
    """What has made a grower's book once makes the same book for ever."""
    found = [hashlib.sha256("\n".join(statements).encode()).hexdigest() for statements in MIGRATIONS]
    assert found[: len(RELEASED)] == list(RELEASED)


def test_a_book_of_version_1_is_read_untouched(old: Path) -> None:
    """Its plan is there, made from nobody knows what; it has no entries; no byte of it changes."""
    before = old.read_bytes()
    with Book.open(old, create=False) as book:
        assert book.latest() == book.plan(1) == KEPT
        assert book.season_id(SEASON.name) == SEASON.id
        assert book.entries() == ()
    assert old.read_bytes() == before


def test_the_next_entry_brings_it_up_to_date(old: Path) -> None:
    """The old plan stays as it was, the entry gets number 1, and the next plan number 2."""
    assert record(old, PLAIN) == [1]
    with Book.open(old, create=True) as book:
        assert book.latest() == KEPT
        assert book.keep(PLAN, "[season]", AT, "{}") == 1  # the same plan is not kept again
        assert book.keep(replace(PLAN, inputs_sha="new"), "[season]", AT, "{}") == 2
    assert recorded(old) == numbered([PLAIN])
    with closing(sqlite3.connect(old)) as connection:
        assert connection.execute("PRAGMA user_version").fetchone()[0] == len(MIGRATIONS)
        assert connection.execute("SELECT basis FROM plans").fetchall() == [(None,), ("{}",)]


def test_a_command_that_fails_leaves_the_old_version(old: Path) -> None:
    """The step to the new version is part of the command's one transaction."""
    before = old.read_bytes()
    with pytest.raises(RuntimeError), Book.open(old, create=True) as book:
        book.record(PLAIN, AT)
        raise RuntimeError
    assert old.read_bytes() == before
