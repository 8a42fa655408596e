"""Finds the line on which a key of a TOML text stands, and writes the path to a key as the file does."""

from __future__ import annotations

import re
import tomllib
from typing import Any

Loc = tuple[str | int, ...]
"""Keys and list positions from the top of the file: ``("planting", 2, "species")``."""

_KEY = r"""(?:[A-Za-z0-9_-]+|"(?:\\.|[^"\\])*"|'[^']*')"""
_ASSIGNMENT = re.compile(rf"\s*({_KEY}(?:\s*\.\s*{_KEY})*)\s*=(.*)")
_TOKEN = re.compile(r"""\"{3}|'{3}|"(?:\\.|[^"\\])*"|'[^']*'|\#.*|[\[\]{}]""")
_DEEPEST = 8
"""No key of a season file lies deeper; longer dotted keys are not followed."""


class Lines:
    """Line numbers of the tables and keys of one text; a key that is not found has its parent's line."""

    def __init__(self, text: str) -> None:
        self._lines = _scan(text)

    def of(self, loc: Loc) -> int | None:
        """Line of a key, else of the nearest table around it, or None."""
        for length in range(len(loc), 0, -1):
            if loc[:length] in self._lines:
                return self._lines[loc[:length]]
        return None


def written(loc: Loc, data: Any) -> Loc:
    """The path as the file has it: a lone value that is read as a list of one has no position there.

    What the file lacks keeps its keys; below a plain value there are none.
    """
    found: list[str | int] = []
    for part in loc:
        if isinstance(part, str) and (data is None or isinstance(data, dict)):
            found.append(part)
            data = data.get(part) if data else None
        elif isinstance(data, list) and isinstance(part, int):
            found.append(part)
            data = data[part] if part < len(data) else None
        elif not isinstance(part, int):
            break
    return tuple(found)


def path(loc: Loc) -> str:
    """A path as one writes it: ``planting[2].species``, ``lab.containers."3 L jar".volume``."""
    out = ""
    for part in loc:
        if isinstance(part, int):
            out += f"[{part}]"
        else:
            plain = re.fullmatch(r"[A-Za-z0-9_-]{1,40}", part)
            key = part if plain else '"' + (part if part.isprintable() else ascii(part))[:40] + '"'
            out += f".{key}" if out else key
    return out


def _scan(text: str) -> dict[Loc, int]:
    lines: dict[Loc, int] = {}
    last: dict[Loc, int] = {}
    table: Loc = ()
    state = ("", 0)
    for number, line in enumerate(text.split("\n"), 1):
        assignment = _ASSIGNMENT.match(line)
        if state != ("", 0):
            state = _left_open(line, *state)
        elif line.lstrip().startswith("["):
            table = _header(line, last)
            for length in range(1, len(table) + 1):
                lines.setdefault(table[:length], number)
        elif assignment:
            keys = _keys(f"{assignment[1]} = 0")
            for length in range(1, len(keys) + 1):
                lines.setdefault(table + keys[:length], number)
            state = _left_open(assignment[2], *state)
    return lines


def _left_open(line: str, quote: str, depth: int) -> tuple[str, int]:
    """Multi-line quote and open brackets after a line, given those before it."""
    start = 0
    while True:
        if quote:
            end = line.find(quote, start)
            if end < 0:
                return quote, depth
            quote, start = "", end + 3
        token = _TOKEN.search(line, start)
        if token is None or token[0].startswith("#"):
            return quote, depth
        start = token.end()
        if token[0] in ('"""', "'''"):
            quote = token[0]
        elif len(token[0]) == 1:
            depth += 1 if token[0] in "[{" else -1


def _header(line: str, last: dict[Loc, int]) -> Loc:
    """Path of a table header; `last` holds the position of the newest table of each array."""
    keys = _keys(line)
    is_array = line.lstrip().startswith("[[")
    loc: Loc = ()
    for length, key in enumerate(keys, 1):
        loc += (key,)
        if is_array and length == len(keys):
            last[loc] = last.get(loc, -1) + 1
        if loc in last:
            loc += (last[loc],)
    return loc


def _keys(toml: str) -> tuple[str, ...]:
    """The dotted key of one line of TOML, taken apart."""
    try:
        data: Any = tomllib.loads(toml)
    except ValueError:
        return ()
    keys: list[str] = []
    while data and isinstance(data, dict | list) and len(keys) < _DEEPEST:
        if isinstance(data, dict):
            (key,) = data
            keys.append(key)
            data = data[key]
        else:
            data = data[0]
    return tuple(keys)
