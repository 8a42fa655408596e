"""Reads an exported calendar file back for what the ledger has to know, where the book has lost it."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import nullcontext, suppress
from datetime import UTC, date, datetime
from pathlib import Path
from uuid import UUID

from scheduler.errors import Fault, UsageError
from scheduler.ledger import HIGHEST, Kind, Row, Shown
from scheduler.plan import id_of
from scheduler.present.calendar import PRODID, SEASON, season_mark
from scheduler.present.calendar_items import one_line
from scheduler.present.calendar_lines import Component, components, plain, sha, unfolded
from scheduler.workdays import ONE_DAY, YEARS

NameOf = Callable[[str], str]

_OURS = "a calendar file that budswell has written for this season"
_KINDS: dict[str, Kind] = {"VEVENT": "VEVENT", "VTODO": "VTODO"}
_GONE = ("CANCELLED", "COMPLETED")


def read_back(path: Path, season_id: str, name_of: NameOf, whole: bool = True) -> list[Row]:
    """The rows of the ledger as the file at `path` tells them.

    `name_of` says by its UID which task or order an entry is, and nothing where nobody knows it. Raises
    UsageError where the file cannot be read, is none of ours, or is of another season; where an entry cannot
    be read, too, if it is to be taken up `whole`.
    """
    calendar, entries = _parts(path)
    # Files of the first version bear no mark: they are known by their entries.
    if not calendar.value(SEASON) and not any(name_of(entry.value("UID")) for entry in entries):
        raise UsageError(_of_another_season(path, calendar))
    _require_mark(path, calendar, season_id)
    rows = []
    for entry in entries:
        with nullcontext() if whole else suppress(UsageError):
            rows.append(_row(path, entry, name_of))
    return rows


def require_readable(path: Path, season_id: str) -> None:
    """Raises the UsageError of `read_back` as far as it can be known without a plan."""
    calendar, entries = _parts(path)
    _require_mark(path, calendar, season_id)
    for entry in entries:
        _row(path, entry, lambda uid: "")


def _require_mark(path: Path, calendar: Component, season_id: str) -> None:
    if calendar.value(SEASON) not in ("", season_mark(season_id)):
        raise UsageError(_of_another_season(path, calendar))


def _of_another_season(path: Path, calendar: Component) -> Fault:
    name = plain(calendar.value("NAME"))
    hint = "where its id or its name was changed: what stood in the season file before"
    for told in (name, name.rpartition(": ")[0]):  # the name of a season, or that of one of several files
        if calendar.value(SEASON) == season_mark(id_of(told)):
            hint = f'where the season was renamed: id = "{id_of(told)}" below [season]'
    return Fault(str(path), f'it is of another season: "{name}"', _OURS, hint)


def _parts(path: Path) -> tuple[Component, list[Component]]:
    try:
        if path.exists() and not path.is_dir() and not path.is_file():
            raise UsageError(Fault(str(path), "it cannot be read: this is no plain file", _OURS))
        data = path.read_bytes()
    except OSError as error:
        raise UsageError(Fault(str(path), f"it cannot be read: {error.strerror}", _OURS)) from error
    # A file that went through other hands may have lost the ends of its lines, and nothing else.
    found, misfits = components(unfolded(data.replace(b"\r\n", b"\n").replace(b"\n", b"\r\n")))
    if misfits or not found or found[0].name != "VCALENDAR" or found[0].value("PRODID") != PRODID:
        raise UsageError(Fault(str(path), "this is no calendar that budswell has written", _OURS))
    return found[0], [part for part in found[0].parts if part.name in _KINDS]


def _row(path: Path, entry: Component, name_of: NameOf) -> Row:
    try:
        uid = str(UUID(entry.value("UID")))
        created, modified = (_moment(entry, name) for name in ("CREATED", "LAST-MODIFIED"))
        if created > modified:
            raise ValueError("LAST-MODIFIED is earlier than CREATED")
        first, last = _days(entry)
        gone = entry.value("STATUS") in _GONE
        shown = Shown(
            uid=uid,
            kind=_KINDS[entry.name],
            name=name_of(uid),
            sha=sha(entry),
            summary=_text(entry.value("SUMMARY")).removeprefix("Cancelled: " if gone else ""),
            category=one_line(plain(entry.value("CATEGORIES").partition(",")[0])),
            first=first,
            last=last,
        )
        return Row(shown, _number(entry), created, modified, modified.date() if gone else None)
    except ValueError as error:
        where, found = f"{path}:{entry.line}", f"this entry cannot be read: {error}"
        raise UsageError(Fault(where, found, _OURS, "take the file as it was written")) from error


def _days(entry: Component) -> tuple[date, date]:
    """First and last day of an entry."""
    if entry.name == "VTODO":
        last = _day(entry, "DUE")
        return _day(entry, "DTSTART") if entry.value("DTSTART") else last, last
    first, end = _day(entry, "DTSTART"), _day(entry, "DTEND")
    return first, max(first, end - ONE_DAY if "DATE" in entry.parameters("DTEND") else end)


def _number(entry: Component) -> int:
    number = int(entry.value("SEQUENCE"))
    if not 0 <= number <= HIGHEST:
        raise ValueError(f"SEQUENCE:{number}")
    return number


def _day(entry: Component, name: str) -> date:
    return _sane(date.fromisoformat(entry.value(name)[:8]), name)


def _moment(entry: Component, name: str) -> datetime:
    found = datetime.strptime(entry.value(name), "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)
    _sane(found.date(), name)
    return found


def _sane(found: date, name: str) -> date:
    if found.year not in YEARS:
        raise ValueError(f"{name} lies in the year {found.year}")
    return found


def _text(value: str) -> str:
    found = one_line(plain(value))
    if not found:
        raise ValueError("SUMMARY is empty")
    return found
