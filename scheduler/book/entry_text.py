"""An entry as plain JSON values, and back: beside what every entry has, only what differs from its default.

The standard library is all that this takes, so that a command that records or reads entries starts at once.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping
from dataclasses import MISSING, asdict, fields
from datetime import date
from typing import Any, NoReturn, cast, get_args

from scheduler.plan import Rewrite
from scheduler.progress import Entry, Kind

COLUMNS = ("kind", "on", "subject", "corrects")
"""The fields that have a column of their own in the book."""


def to_data(entry: Entry) -> dict[str, object]:
    """The entry as dicts, lists, texts and numbers, in the order of its fields; defaults are left out."""
    values = ((field, getattr(entry, field.name)) for field in fields(entry))
    return {field.name: _plain(value) for field, value in values if value != field.default}


def from_data(data: Mapping[str, object]) -> Entry:
    """Reads an entry back; the inverse of `to_data`.

    Raises ValueError, which names the first key that is unknown, missing or holds what it cannot.
    """
    for key in data:
        if key not in _READ:
            raise ValueError(f"{key!a} is no part of an entry")
    for key in _NEEDED:
        if key not in data:
            raise ValueError(f"{key} is missing")
    values: dict[str, Any] = {}
    for key, value in data.items():
        try:
            values[key] = _READ[key](value)
        except (ValueError, OverflowError) as error:
            raise ValueError(f"{key}: {error}") from error
    return Entry(**values)


def to_text(entry: Entry) -> str:
    """What of an entry has no column of its own, as JSON."""
    return json_line({key: value for key, value in to_data(entry).items() if key not in COLUMNS})


def from_text(text: object, columns: Mapping[str, object]) -> Entry:
    """Reads an entry from its columns and from what `to_text` made of the rest; ValueError as `from_data`."""
    data = json_object(text)
    for key in COLUMNS:
        if key in data:
            raise ValueError(f"{key} has a column of its own")
    return from_data({**{key: value for key, value in columns.items() if value is not None}, **data})


def json_line(data: Mapping[str, object]) -> str:
    """JSON on one line, names in the letters they are written in. ValueError where a number is not finite."""
    return json.dumps(data, ensure_ascii=False, allow_nan=False)


def json_object(text: object) -> dict[str, object]:
    """Reads one JSON object. Raises ValueError for any other text, and for a value that is no text at all."""
    require(text, str, "a text")
    try:
        data = json.loads(cast(str, text), parse_constant=_no_number)
    except json.JSONDecodeError as error:
        raise ValueError(f"no JSON: {error.msg} at character {error.pos + 1}") from error
    except RecursionError as error:
        raise ValueError("no JSON that can be read: it is nested too deeply") from error
    require(data, dict, "a JSON object")
    return cast(dict[str, object], data)


def require(value: object, kind: type, name: str) -> None:
    """Raises ValueError where a value is not of a kind, which has a name for people; true is no number."""
    if type(value) is not kind:
        raise ValueError(f"{name}, not {_shown(value)}")


def require_letters(text: str) -> None:
    """Raises ValueError where a text holds what no file can: half of a pair of UTF-16."""
    try:
        text.encode()
    except UnicodeEncodeError as error:
        raise ValueError("letters that are not UTF-8") from error


def _plain(value: object) -> object:
    match value:
        case date():
            return value.isoformat()
        case Rewrite():
            return asdict(value)
        case tuple():
            return [_plain(part) for part in value]
    return value


def _no_number(word: str) -> NoReturn:
    raise ValueError(f"no JSON: {word} is no number")


def _shown(value: object) -> str:
    text = json.dumps(value, default=repr)
    return text if len(text) <= 40 else f"{text[:40]}..."


def _text(value: object) -> str:
    require(value, str, "a text")
    return cast(str, value)


def _whole(value: object) -> int:
    require(value, int, "a whole number")
    return cast(int, value)


def _number(value: object) -> float:
    if type(value) is int:
        return float(value)
    require(value, float, "a number")
    number = cast(float, value)
    if not math.isfinite(number):  # 1e999 is JSON
        raise ValueError("a number that is not too large")
    return number


def _flag(value: object) -> bool:
    require(value, bool, "true or false")
    return cast(bool, value)


def _day(value: object) -> date:
    text = _text(value)
    day = date.fromisoformat(text)
    if day.isoformat() != text:
        raise ValueError(f"a day as YYYY-MM-DD, not {_shown(text)}")
    return day


def _kind(value: object) -> Kind:
    if value not in get_args(Kind):
        raise ValueError(f"{_shown(value)} is not known")
    return cast(Kind, value)


def _list(value: object) -> list[object]:
    require(value, list, "a list")
    return cast(list[object], value)


def _texts(value: object) -> tuple[str, ...]:
    return tuple(_text(part) for part in _list(value))


def _rewrites(value: object) -> tuple[Rewrite, ...]:
    return tuple(_rewrite(part) for part in _list(value))


def _rewrite(value: object) -> Rewrite:
    require(value, dict, "a list of objects")
    parts = cast(dict[str, object], value)
    if parts.keys() != {"key", "was", "now"}:
        raise ValueError("each change has key, was and now")
    was, now = (None if parts[key] is None else _text(parts[key]) for key in ("was", "now"))
    return Rewrite(_text(parts["key"]), was, now)


_READ: dict[str, Callable[[object], object]] = {
    "kind": _kind,
    "on": _day,
    "subject": _text,
    "units": _texts,
    "count": _whole,
    "amount": _number,
    "parent": _text,
    "until": _day,
    "seen": _text,
    "stage": _text,
    "strain": _text,
    "forced": _flag,
    "corrects": _whole,
    "changes": _rewrites,
}
"""How each field of an entry is read."""

_NEEDED = tuple(field.name for field in fields(Entry) if field.default is MISSING)
