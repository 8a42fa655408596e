"""The own check and the parsers together refuse every defect that is planted into a sound calendar file."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from scheduler.present.calendar import calendar
from scheduler.present.calendar_check import faults
from tests.present.readers import READERS
from tests.sample import sample_plan

SAMPLE = calendar(sample_plan())
UIDS = sorted(READERS["icalendar"](SAMPLE))
LONG = b"SUMMARY:" + b"x" * 90 + b"\r\n"

DEFECTS: dict[str, tuple[bytes, bytes, str]] = {
    "no UID": (f"UID:{UIDS[0]}\r\n".encode(), b"", "UID is missing"),
    "no DTSTAMP": (b"DTSTAMP:20261128T000000Z\r\n", b"", "DTSTAMP is missing"),
    "no DTSTART": (b"DTSTART;VALUE=DATE:20270120\r\n", b"", "DTSTART is missing"),
    "no DTEND": (b"DTEND;VALUE=DATE:20270121\r\n", b"", "DTEND is missing"),
    "no SUMMARY": (b"SUMMARY:Build the cherry raft\r\n", b"", "SUMMARY is missing"),
    "DTEND before DTSTART": (b"DATE:20270121", b"DATE:20270119", "DTEND is not later"),
    "DTEND on DTSTART": (b"DATE:20270121", b"DATE:20270120", "DTEND is not later"),
    "DTEND of other type": (
        b"DTEND;VALUE=DATE:20270121",
        b"DTEND:20270121T000000Z",
        "DTEND has the parameters",
    ),
    "no such day": (b"DATE:20270121", b"DATE:20270231", "there is no day 20270231"),
    "bad STATUS": (b"STATUS:CONFIRMED", b"STATUS:PLANNED", "STATUS cannot be 'PLANNED'"),
    "two SUMMARY": (b"SUMMARY:Build", b"SUMMARY:x\r\nSUMMARY:Build", "SUMMARY stands there 2 times"),
    "VALUE=DATE missing": (b"DTSTART;VALUE=DATE:", b"DTSTART:", "DTSTART has the parameters ''"),
    "unknown time zone": (
        b"DTSTART;VALUE=DATE:20270120",
        b"DTSTART;TZID=Mars/Dome:20270120T090000",
        "DTSTART has",
    ),
    "raw newline in text": (b"raft. Hands", b"raft.\r\nHands", "neither a property nor its continuation"),
    "END:VEVENT missing": (
        b"END:VEVENT\r\nBEGIN:VEVENT\r\n",
        b"BEGIN:VEVENT\r\n",
        "closes nothing that is open",
    ),
    "END:VCALENDAR missing": (b"END:VCALENDAR\r\n", b"", "BEGIN:VCALENDAR is never closed"),
    "no PRODID": (b"PRODID:-//Budswell//Season calendar//EN\r\n", b"", "PRODID is missing"),
    "no VERSION": (b"VERSION:2.0\r\n", b"", "VERSION is missing"),
    "duplicate UID": (UIDS[0].encode(), UIDS[1].encode(), "2 components have the UID"),
    "LF only": (b"STATUS:CONFIRMED\r\n", b"STATUS:CONFIRMED\n", "a line end that is not CRLF"),
    "line over 75 octets": (b"SUMMARY:Build the cherry raft\r\n", LONG, "98 octets"),
    "SEQUENCE:abc": (b"SEQUENCE:0", b"SEQUENCE:abc", "SEQUENCE cannot be 'abc'"),
    "DTEND and DURATION": (b"DTEND;", b"DURATION:P1D\r\nDTEND;", "DURATION does not belong here"),
    "alarm without TRIGGER": (
        b"END:VEVENT",
        b"BEGIN:VALARM\r\nACTION:AUDIO\r\nEND:VALARM\r\nEND:VEVENT",
        "does not belong in VEVENT",
    ),
    "COLOR as hex": (b"COLOR:olivedrab", b"COLOR:#6b8e23", "COLOR cannot be"),
    "REFRESH-INTERVAL without VALUE": (b";VALUE=DURATION", b"", "REFRESH-INTERVAL has the parameters"),
    "X-PUBLISHED-TTL no duration": (b"TTL:PT6H", b"TTL:6:00:00", "X-PUBLISHED-TTL cannot be"),
    "METHOD without ORGANIZER": (b"CALSCALE", b"METHOD:PUBLISH\r\nCALSCALE", "METHOD does not belong"),
    "calendar UID": (b"CALSCALE", b"UID:calendar\r\nCALSCALE", "UID does not belong here"),
    "Latin-1 bytes": (b"SUMMARY:Build", b"SUMMARY:Bu\xefld", "not UTF-8"),
    "control character": (b"SUMMARY:Build", b"SUMMARY:Bu\x07ild", "a control character"),
    "unescaped comma": (b"rye\\, needed", b"rye, needed", "DESCRIPTION cannot be"),
    "local DTSTAMP": (b"DTSTAMP:20261128T000000Z", b"DTSTAMP:20261128T000000", "DTSTAMP cannot be"),
    "busy day": (b"TRANSP:TRANSPARENT\r\n", b"TRANSP:OPAQUE\r\n", "TRANSP cannot be"),
}
"""What is replaced (first place), by what, and what the own check says."""


def refuses(reader: Callable[[bytes], object], data: bytes) -> bool:
    """Whether a parser complains, or does not find what was written."""
    try:
        return reader(data) != reader(SAMPLE)
    except Exception:
        return True


@pytest.mark.parametrize(("old", "new", "words"), DEFECTS.values(), ids=DEFECTS)
def test_the_own_check_names_every_defect(old: bytes, new: bytes, words: str) -> None:
    """One defect, one sentence that says what it is."""
    assert old in SAMPLE
    assert any(words in fault for fault in faults(SAMPLE.replace(old, new, 1)))


def test_the_parsers_refuse_defects_too() -> None:
    """The good file passes everywhere; each parser refuses its share, and nine defects only the own check."""
    assert not any(refuses(reader, SAMPLE) for reader in READERS.values())
    refused = {
        name: {d for d, (old, new, _) in DEFECTS.items() if refuses(reader, SAMPLE.replace(old, new, 1))}
        for name, reader in READERS.items()
    }
    assert {"no UID", "no DTSTAMP", "no PRODID", "two SUMMARY", "raw newline in text"} <= refused["vobject"]
    assert {"bad STATUS", "SEQUENCE:abc", "DTEND of other type", "Latin-1 bytes"} <= refused["ical"]
    assert {"no DTSTART", "no VERSION", "END:VEVENT missing"} <= refused["icalendar"]
    alone = DEFECTS.keys() - set.union(*refused.values())
    assert alone == {
        "VALUE=DATE missing",
        "LF only",
        "COLOR as hex",
        "REFRESH-INTERVAL without VALUE",
        "X-PUBLISHED-TTL no duration",
        "METHOD without ORGANIZER",
        "calendar UID",
        "local DTSTAMP",
        "busy day",
    }


@pytest.mark.parametrize(
    "data", [b"", b"\r\n", b"BEGIN:VCALENDAR\r\n", b"\xff\xfe", SAMPLE * 2, SAMPLE[:700]]
)
def test_what_is_no_single_calendar_is_refused(data: bytes) -> None:
    """Nothing, half a file, two files in one, and bytes of another kind are all refused without a crash."""
    assert faults(data)


def test_a_fold_inside_a_character_is_refused() -> None:
    """Folding counts octets but never parts a letter, as several programs would show two broken ones."""
    data = SAMPLE.replace(b"SUMMARY:Build", "SUMMARY:ä".encode()[:-1] + b"\r\n \xa4 Build", 1)
    assert any("folded inside a character" in fault for fault in faults(data))
