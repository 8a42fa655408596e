"""Parsers that calendar programs are built on, and that no Python package brings, read what the plan says."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from tests.command import inside
from tests.february import planned
from tests.present.exports import calendar
from tests.present.foreign import FOREIGN, FOREIGN_TO_DOS
from tests.present.readers import by_vobject, to_dos_by_vobject
from tests.present.test_calendar import SAMPLE, TEXTS, only
from tests.present.test_calendar_check import DEFECTS, OF_HOURS, OF_TO_DOS, TIMED, TO_DOS, refuses
from tests.present.test_calendar_hours import NIGHTS, ZONES, task, timed, weekly
from tests.sample import SEASON, sample_plan

READERS = pytest.mark.parametrize("name", FOREIGN)


@READERS
def test_they_read_what_the_others_read(name: str) -> None:
    """Days, titles and texts of events and to-dos; and a calendar of which nothing is left."""
    assert FOREIGN[name](SAMPLE) == by_vobject(SAMPLE)
    assert FOREIGN_TO_DOS[name](TO_DOS) == to_dos_by_vobject(TO_DOS)
    assert FOREIGN[name](calendar(replace(sample_plan(), tasks=(), orders=()))) == {}


@READERS
@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS)
def test_any_text_arrives_whole(name: str, text: str) -> None:
    """In titles, notes and the season's name."""
    plan = replace(only(sample_plan(), 1, title=text, why=text), season=replace(SEASON, name=text))
    [(_, _, title, notes)] = FOREIGN[name](calendar(plan)).values()
    [(_, status, also_title, also_notes)] = FOREIGN_TO_DOS[name](calendar(plan, "VTODO", "morning")).values()
    assert title == also_title == " ".join(text.split())
    assert notes == also_notes
    assert f"\nWhy: {text}\n" in notes
    assert status == "NEEDS-ACTION"


@READERS
@pytest.mark.parametrize("zone", ZONES)
def test_every_week_of_a_season_is_at_its_hour(name: str, zone: str) -> None:
    """By the rules of the file alone: the zone has a name that neither knows."""
    data, wanted = weekly(zone)
    found = FOREIGN[name](data.replace(zone.encode(), f"Season/{zone}".encode()))
    assert {title: (first, end) for first, end, title, _ in found.values()} == wanted


@READERS
@pytest.mark.parametrize(("zone", "on", "at", "begins"), NIGHTS)
def test_hours_on_the_night_of_a_change(name: str, zone: str, on: date, at: str, begins: str) -> None:
    """Four tasks pass through the change in an unbroken row."""
    data = calendar(timed(*(task(one, on, 30) for one in "abcd"), zone=zone, sun=at))
    found = FOREIGN[name](data.replace(zone.encode(), f"Season/{zone}".encode()))
    hours = sorted((first, end) for first, end, _, _ in found.values())
    assert hours[0][0].isoformat().startswith(begins[:16])
    assert [end - first for first, end in hours] == 4 * [timedelta(minutes=30)]
    assert [end for _, end in hours[:-1]] == [first for first, _ in hours[1:]]


@READERS
def test_a_whole_season_arrives(name: str, tmp_path: Path) -> None:
    """The backyard as the command writes it: events with an alarm each, to-dos, and the days for helpers."""
    planned(tmp_path)
    files = ("-o", "a.ics", "--todos", "t.ics", "--helpers", "h.ics", "--alarm", "evening before")
    assert inside("calendar", "backyard", *files, cwd=tmp_path).code == 0
    events, to_dos, helpers = ((tmp_path / one).read_bytes() for one in ("a.ics", "t.ics", "h.ics"))
    assert len(FOREIGN[name](events)) > 100
    assert FOREIGN[name](events) == by_vobject(events)
    assert FOREIGN[name](helpers) == by_vobject(helpers)
    assert FOREIGN_TO_DOS[name](to_dos) == to_dos_by_vobject(to_dos)


REFUSED = {
    "ical.js": {
        *("no UID", "no DTSTART", "no DTEND", "VALUE=DATE missing", "raw newline in text", "two SUMMARY"),
        *("END:VEVENT missing", "DTEND before DTSTART", "DTEND of other type", "duplicate UID"),
        *("Latin-1 bytes", "no such day"),
        *("VTIMEZONE missing", "VTIMEZONE empty", "offset one hour wrong", "summer begins a week late"),
        *("summer of another month", "rules that have ended", "offset in words"),
        *("no DUE", "DUE of other type"),
    },
    "libical": {
        *("no UID", "no DTSTAMP", "no DTSTART", "no PRODID", "no VERSION", "two SUMMARY"),
        *("raw newline in text", "END:VEVENT missing", "METHOD without ORGANIZER", "bad STATUS"),
        *("DTEND and DURATION", "duplicate UID", "no such day", "Latin-1 bytes"),
        *("VTIMEZONE empty", "offset one hour wrong", "summer begins a week late"),
        *("summer of another month", "rules that have ended"),
        *("no DUE", "DUE of other type", "an event among them"),
    },
}
"""Defects that each is known to see; of what only the own check saw, each sees one."""


@READERS
def test_they_refuse_defects(name: str) -> None:
    """Or read something else than was written; and the sound files pass."""
    refused = {
        defect
        for reader, sound, defects in (
            (FOREIGN[name], SAMPLE, DEFECTS),
            (FOREIGN[name], TIMED, OF_HOURS),
            (FOREIGN_TO_DOS[name], TO_DOS, OF_TO_DOS),
        )
        for defect, (old, new, _) in {"none at all": (b"", b"", ""), **defects}.items()
        if refuses(reader, sound.replace(old, new, 1), sound)
    }
    assert REFUSED[name] <= refused
    assert "none at all" not in refused
