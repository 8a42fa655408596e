"""The lines of an iCalendar file: folded for writing, and read as components, whoever has written them.

Reading is forgiving, and every misfit is told; the check of a file and the taking up of an exported one both
read with it.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

STAMPS = frozenset({"UID", "DTSTAMP", "SEQUENCE", "CREATED", "LAST-MODIFIED"})
"""What tells an entry apart and counts its changes; everything else is what a person sees."""

MAX_OCTETS = 75
"""Of one line without its end (RFC 5545 section 3.1)."""

_NAME = r"[A-Z][A-Z0-9-]*"
_LINE = re.compile(rf'({_NAME})((?:;{_NAME}=(?:"[^"]*"|[^";:,]*))*):(.*)', re.DOTALL)


@dataclass
class Component:
    """One component: the line it begins in, what it stands in, its properties and components in order."""

    name: str
    line: int
    inside: str
    properties: list[tuple[str, str, str]] = field(default_factory=list)
    """Name, parameters with their semicolons, value."""
    parts: list[Component] = field(default_factory=list)

    def value(self, name: str) -> str:
        """The value of the first property of a name; empty where it is not there."""
        return next((value for found, _, value in self.properties if found == name), "")

    def parameters(self, name: str) -> str:
        """The parameters of the first property of a name; empty where it has none."""
        return next((found for one, found, _ in self.properties if one == name), "")


def folded(lines: Iterable[str]) -> bytes:
    """Content lines as they stand in a file, each with its end (RFC 5545 section 3.1).

    Never folded inside a character, nor behind the mark of an escape, which some programs read line by line.
    The places are those of the calendar library, which needs half of a long export's time to find them; here
    they also stay where they are when the library changes, so that entries keep their bytes.
    """
    return b"".join(_folded(line) for line in lines)


def _folded(line: str) -> bytes:
    data = line.encode()
    if len(data) < MAX_OCTETS:
        return data + b"\r\n"
    parts, at = [], 0
    while len(data) - at >= MAX_OCTETS:
        end = at + MAX_OCTETS - 1  # a line after the first has a space before it
        while data[end] & 0xC0 == 0x80:
            end -= 1
        if data[end - 1] in b"\\^":
            end -= 1
        parts.append(data[at:end])
        at = end
    return b"\r\n ".join([*parts, data[at:]]) + b"\r\n"


def unfolded(data: bytes) -> Iterator[tuple[int, str]]:
    """The content lines (RFC 5545 section 3.1) with the number of the first line of each."""
    number, parts = 0, [""]
    for at, part in enumerate(data.decode(errors="replace").removesuffix("\r\n").split("\r\n"), start=1):
        if part.startswith((" ", "\t")) and number:
            parts.append(part[1:])
            continue
        if number:
            yield number, "".join(parts)
        number, parts = at, [part]
    yield number, "".join(parts)


def components(lines: Iterable[tuple[int, str]]) -> tuple[list[Component], list[str]]:
    """The components that the lines make up, outer before inner, and what does not fit together."""
    found: list[Component] = []
    misfits: list[str] = []
    path: list[Component] = []
    for number, line in lines:
        match = _LINE.fullmatch(line)
        if match is None:
            misfits.append(f"line {number}: neither a property nor its continuation")
            continue
        name, parameters, value = match.groups()
        if name == "BEGIN":
            one = Component(value, number, path[-1].name if path else "")
            if path:
                path[-1].parts.append(one)
            path.append(one)
            found.append(one)
        elif name == "END":
            if not path or path.pop().name != value:
                misfits.append(f"line {number}: END:{value} closes nothing that is open")
        elif path:
            path[-1].properties.append((name, parameters, value))
        else:
            misfits.append(f"line {number}: {name} stands outside of the calendar")
    misfits += [f"line {component.line}: BEGIN:{component.name} is never closed" for component in path]
    return found, misfits


def sha(component: Component) -> str:
    """Fingerprint of what a person sees of an entry, whatever the order of its lines."""
    seen = sorted(line for line in _content(component) if line[0] not in STAMPS)
    return hashlib.sha256("\r\n".join("".join(line) for line in seen).encode()).hexdigest()


def _content(component: Component) -> Iterator[tuple[str, str, str]]:
    yield from component.properties
    for part in component.parts:
        yield from ((f"{part.name}.{name}", parameters, value) for name, parameters, value in part.properties)


def plain(text: str) -> str:
    """A text value without the escapes of RFC 5545 section 3.3.11."""
    return re.sub(r"\\(.)", lambda match: "\n" if match[1] in "nN" else match[1], text)
