"""What has to be true of an exported calendar file, looked at line by line.

Parsers are forgiving, and each forgives something else; a program that subscribes may not be. This check is
strict, shares no code with the export or its library, and knows only what the export may write.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

MAX_OCTETS = 75
"""Of one line without its end (RFC 5545 section 3.1)."""

TEXT = r"(?:[^\\,;]|\\[\\,;nN])*"
UTC_TIME = r"\d{8}T([01]\d|2[0-3])[0-5]\d[0-5]\dZ"
DURATION = r"P(?:\d+[WD]|T\d+[HMS])"
_NAME = r"[A-Z][A-Z0-9-]*"
_LINE = re.compile(rf'({_NAME})((?:;{_NAME}=(?:"[^"]*"|[^";:,]*))*):(.*)', re.DOTALL)


class Rule(NamedTuple):
    """How one property has to look: the pattern of its value, its exact parameters, must it be there."""

    value: str
    parameters: str = ""
    needed: bool = True


RULES: dict[str, dict[str, Rule]] = {
    "VCALENDAR": {
        "VERSION": Rule(r"2\.0"),
        "PRODID": Rule(TEXT + "(?<=.)"),
        "CALSCALE": Rule("GREGORIAN"),
        "NAME": Rule(TEXT),
        "X-WR-CALNAME": Rule(TEXT),
        "DESCRIPTION": Rule(TEXT, needed=False),
        "COLOR": Rule("[a-z]+", needed=False),
        "REFRESH-INTERVAL": Rule(DURATION, ";VALUE=DURATION"),
        "X-PUBLISHED-TTL": Rule(DURATION),
    },
    "VEVENT": {
        "UID": Rule("[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}"),
        "DTSTAMP": Rule(UTC_TIME),
        "CREATED": Rule(UTC_TIME),
        "LAST-MODIFIED": Rule(UTC_TIME),
        "SEQUENCE": Rule(r"\d+"),
        "DTSTART": Rule(r"\d{8}", ";VALUE=DATE"),
        "DTEND": Rule(r"\d{8}", ";VALUE=DATE"),
        "SUMMARY": Rule(TEXT + "(?<=.)"),
        "DESCRIPTION": Rule(TEXT),
        "CATEGORIES": Rule(rf"{TEXT}(?:,{TEXT})*"),
        "STATUS": Rule("TENTATIVE|CONFIRMED|CANCELLED"),
        "TRANSP": Rule("TRANSPARENT"),
        "X-MICROSOFT-CDO-BUSYSTATUS": Rule("FREE"),
    },
}
"""Each component's properties; one that is not here does not belong there, as METHOD and a calendar's UID."""

_DAYS = ("DTSTAMP", "CREATED", "LAST-MODIFIED", "DTSTART", "DTEND")


@dataclass
class _Component:
    name: str
    line: int
    inside: str
    properties: list[tuple[str, str, str]] = field(default_factory=list)


def faults(data: bytes) -> list[str]:
    """Everything that is wrong with the bytes of a calendar file, one sentence each; none if it is sound."""
    components, misfits = _components(_unfolded(data))
    found = [*_faults_of_lines(data), *misfits]
    for component in components:
        found += [f"{component.name} from line {component.line}: {fault}" for fault in _faults_of(component)]
    names = Counter(component.name for component in components)
    if names["VCALENDAR"] != 1:
        found.append(f"{names['VCALENDAR']} calendars in one file")
    if not names["VEVENT"]:
        found.append("no event")
    uids = Counter(value for part in components for name, _, value in part.properties if name == "UID")
    found += [f"{count} components have the UID {uid}" for uid, count in uids.items() if count > 1]
    return found


def _faults_of_lines(data: bytes) -> Iterator[str]:
    if not data.endswith(b"\r\n"):
        yield "the file does not end with a line end"
    for number, line in enumerate(data.removesuffix(b"\r\n").split(b"\r\n"), start=1):
        if b"\n" in line or b"\r" in line:
            yield f"line {number}: a line end that is not CRLF"
        if len(line) > MAX_OCTETS:
            yield f"line {number}: {len(line)} octets, more than {MAX_OCTETS}"
        try:
            text = line.decode()
        except UnicodeDecodeError:
            yield f"line {number}: not UTF-8, or folded inside a character"
            continue
        if re.search(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]", text):
            yield f"line {number}: a control character"


def _unfolded(data: bytes) -> Iterator[tuple[int, str]]:
    """The content lines with the number of the first line of each."""
    number, line = 0, ""
    for at, part in enumerate(data.decode(errors="replace").removesuffix("\r\n").split("\r\n"), start=1):
        if part.startswith((" ", "\t")) and number:
            line += part[1:]
            continue
        if number:
            yield number, line
        number, line = at, part
    yield number, line


def _components(lines: Iterator[tuple[int, str]]) -> tuple[list[_Component], list[str]]:
    """The components that the lines make up, outer before inner, and what does not fit together."""
    components: list[_Component] = []
    misfits: list[str] = []
    path: list[_Component] = []
    for number, line in lines:
        match = _LINE.fullmatch(line)
        if match is None:
            misfits.append(f"line {number}: neither a property nor its continuation")
            continue
        name, parameters, value = match.groups()
        if name == "BEGIN":
            path.append(_Component(value, number, path[-1].name if path else ""))
            components.append(path[-1])
        elif name == "END":
            if not path or path.pop().name != value:
                misfits.append(f"line {number}: END:{value} closes nothing that is open")
        elif path:
            path[-1].properties.append((name, parameters, value))
        else:
            misfits.append(f"line {number}: {name} stands outside of the calendar")
    misfits += [f"line {component.line}: BEGIN:{component.name} is never closed" for component in path]
    return components, misfits


def _faults_of(component: _Component) -> Iterator[str]:
    rules = RULES.get(component.name, {})
    if component.inside != {"VCALENDAR": "", "VEVENT": "VCALENDAR"}.get(component.name):
        yield f"does not belong in {component.inside or 'a file'}"
    count = Counter(name for name, _, _ in component.properties)
    yield from (f"{name} is missing" for name, rule in rules.items() if rule.needed and not count[name])
    yield from (f"{name} stands there {times} times" for name, times in count.items() if times > 1)
    days: dict[str, date] = {}
    for name, parameters, value in component.properties:
        rule = rules.get(name)
        if rule is None:
            yield f"{name} does not belong here"
            continue
        if parameters != rule.parameters:
            yield f"{name} has the parameters {parameters!r}, not {rule.parameters!r}"
        if not re.fullmatch(rule.value, value, re.DOTALL):
            yield f"{name} cannot be {value[:40]!r}"
        elif name in _DAYS:
            try:
                days[name] = date.fromisoformat(value[:8])
            except ValueError:
                yield f"{name}: there is no day {value[:8]}"
    if "DTSTART" in days and "DTEND" in days and days["DTEND"] <= days["DTSTART"]:
        yield "DTEND is not later than DTSTART"
