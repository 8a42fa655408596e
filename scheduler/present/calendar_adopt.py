"""Reads an exported calendar file back for what the ledger has to know, where the book has lost it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime
from pathlib import Path
from uuid import UUID

from scheduler.errors import Fault, UsageError
from scheduler.ledger import Kind, Row, Shown
from scheduler.present.calendar import PRODID, SEASON, season_mark
from scheduler.present.calendar_lines import Component, components, plain, sha, unfolded
from scheduler.workdays import ONE_DAY

_OURS = "a calendar file that budswell has written for this season"
_KINDS: dict[str, Kind] = {"VEVENT": "VEVENT", "VTODO": "VTODO"}
_GONE = ("CANCELLED", "COMPLETED")


def read_back(path: Path, season_id: str, names: Mapping[str, str]) -> list[Row]:
    """The rows of the ledger as the file at `path` tells them.

    `names` says, by UID, which task or order an entry is, as far as that is known. Raises UsageError where
    the file cannot be read, is none of ours, or is of another season.
    """
    calendar, entries = _parts(path)
    # Files of the first version bear no mark: they are known by their entries.
    if not calendar.value(SEASON) and not any(entry.value("UID") in names for entry in entries):
        raise UsageError(_of_another_season(path, calendar))
    _require_mark(path, calendar, season_id)
    return [_row(path, entry, names) for entry in entries]


def require_readable(path: Path, season_id: str) -> None:
    """Raises the UsageError of `read_back` as far as it can be known without a plan."""
    calendar, entries = _parts(path)
    _require_mark(path, calendar, season_id)
    for entry in entries:
        _row(path, entry, {})


def _require_mark(path: Path, calendar: Component, season_id: str) -> None:
    if calendar.value(SEASON) not in ("", season_mark(season_id)):
        raise UsageError(_of_another_season(path, calendar))


def _of_another_season(path: Path, calendar: Component) -> Fault:
    return Fault(str(path), f'it is of another season: "{plain(calendar.value("NAME"))}"', _OURS)


def _parts(path: Path) -> tuple[Component, list[Component]]:
    try:
        data = path.read_bytes()
    except OSError as error:
        raise UsageError(Fault(str(path), f"it cannot be read: {error.strerror}", _OURS)) from error
    # A file that went through other hands may have lost the ends of its lines, and nothing else.
    found, misfits = components(unfolded(data.replace(b"\r\n", b"\n").replace(b"\n", b"\r\n")))
    if misfits or not found or found[0].name != "VCALENDAR" or found[0].value("PRODID") != PRODID:
        raise UsageError(Fault(str(path), "this is no calendar that budswell has written", _OURS))
    return found[0], [part for part in found[0].parts if part.name in _KINDS]


def _row(path: Path, entry: Component, names: Mapping[str, str]) -> Row:
    try:
        uid = str(UUID(entry.value("UID")))
        modified = _moment(entry.value("LAST-MODIFIED"))
        first, last = _days(entry)
        gone = entry.value("STATUS") in _GONE
        shown = Shown(
            uid=uid,
            kind=_KINDS[entry.name],
            name=names.get(uid, ""),
            sha=sha(entry),
            summary=plain(entry.value("SUMMARY")).removeprefix("Cancelled: " if gone else ""),
            category=plain(entry.value("CATEGORIES").partition(",")[0]),
            first=first,
            last=last,
        )
        number = int(entry.value("SEQUENCE"))
        if number < 0:
            raise ValueError(f"SEQUENCE:{number}")
        return Row(
            shown, number, _moment(entry.value("CREATED")), modified, modified.date() if gone else None
        )
    except ValueError as error:
        where, found = f"{path}:{entry.line}", f"this entry cannot be read: {error}"
        raise UsageError(Fault(where, found, _OURS, "take the file as it was written")) from error


def _days(entry: Component) -> tuple[date, date]:
    """First and last day of an entry."""
    if entry.name == "VTODO":
        last = date.fromisoformat(entry.value("DUE")[:8])
        begins = entry.value("DTSTART")
        return date.fromisoformat(begins[:8]) if begins else last, last
    first, end = (date.fromisoformat(entry.value(name)[:8]) for name in ("DTSTART", "DTEND"))
    return first, max(first, end - ONE_DAY if "DATE" in entry.parameters("DTEND") else end)


def _moment(text: str) -> datetime:
    return datetime.strptime(text, "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)
