"""Entries as growers write them, with something in every field."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime
from pathlib import Path

from scheduler.book.store import Book
from scheduler.ledger import Row, Shown
from scheduler.plan import Rewrite
from scheduler.progress import Entry, Recorded

AT = "2027-02-14T18:05:00-05:00"
DAY = date(2027, 2, 14)

PLAIN = Entry("clean", DAY, "NAM-G1a")
LOST = Entry(
    "lost", DAY, "NAM-G1a", units=("NAM-G1a/2", "NAM-G1a/3"), seen='grün\u2028\n"wet" \\ spots 🍄\x00'
)
FULL = Entry(
    "found",
    date(2028, 2, 29),
    "old jar",
    units=("a/1",),
    count=0,
    amount=450.0,
    parent="NAM-G1a",
    until=date(2028, 3, 1),
    seen="white",
    stage="grain",
    strain="house",
    forced=True,
    corrects=1,
    changes=(
        Rewrite("[[help]]", None, 'date = "2027-03-06"\nhours = 4'),
        Rewrite("[people].hours.sat", "4", None),
    ),
)
ENTRIES = (
    PLAIN,
    LOST,
    FULL,
    Entry("undo", DAY, "", corrects=2),
    Entry("picked", DAY, "Oak", amount=0.1 + 0.2),
)

TOLD = (
    Row(
        Shown("2b1c", "VEVENT", "NAM-G1a.cook", "ab12", "Cook 3 jars", "Lab", DAY, DAY),
        0,
        datetime(2026, 11, 28, tzinfo=UTC),
        datetime(2026, 11, 28, tzinfo=UTC),
    ),
    Row(
        Shown(
            "2b1c", "VEVENT", "NAM-G1a.cook", "cd34", "Cook 2 jars 🍄\u2028,;", "Lab", DAY, date(2027, 2, 15)
        ),
        1,
        datetime(2026, 11, 28, tzinfo=UTC),
        datetime(2027, 2, 3, 12, 30, 59, tzinfo=UTC),
        date(2027, 2, 3),
    ),
    Row(
        Shown("7f00", "VTODO", "", "", "", "Order", DAY, DAY),
        2_000_000_000,
        datetime(2026, 11, 28, tzinfo=UTC),
        datetime(2026, 11, 28, tzinfo=UTC),
    ),
)
"""What calendars were told, by UID and number."""


def record(path: Path, *entries: Entry) -> list[int]:
    """Records each entry with a command of its own."""
    numbers = []
    for entry in entries:
        with Book.open(path, create=True) as book:
            numbers.append(book.record(entry, AT))
    return numbers


def recorded(path: Path) -> tuple[Recorded, ...]:
    """All entries, read by a command of its own."""
    with Book.open(path, create=False) as book:
        return book.entries()


def numbered(entries: Iterable[Entry]) -> tuple[Recorded, ...]:
    """The entries as a book gives them that was begun with them."""
    return tuple(Recorded(number, AT, entry) for number, entry in enumerate(entries, start=1))
