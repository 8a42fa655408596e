"""The own check and the parsers together refuse every defect that is planted into a sound calendar file."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from scheduler.plan import DayStart
from scheduler.present.calendar_check import faults
from tests.present.exports import calendar
from tests.present.readers import READERS
from tests.sample import SEASON, sample_plan

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
        "DTEND is of another kind than DTSTART",
    ),
    "no such day": (b"DATE:20270121", b"DATE:20270231", "there is no day 20270231"),
    "bad STATUS": (b"STATUS:CONFIRMED", b"STATUS:PLANNED", "STATUS cannot be 'PLANNED'"),
    "two SUMMARY": (b"SUMMARY:Build", b"SUMMARY:x\r\nSUMMARY:Build", "SUMMARY stands there 2 times"),
    "VALUE=DATE missing": (b"DTSTART;VALUE=DATE:", b"DTSTART:", "DTSTART cannot be '2027"),
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
    "DTSTAMP beside LAST-MODIFIED": (
        b"DTSTAMP:20261128",
        b"DTSTAMP:20261129",
        "DTSTAMP is not LAST-MODIFIED",
    ),
    "CREATED after LAST-MODIFIED": (b"CREATED:20261128", b"CREATED:20261129", "LAST-MODIFIED is earlier"),
    "SEQUENCE too great": (b"SEQUENCE:0", b"SEQUENCE:2147483648", "SEQUENCE cannot be '2147483648'"),
    "no season": (b"X-BUDSWELL-SEASON:", b"X-SEASON:", "X-BUDSWELL-SEASON is missing"),
    "free and busy": (b"BUSYSTATUS:FREE", b"BUSYSTATUS:BUSY", "CDO-BUSYSTATUS cannot be 'BUSY' all day"),
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


def refuses(reader: Callable[[bytes], object], data: bytes, sound: bytes = SAMPLE) -> bool:
    """Whether a parser complains, or does not find what was written."""
    try:
        return reader(data) != reader(sound)
    except Exception:
        return True


@pytest.mark.parametrize(("old", "new", "words"), DEFECTS.values(), ids=DEFECTS)
def test_the_own_check_names_every_defect(old: bytes, new: bytes, words: str) -> None:
    """One defect, one sentence that says what it is."""
    assert old in SAMPLE
    assert any(words in fault for fault in faults(SAMPLE.replace(old, new, 1)))


def test_the_parsers_refuse_defects_too() -> None:
    """The good file passes everywhere; each parser refuses its share, and thirteen defects only the own check."""
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
        "free and busy",
        "DTSTAMP beside LAST-MODIFIED",
        "CREATED after LAST-MODIFIED",
        "no season",
    }


TIMED = calendar(
    replace(sample_plan(), season=replace(SEASON, at=(DayStart("sat", "09:00"),))), alarm="evening before"
)
TO_DOS = calendar(sample_plan(), "VTODO", alarm="2 h before")
START = b"DTSTART;TZID=America/Toronto:20270130T090000"
WINTER, SUMMER = b"BYMONTH=11;BYDAY=1SU", b"BYMONTH=3;BYDAY=2SU"
ZONE = TIMED[TIMED.index(b"BEGIN:VTIMEZONE") : TIMED.index(b"BEGIN:VEVENT")]

OF_HOURS: dict[str, tuple[bytes, bytes, str]] = {
    "VTIMEZONE missing": (ZONE, b"", "has the time zone America/Toronto, which is not in the file"),
    "VTIMEZONE twice": (ZONE, ZONE + ZONE, "the time zone America/Toronto stands there twice"),
    "VTIMEZONE not used": (ZONE, ZONE + ZONE.replace(b"Toronto", b"Halifax"), "Halifax is not used"),
    "VTIMEZONE of nowhere": (b"TZID:America/Toronto", b"TZID:Mars/Dome", "Mars/Dome cannot be read"),
    "VTIMEZONE empty": (ZONE[ZONE.index(b"BEGIN:DAY") : ZONE.index(b"END:VTIME")], b"", "Toronto is empty"),
    "offset one hour wrong": (b"TZOFFSETTO:-0500", b"TZOFFSETTO:-0400", "whose rules are wrong on that day"),
    "summer begins a week late": (SUMMER, b"BYMONTH=4;BYDAY=-1SU", "whose rules are wrong on that day"),
    "summer of another month": (WINTER, b"BYMONTH=4;BYDAY=3SU", "whose rules are wrong on that day"),
    "rules that have ended": (SUMMER, SUMMER + b";UNTIL=20261231T235959Z", "whose rules are wrong"),
    "list of dates": (b"TZNAME:EST", b"TZNAME:EST\r\nRDATE:20261101T020000", "RDATE does not belong here"),
    "comment in VTIMEZONE": (b"TZID:America", b"COMMENT:x\r\nTZID:America", "COMMENT does not belong here"),
    "offset in words": (b"TZOFFSETFROM:-0500", b"TZOFFSETFROM:-5h", "TZOFFSETFROM cannot be '-5h'"),
    "DTSTART without a zone": (START, b"DTSTART:20270130T090000", "DTSTART cannot be '20270130T090000'"),
    "an hour that is not": (START, b"DTSTART;TZID=America/Toronto:20270130T250000", "DTSTART cannot be"),
    "DTEND before DTSTART": (b"Toronto:20270130T094500", b"Toronto:20270130T084500", "DTEND is not later"),
    "hours that are free": (
        b"TRANSP:OPAQUE",
        b"TRANSP:TRANSPARENT",
        "TRANSP cannot be 'TRANSPARENT' for hours",
    ),
    "alarm without TRIGGER": (b"TRIGGER:-PT15H\r\n", b"", "TRIGGER is missing"),
    "alarm without ACTION": (b"ACTION:DISPLAY\r\n", b"", "ACTION is missing"),
    "alarm that sends mail": (b"ACTION:DISPLAY", b"ACTION:EMAIL", "ACTION cannot be 'EMAIL'"),
    "alarm without UID": (b"TRIGGER:-PT15H\r\nUID", b"TRIGGER:-PT15H\r\nX-UID", "UID is missing"),
    "alarm at no time": (b"TRIGGER:-PT15H", b"TRIGGER:-P", "TRIGGER cannot be '-P'"),
    "alarm that counts from the end": (
        b"TRIGGER:-PT15H",
        b"TRIGGER;RELATED=END:-PT15H",
        "counts from what is not",
    ),
    "two alarms": (
        b"END:VALARM\r\n",
        b"END:VALARM\r\nBEGIN:VALARM\r\nEND:VALARM\r\n",
        "2 alarms",
    ),
    "alarm on its own": (
        b"END:VCALENDAR",
        b"BEGIN:VALARM\r\nEND:VALARM\r\nEND:VCALENDAR",
        "not belong in VCAL",
    ),
}
"""The same of a file with hours, a time zone and alarms."""

DUE = b"DUE;VALUE=DATE:20270130"

OF_TO_DOS: dict[str, tuple[bytes, bytes, str]] = {
    "no DUE": (DUE + b"\r\n", b"", "DUE is missing"),
    "DUE and DURATION": (DUE, DUE + b"\r\nDURATION:P1D", "DURATION does not belong here"),
    "DUE on DTSTART": (DUE, b"DTSTART;VALUE=DATE:20270130\r\n" + DUE, "DUE is not later than DTSTART"),
    "DUE of other type": (DUE, b"DUE:20270130T090000Z", "DUE has the parameters"),
    "bad STATUS": (b"STATUS:NEEDS-ACTION", b"STATUS:CONFIRMED", "STATUS cannot be 'CONFIRMED'"),
    "done without a day": (b"STATUS:NEEDS-ACTION", b"STATUS:COMPLETED", "STATUS do not say the same"),
    "TRANSP": (b"STATUS:NEEDS", b"TRANSP:OPAQUE\r\nSTATUS:NEEDS", "TRANSP does not belong here"),
    "PRIORITY 0": (b"PRIORITY:1", b"PRIORITY:0", "PRIORITY cannot be '0'"),
    "alarm that counts from the start": (
        b"TRIGGER;RELATED=END:",
        b"TRIGGER:",
        "counts from what is not there",
    ),
    "an event among them": (
        b"END:VCALENDAR",
        SAMPLE[SAMPLE.index(b"BEGIN:VEVENT") :],
        "events and to-dos in one file",
    ),
}
"""The same of a file of to-dos."""


@pytest.mark.parametrize(
    ("sound", "defects"), [(TIMED, OF_HOURS), (TO_DOS, OF_TO_DOS)], ids=["hours", "to-dos"]
)
def test_the_own_check_names_every_defect_of_other_files(
    sound: bytes, defects: dict[str, tuple[bytes, bytes, str]]
) -> None:
    """The sound file passes; one defect, one sentence that says what it is."""
    assert faults(sound) == []
    for name, (old, new, words) in defects.items():
        assert old in sound, name
        found = faults(sound.replace(old, new, 1))
        assert any(words in fault for fault in found), (name, found)


MATRIX = (
    *("no UID", "no DTSTAMP", "no DTSTART", "DTEND before DTSTART", "DTEND of other type", "bad STATUS"),
    *("two SUMMARY", "VALUE=DATE missing", "raw newline in text", "VTIMEZONE missing", "END:VEVENT missing"),
    *("no PRODID", "duplicate UID", "LF only", "line over 75 octets", "SEQUENCE:abc", "DUE and DURATION"),
    *("alarm without TRIGGER", "alarm without ACTION", "COLOR as hex", "REFRESH-INTERVAL without VALUE"),
    *("METHOD without ORGANIZER", "Latin-1 bytes"),
)
"""Defects that are known to pass one parser or another, five of them every one that was tried."""


def test_no_defect_of_the_matrix_goes_unseen() -> None:
    """Each of the 23 is planted by one of the tables above, and so refused."""
    assert len(MATRIX) == 23
    assert set(MATRIX) <= DEFECTS.keys() | OF_HOURS.keys() | OF_TO_DOS.keys()


def test_what_only_the_own_check_sees() -> None:
    """A missing time zone and a wrong one, and alarms that count from nowhere, pass some parser or all."""
    passed = {
        name
        for name, (old, new, _) in OF_HOURS.items()
        if not any(refuses(reader, TIMED.replace(old, new, 1), TIMED) for reader in READERS.values())
    }
    assert {"summer begins a week late", "alarm that counts from the end", "hours that are free"} <= passed


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
