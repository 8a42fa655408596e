"""What calendars were told as plain JSON values, and back: the columns of the book's table."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any, cast, get_args

from scheduler.book.entry_text import require
from scheduler.ledger import Kind, Row, Shown

COLUMNS = (
    "uid",
    "sequence",
    "kind",
    "name",
    "sha",
    "summary",
    "category",
    "first_day",
    "last_day",
    "created",
    "modified",
    "removed_on",
)


def to_data(row: Row) -> dict[str, object]:
    """The row as texts and numbers, in the order of the columns."""
    shown = row.shown
    return {
        "uid": shown.uid,
        "sequence": row.sequence,
        "kind": shown.kind,
        "name": shown.name,
        "sha": shown.sha,
        "summary": shown.summary,
        "category": shown.category,
        "first_day": shown.first.isoformat(),
        "last_day": shown.last.isoformat(),
        "created": _text(row.created),
        "modified": _text(row.modified),
        "removed_on": row.removed_on and row.removed_on.isoformat(),
    }


def from_data(data: Mapping[str, Any]) -> Row:
    """Reads a row back; ValueError names the first key that is unknown, missing or holds what it cannot."""
    if data.keys() != set(COLUMNS):
        raise ValueError(f"what a calendar was told has {', '.join(COLUMNS)}")
    for key in COLUMNS:
        if key == "sequence":
            require(data[key], int, "sequence: a whole number")
        elif key != "removed_on" or data[key] is not None:
            require(data[key], str, f"{key}: a text")
    if data["kind"] not in get_args(Kind):
        raise ValueError(f"kind: {data['kind']!a} is not known")
    shown = Shown(
        uid=data["uid"],
        kind=cast(Kind, data["kind"]),
        name=data["name"],
        sha=data["sha"],
        summary=data["summary"],
        category=data["category"],
        first=_day(data, "first_day"),
        last=_day(data, "last_day"),
    )
    return Row(
        shown,
        data["sequence"],
        _moment(data, "created"),
        _moment(data, "modified"),
        _day(data, "removed_on") if data["removed_on"] is not None else None,
    )


def _day(data: Mapping[str, Any], key: str) -> date:
    found = date.fromisoformat(data[key])
    if found.isoformat() != data[key]:
        raise ValueError(f"{key}: a day as YYYY-MM-DD, not {data[key]!a}")
    return found


def _moment(data: Mapping[str, Any], key: str) -> datetime:
    try:
        found = datetime.fromisoformat(data[key])
    except ValueError as error:
        raise ValueError(f"{key}: {error}") from error
    if _text(found) != data[key]:
        raise ValueError(f"{key}: a moment as YYYY-MM-DDTHH:MM:SSZ, not {data[key]!a}")
    return found


def _text(moment: datetime) -> str:
    # %Y alone leaves out the zeros before a year on some machines.
    return f"{moment.year:04}-{moment:%m-%dT%H:%M:%SZ}"
