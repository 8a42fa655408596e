"""What has to be true of an exported calendar file, looked at line by line.

Parsers are forgiving, and each forgives something else; a program that subscribes may not be. This check is
strict, shares no code with the export or its library but the reading of lines, and knows only what the export
may write.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from datetime import date
from functools import lru_cache
from typing import NamedTuple

from scheduler.present.calendar_lines import MAX_OCTETS, Component, components, unfolded
from scheduler.present.zone_check import Zone

MAX_SEQUENCE = 2**31 - 1
"""An INTEGER of section 3.3.8 is no greater."""

TEXT = r"(?:[^\\,;]|\\[\\,;nN])*"
DAY = r"\d{8}"
LOCAL_TIME = r"\d{8}T([01]\d|2[0-3])[0-5]\d[0-5]\d"
UTC_TIME = LOCAL_TIME + "Z"
DURATION = r"P(?!$)(?:\d+W|(?:\d+D)?(?:T(?=\d)(?:\d+H)?(?:\d+M)?(?:\d+S)?)?)"
OFFSET = r"[+-]\d{4}(?:\d\d)?"
UID = "[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}"
YEARLY = (
    r"FREQ=YEARLY;BYMONTH=\d\d?(?:;BYMONTHDAY=\d\d?(?:,\d\d?)*)?;BYDAY=-?\d?[A-Z]{2}(?:;UNTIL=\d{8}T\d{6}Z)?"
)

AS_DATE, IN_ZONE, IN_UTC = ";VALUE=DATE", ';TZID=[^";:,]+', ""


class Rule(NamedTuple):
    """How one property has to look, as patterns of its value and its parameters; and must it be there."""

    value: str
    parameters: str = ""
    needed: bool = True
    others: tuple[tuple[str, str], ...] = ()
    """Other forms: parameters and value."""


_STAMPS = {
    "UID": Rule(UID),
    "DTSTAMP": Rule(UTC_TIME),
    "CREATED": Rule(UTC_TIME),
    "LAST-MODIFIED": Rule(UTC_TIME),
    "SEQUENCE": Rule(r"\d{1,10}"),
    "SUMMARY": Rule(TEXT + "(?<=.)"),
    "DESCRIPTION": Rule(TEXT),
    "CATEGORIES": Rule(rf"{TEXT}(?:,{TEXT})*"),
}
_TIMED = ((IN_ZONE, LOCAL_TIME), (IN_UTC, UTC_TIME))
_OBSERVANCE = {
    "DTSTART": Rule(LOCAL_TIME),
    "TZOFFSETFROM": Rule(OFFSET),
    "TZOFFSETTO": Rule(OFFSET),
    "TZNAME": Rule(TEXT + "(?<=.)"),
    "RRULE": Rule(YEARLY, needed=False),
}

RULES: dict[str, dict[str, Rule]] = {
    "VCALENDAR": {
        "VERSION": Rule(r"2\.0"),
        "PRODID": Rule(TEXT + "(?<=.)"),
        "CALSCALE": Rule("GREGORIAN"),
        "NAME": Rule(TEXT),
        "X-WR-CALNAME": Rule(TEXT),
        "DESCRIPTION": Rule(TEXT, needed=False),
        "COLOR": Rule("olivedrab", needed=False),
        "REFRESH-INTERVAL": Rule(DURATION, ";VALUE=DURATION"),
        "X-PUBLISHED-TTL": Rule(DURATION),
        "X-BUDSWELL-SEASON": Rule(UID),
    },
    "VEVENT": {
        **_STAMPS,
        "DTSTART": Rule(DAY, AS_DATE, others=_TIMED),
        "DTEND": Rule(DAY, AS_DATE, others=_TIMED),
        "STATUS": Rule("TENTATIVE|CONFIRMED|CANCELLED"),
        "TRANSP": Rule("TRANSPARENT|OPAQUE"),
        "X-MICROSOFT-CDO-BUSYSTATUS": Rule("FREE|BUSY"),
    },
    "VTODO": {
        **_STAMPS,
        "DTSTART": Rule(DAY, AS_DATE, needed=False),
        "DUE": Rule(DAY, AS_DATE),
        "STATUS": Rule("NEEDS-ACTION|IN-PROCESS|COMPLETED|CANCELLED"),
        "PRIORITY": Rule("[1-9]", needed=False),
        "COMPLETED": Rule(UTC_TIME, needed=False),
        "PERCENT-COMPLETE": Rule("100", needed=False),
    },
    "VALARM": {
        "UID": Rule(UID),
        "ACTION": Rule("DISPLAY"),
        "DESCRIPTION": Rule(TEXT + "(?<=.)"),
        "TRIGGER": Rule(f"-?{DURATION}", "(?:;RELATED=END)?"),
    },
    "VTIMEZONE": {"TZID": Rule('[^";:,]+')},
    "STANDARD": _OBSERVANCE,
    "DAYLIGHT": _OBSERVANCE,
}
"""Each component's properties; one that is not here does not belong there, as METHOD and a calendar's UID."""

PLACES = {
    "VCALENDAR": ("",),
    "VEVENT": ("VCALENDAR",),
    "VTODO": ("VCALENDAR",),
    "VTIMEZONE": ("VCALENDAR",),
    "VALARM": ("VEVENT", "VTODO"),
    "STANDARD": ("VTIMEZONE",),
    "DAYLIGHT": ("VTIMEZONE",),
}
"""What each component may stand in."""

_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
_DAYS = ("DTSTAMP", "CREATED", "LAST-MODIFIED", "COMPLETED", "DTSTART", "DTEND", "DUE")


def faults(data: bytes) -> list[str]:
    """Everything that is wrong with the bytes of a calendar file, one sentence each; none if it is sound."""
    parts, misfits = components(unfolded(data))
    found = [*_faults_of_lines(data), *misfits]
    for component in parts:
        own = [*_faults_of(component), *_CHECKS.get(component.name, _nothing)(component)]
        found += [f"{component.name} from line {component.line}: {fault}" for fault in own]
    names = Counter(component.name for component in parts)
    if names["VCALENDAR"] != 1:
        found.append(f"{names['VCALENDAR']} calendars in one file")
    if not names["VEVENT"] + names["VTODO"] + names["VTIMEZONE"]:
        found.append("no event, no to-do and no time zone")
    if names["VEVENT"] and names["VTODO"]:
        found.append("events and to-dos in one file, which show twice")
    uids = Counter(component.value("UID") for component in parts if component.value("UID"))
    found += [f"{count} components have the UID {uid}" for uid, count in uids.items() if count > 1]
    return [*found, *_faults_of_zones(parts)]


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
        if _CONTROL.search(text):
            yield f"line {number}: a control character"


def _faults_of(component: Component) -> Iterator[str]:
    """What is wrong with single properties, and where the component stands."""
    rules = RULES.get(component.name, {})
    if component.inside not in PLACES.get(component.name, ()):
        yield f"does not belong in {component.inside or 'a file'}"
    count = Counter(name for name, _, _ in component.properties)
    yield from (f"{name} is missing" for name, rule in rules.items() if rule.needed and not count[name])
    yield from (f"{name} stands there {times} times" for name, times in count.items() if times > 1)
    for name, parameters, value in component.properties:
        rule = rules.get(name)
        if rule is None:
            yield f"{name} does not belong here"
            continue
        form = _form(rule, parameters)
        if form is None:
            yield f"{name} has the parameters {parameters!r}, not {rule.parameters!r}"
            form = re.compile(rule.value, re.DOTALL)
        if not form.fullmatch(value):
            yield f"{name} cannot be {value[:40]!r}"
        elif name in _DAYS and not _is_day(value):
            yield f"{name}: there is no day {value[:8]}"


@lru_cache
def _form(rule: Rule, parameters: str) -> re.Pattern[str] | None:
    """How a value with these parameters has to look; None where there is no such form."""
    forms = ((rule.parameters, rule.value), *rule.others)
    found = (value for told, value in forms if re.fullmatch(told, parameters))
    return next((re.compile(value, re.DOTALL) for value in found), None)


def _is_day(value: str) -> bool:
    try:
        date.fromisoformat(value[:8])
    except ValueError:
        return False
    return True


def _nothing(component: Component) -> Iterator[str]:
    yield from ()


def _faults_of_event(event: Component) -> Iterator[str]:
    yield from _faults_of_stamps(event)
    if event.parameters("DTSTART") != event.parameters("DTEND"):
        yield "DTEND is of another kind than DTSTART"
    elif event.value("DTEND") <= event.value("DTSTART"):
        yield "DTEND is not later than DTSTART"
    all_day = event.parameters("DTSTART") == AS_DATE
    for name, free, taken in (
        ("TRANSP", "TRANSPARENT", "OPAQUE"),
        ("X-MICROSOFT-CDO-BUSYSTATUS", "FREE", "BUSY"),
    ):
        if event.value(name) != (free if all_day else taken):
            yield f"{name} cannot be {event.value(name)!r} {'all day' if all_day else 'for hours'}"


def _faults_of_to_do(to_do: Component) -> Iterator[str]:
    yield from _faults_of_stamps(to_do)
    if to_do.value("DTSTART") and to_do.value("DUE") <= to_do.value("DTSTART"):
        yield "DUE is not later than DTSTART"
    done = to_do.value("STATUS") == "COMPLETED"
    if any(bool(to_do.value(name)) != done for name in ("COMPLETED", "PERCENT-COMPLETE")):
        yield "COMPLETED, PERCENT-COMPLETE and STATUS do not say the same"


def _faults_of_stamps(entry: Component) -> Iterator[str]:
    if entry.value("DTSTAMP") != entry.value("LAST-MODIFIED"):
        yield "DTSTAMP is not LAST-MODIFIED, as it is without METHOD"
    if entry.value("CREATED") > entry.value("LAST-MODIFIED"):
        yield "LAST-MODIFIED is earlier than CREATED"
    if entry.value("SEQUENCE").isdecimal() and int(entry.value("SEQUENCE")) > MAX_SEQUENCE:
        yield f"SEQUENCE cannot be {entry.value('SEQUENCE')!r}"
    if len(entry.parts) > 1:
        yield f"{len(entry.parts)} alarms"
    at_end = entry.name == "VTODO" and not entry.value("DTSTART")
    if any((part.parameters("TRIGGER") == ";RELATED=END") != at_end for part in entry.parts):
        yield "the alarm counts from what is not there"


_CHECKS = {"VEVENT": _faults_of_event, "VTODO": _faults_of_to_do}


def _faults_of_zones(parts: list[Component]) -> Iterator[str]:
    """Whether each zone that is named is there once, and says of every hour what the world's zones say."""
    zones: dict[str, Zone] = {}
    for part in parts:
        if part.name == "VTIMEZONE":
            name = part.value("TZID")
            if name in zones:
                yield f"the time zone {name} stands there twice"
            try:
                zones[name] = Zone.read(part)
            except ValueError as error:
                yield f"VTIMEZONE from line {part.line}: {error}"
                return
    named = set()
    for part in parts if any(part.name in ("VEVENT", "VTODO") for part in parts) else []:
        for name, parameters, value in part.properties if part.name == "VEVENT" else []:
            told = parameters.removeprefix(";TZID=")
            if told == parameters:
                continue
            named.add(told)
            where = f"VEVENT from line {part.line}: {name} has the time zone {told}"
            if told not in zones:
                yield f"{where}, which is not in the file"
            elif re.fullmatch(LOCAL_TIME, value) and _is_day(value) and not zones[told].is_right(value):
                yield f"{where}, whose rules are wrong on that day"
    if any(part.name == "VEVENT" for part in parts):
        yield from (f"the time zone {name} is not used" for name in zones if name not in named)
