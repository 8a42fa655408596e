"""A book of an older version is read as it is and brought up to date by the next command that writes."""

from __future__ import annotations

import hashlib
import lzma
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from scheduler.book.migrations import MIGRATIONS
from scheduler.book.store import Book, KeptPlan
from scheduler.document import to_json
from scheduler.errors import BookError
from tests.book.written import AT, PLAIN, TOLD, numbered, record, recorded
from tests.command import example, inside
from tests.sample import SEASON, sample_plan

OLDER = Path(__file__).parent / "older"
"""Books and calendar files of the backyard example as earlier versions have written them."""

RELEASED = (
    "af1fbeddddd4e3a97c4fffc478c9eb13155101080399ab4126ba449233632847",
    "91befdc558e2825fd67b26a2deb399d39366dc7f62eea633aba24201bda26938",
)
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


def kept_by(version: int, folder: Path) -> Path:
    """The backyard season with the book that an earlier version has written."""
    season = example("backyard", folder)
    data = lzma.decompress((OLDER / f"version-{version}.book.xz").read_bytes())
    (season / "season.book").write_bytes(data)
    return season


@pytest.mark.parametrize(("number", "plans", "entries"), [(1, 1, 0), (2, 2, 30)])
def test_a_book_of_an_earlier_version_opens(number: int, plans: int, entries: int, tmp_path: Path) -> None:
    """Its plans and entries are there, no calendar was told anything, and reading changes no byte of it."""
    season = kept_by(number, tmp_path)
    before = (season / "season.book").read_bytes()
    with Book.open(season / "season.book", create=False) as book:
        latest = book.latest()
        assert latest is not None
        assert latest.plan_no == latest.plan.plan_no == plans
        assert len(book.entries()) == entries
        assert book.ledger() == {}
    shown = inside("book", "show", "backyard", cwd=tmp_path)
    assert shown.code == 0
    assert (season / "season.book").read_bytes() == before


@pytest.mark.parametrize("number", [1, 2])
def test_the_first_calendar_brings_an_earlier_book_up_to_date(number: int, tmp_path: Path) -> None:
    """What stood in it stands there still, and the ledger begins, in one step."""
    season = kept_by(number, tmp_path)
    with Book.open(season / "season.book", create=False) as book:
        there = book.plan(1), book.entries()
    written = inside("calendar", "backyard", "-o", "x.ics", cwd=tmp_path)
    assert (written.code, written.err) == (0, "")
    with closing(sqlite3.connect(season / "season.book")) as connection:
        assert connection.execute("PRAGMA user_version").fetchone()[0] == len(MIGRATIONS)
    with Book.open(season / "season.book", create=False) as book:
        assert (book.plan(1), book.entries()) == there
        ledger = book.ledger()
    assert len(ledger) == (tmp_path / "x.ics").read_bytes().count(b"BEGIN:VEVENT")
    assert {row.sequence for row in ledger.values()} == {0}


def test_a_calendar_file_of_an_earlier_version_is_taken_up(tmp_path: Path) -> None:
    """It bears no mark and is known by its entries; what shows the same keeps its number and its moments."""
    season = kept_by(2, tmp_path)
    data = lzma.decompress((OLDER / "version-2.ics.xz").read_bytes())
    (tmp_path / "x.ics").write_bytes(data)
    ended = inside("calendar", "backyard", "-o", "x.ics", cwd=tmp_path)
    assert ended.code == 0
    assert ended.out.startswith("x.ics: 31 entries taken up into the book.\n")
    with Book.open(season / "season.book", create=False) as book:
        tasks = [row for row in book.ledger().values() if row.shown.category != "Order"]
    assert len(tasks) == 26
    assert {row.sequence for row in tasks} == {0}
    assert all(row.shown.name for row in tasks)


def test_what_calendars_were_told_is_only_added_to(tmp_path: Path) -> None:
    """Every row comes back as it was; none is changed, taken out, or put in below the last number."""
    path = tmp_path / "season.book"
    with Book.open(path, create=True) as book:
        book.tell(TOLD)
    with Book.open(path, create=False) as book:
        assert book.told() == TOLD
        assert book.ledger() == {"2b1c": TOLD[1], "7f00": TOLD[2]}
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for statement, words in (
            ("UPDATE calendar SET summary = ''", "never changed"),
            ("DELETE FROM calendar", "never deleted"),
            ("INSERT INTO calendar SELECT * FROM calendar WHERE sequence = 0", "above the last one"),
        ):
            with pytest.raises(sqlite3.IntegrityError, match=words):
                connection.execute(statement)
    with pytest.raises(BookError), Book.open(path, create=True) as book:
        book.tell([TOLD[0]])
    with Book.open(path, create=False) as book:
        assert book.told() == TOLD


def test_a_ledger_that_cannot_be_read_is_told(tmp_path: Path) -> None:
    """A line that somebody else has written into the table ends in one sentence."""
    path = tmp_path / "season.book"
    with Book.open(path, create=True) as book:
        book.tell(TOLD)
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute(
            "INSERT INTO calendar SELECT 'x', 0, 'VJOURNAL', '', '', '', '', '', '', '', '', NULL"
        )
    with pytest.raises(BookError) as caught, Book.open(path, create=False) as book:
        book.ledger()
    assert "the calendar entry 'x' cannot be read: kind" in caught.value.fault.found
