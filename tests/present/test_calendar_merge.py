"""An entry as another program has left it: the number that is above its own."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from scheduler.ledger import HIGHEST, Row, Shown, When
from scheduler.present.calendar_merge import above, entry

NOON = datetime(2027, 2, 6, 12, tzinfo=UTC)
ROW = Row(Shown("x", "VTODO", "x", "a", "Work", "Lab", NOON.date(), NOON.date()), 5, NOON, NOON)
TEXT = (
    "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:x\r\nBEGIN:VTODO\r\nUID:x\r\nDTSTAMP:20270101T000000Z\r\n"
    "{lines}SUMMARY:Work\r\nEND:VTODO\r\nEND:VCALENDAR\r\n"
)


@pytest.mark.parametrize(
    "line",
    [
        "FREEBUSY:P1D/P1D",
        "SEQUENCE:x",
        "DUE:x",
        "COMPLETED:",
        "BEGIN:X",
        "END:X",
        "no property",
        "END:VTODO\r\nBEGIN:VTODO",
    ],
)
def test_an_entry_that_cannot_be_read_is_none(line: str) -> None:
    """Whatever the library says of it; it is left, and stops no other."""
    assert entry(TEXT.format(lines="").encode()) is not None
    assert entry(TEXT.format(lines=f"{line}\r\n").encode()) is None


@pytest.mark.parametrize(
    ("numbers", "found"),
    [
        ([], 5),
        ([-1], 5),
        ([4], 5),
        ([5], 6),
        ([HIGHEST], HIGHEST + 1),
        ([HIGHEST + 1], None),
        ([2**31 - 1], None),
        ([1, 2], None),
    ],
)
def test_a_number_is_above_that_of_the_server(numbers: list[int], found: int | None) -> None:
    """With a later moment where it is not that of the book; of what cannot be counted on, there is none."""
    theirs = entry(TEXT.format(lines="".join(f"SEQUENCE:{one}\r\n" for one in numbers)).encode())
    assert theirs is not None
    after = above(ROW, theirs, When(NOON - timedelta(days=1), date(2027, 2, 5)))
    assert (after and after.sequence) == found
    if after and after != ROW:
        assert after.modified == NOON + timedelta(seconds=1)
