"""A season file as the beginning of another season: its days moved, its id a new one, its notes kept."""

from __future__ import annotations

import re
import tomllib
from datetime import date

from scheduler.season.days import period
from scheduler.season.notation import toml
from scheduler.season.where import Lines
from scheduler.season.wrong import Wrong

_OWN_LINE = re.compile(r"\s*(?:today|id)\s*=")
_DATE = re.compile(r"(?<!\d)(\d{4})-(\d{2})-(\d{2})(?!\d)")
_IN_HAND = re.compile(r"^(\s*(?:started|received|planted)\s*=\s*)(\d{4}-\d{2}-\d{2})")
_A_YEAR = re.compile(r"(?<!\d)(?:19|20|21)\d\d(?!\d)")


def copied(text: str, season_id: str, today: date) -> tuple[str, int]:
    """A season file as the file of another season, and by how many years its days were moved.

    Comments stay; `today` is taken out, and the id is a new one. Where too little of its time is left, every
    day, and a year in its name, is moved by whole years. What is in hand or stands is so from today on at the
    latest. Raises `Wrong` where it is no season with plantings.
    """
    try:
        data = tomllib.loads(text)
        head, plantings = data["season"], data["planting"]
        years = _years(head.get("today"), plantings, today)
        name = head["name"]
    except (ValueError, LookupError, TypeError, AttributeError):
        raise Wrong("a file that is no season", "a season file with [season].name and plantings") from None
    lines = _lines_without(text, ("today", "id"))
    if years:
        lines = [_DATE.sub(lambda found: _moved(found, years), line) for line in lines]
    lines = [_IN_HAND.sub(lambda found: _begun(found, today), line) for line in lines]
    place = _line_of_name(lines)
    if years and isinstance(name, str):
        lines[place] = _A_YEAR.sub(lambda found: str(int(found[0]) + years), lines[place])
    end = "" if lines[place].endswith("\n") else "\n"
    lines.insert(place + 1, f"{end}id       = {toml(season_id)}\n")
    return _sound("".join(lines), season_id), years


def _sound(text: str, season_id: str) -> str:
    """The text, which says its new id and no day: a file written in an unusual way may not be taken apart."""
    try:
        head = tomllib.loads(text)["season"]
    except (ValueError, LookupError):
        head = {}
    if head.get("id") != season_id or "today" in head:
        raise Wrong("a [season] that cannot be copied line by line", "[season] with each key on its own line")
    return text


def _lines_without(text: str, keys: tuple[str, ...]) -> list[str]:
    """The lines but those of some keys of ``[season]``, which have to stand on lines of their own."""
    numbers, lines = Lines(text), text.splitlines(keepends=True)
    data = tomllib.loads(text)["season"]
    gone = set()
    for key in keys:
        if key not in data:
            continue
        number = numbers.of(("season", key))
        if number is None or not _OWN_LINE.match(lines[number - 1]):
            raise Wrong(f"{key} of the season among others on one line", f"{key} on a line of its own")
        gone.add(number - 1)
    return [line for place, line in enumerate(lines) if place not in gone]


def _line_of_name(lines: list[str]) -> int:
    number = Lines("".join(lines)).of(("season", "name"))
    if number is None or "name" not in lines[number - 1].partition("=")[0]:
        raise Wrong("a name of the season among others on one line", "name on a line of its own")
    return number - 1


def _years(told: object, plantings: list[dict[str, object]], today: date) -> int:
    """Whole years by which a season lies behind: it may have lost a third of its time before it opens."""
    windows = [period(one["window"]) for one in plantings if "window" in one]
    if isinstance(told, date) and windows:
        opens = min(first for first, _ in windows)
        latest = told + (opens - told) / 3
    elif windows:
        latest = min(last for _, last in windows)
    else:
        return 0
    years = 0
    while _later(latest, years) < today:
        years += 1
    return years


def _later(day: date, years: int) -> date:
    try:
        return day.replace(year=day.year + years)
    except ValueError:  # 29 February
        return day.replace(year=day.year + years, day=28)


def _begun(found: re.Match[str], today: date) -> str:
    """The line of something in hand or planted, which a copy cannot have before its own day."""
    try:
        return f"{found[1]}{min(date.fromisoformat(found[2]), today)}"
    except ValueError:
        return found[0]


def _moved(found: re.Match[str], years: int) -> str:
    try:
        return _later(date.fromisoformat(found[0]), years).isoformat()
    except ValueError:
        return found[0]
