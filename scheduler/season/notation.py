"""The season file as data that is changed: values as TOML text, names of places, and the change itself.

A place is a key of a table (``[people].hours.sat``), a key of a block of a list (``[[lab.cooker]] 2: holds``,
``[[planting]] Oak stack: window``), or a whole block: named it is there already, unnamed it is new. Plantings
go by their name, all other blocks by their position from 1.
"""

from __future__ import annotations

import copy
import json
import re
import tomllib
from collections.abc import Iterable
from datetime import date
from typing import Any

from scheduler.plan import Rewrite

Document = dict[str, Any]
"""A season file as TOML reads it."""

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_QUOTED = r'"(?:[^"\\]|\\.)*"'
_NAME = re.compile(r'[^":]+')
"""A name that needs no quotes in front of a colon."""
_BLOCK = re.compile(rf"\[\[([\w.]+)\]\](?: ({_QUOTED}|{_NAME.pattern}))?(?:: (.+))?")
_KEY = re.compile(r"\[([\w.]+)\]\.(.+)")


def toml(value: object) -> str:
    """A value of a season file as TOML writes it on one line."""
    match value:
        case bool():
            return str(value).lower()
        case str():
            return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
        case float():
            return f"{value:.10g}"
        case date():
            return value.isoformat()
        case list():
            return f"[{', '.join(map(toml, value))}]"
        case dict():
            return f"{{ {', '.join(f'{key(name)} = {toml(one)}' for name, one in value.items())} }}"
        case _:
            return str(value)


def key(*parts: str) -> str:
    """A dotted key, each part in quotes where it has to be."""
    return ".".join(part if _BARE.fullmatch(part) else toml(part) for part in parts)


def block(table: str, which: str) -> str:
    """The place of one block of a list, by its name or position."""
    return f"[[{table}]] {which if _NAME.fullmatch(which) else toml(which)}"


def blocks(document: Document, table: str) -> list[Document]:
    """The blocks of a list; a lone table is a list of one."""
    *above, last = table.split(".")
    for name in above:
        document = document.get(name, {})
    found = document.get(last, [])
    return found if isinstance(found, list) else [found]


def apply(document: Document, changes: Iterable[Rewrite]) -> Document:
    """The document with the changes of a remedy written into it, one after the other.

    Raises LookupError for a block that is not there, ValueError for a place or a value that cannot be read.
    """
    changed = copy.deepcopy(document)
    for change in changes:
        value = None if change.now is None else tomllib.loads(f"value = {change.now}")["value"]
        if in_block := _BLOCK.fullmatch(change.key):
            _write_block(changed, in_block[1], in_block[2], in_block[3], value)
        elif in_table := _KEY.fullmatch(change.key):
            _write(_table(changed, in_table[1]), in_table[2], value)
        else:
            raise ValueError(f"{change.key} is no place of a season file")
    return changed


def _write_block(document: Document, table: str, which: str | None, dotted: str | None, value: Any) -> None:
    *above, last = table.split(".")
    every = blocks(document, table)
    _table(document, ".".join(above))[last] = every
    if which is None:
        every.append(value)
    elif dotted is None:
        del every[_place(every, table, which)]
    else:
        _write(every[_place(every, table, which)], dotted, value)


def _place(every: list[Document], table: str, which: str) -> int:
    name = json.loads(which) if which.startswith('"') else which
    if table != "planting":
        return range(len(every))[int(name) - 1]
    return {str(one.get("name")).strip(): place for place, one in enumerate(every)}[name]


def _table(document: Document, table: str) -> Document:
    for name in filter(None, table.split(".")):
        document = document.setdefault(name, {})
    return document


def _write(table: Document, dotted: str, value: Any) -> None:
    *above, last = _parts(dotted)
    for name in above:
        table = table.setdefault(name, {})
    if value is None:
        table.pop(last, None)
    else:
        table[last] = value


def _parts(dotted: str) -> list[str]:
    """A dotted key, taken apart by TOML's own rules."""
    found: list[str] = []
    inside: Any = tomllib.loads(f"{dotted} = 0")
    while isinstance(inside, dict):
        ((name, inside),) = inside.items()
        found.append(name)
    return found
