"""Reads days and periods of the season file, and guesses what was meant by those written in another way."""

from __future__ import annotations

import re
from datetime import date, datetime, time

from scheduler.plan import Period
from scheduler.season.wrong import Wrong, shown
from scheduler.workdays import YEARS

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
_LOOSE_DAY = re.compile(r"(?<!\d)(\d{4})([-./])(\d{1,2})\2(\d{1,2})(?!\d)")
_PERIOD = re.compile(rf"{_DAY.pattern}(\s*/\s*{_DAY.pattern})?")
_TIME = re.compile(r"([01]\d|2[0-3]):([0-5]\d)")
_LOOSE_TIME = re.compile(r"(\d{1,2})(?:[:.h ]?([0-5]\d))? ?([ap])?\.?(?:m\.?)?")
_LONGEST = 200
"""Letters of a text in which days are looked for."""


def day(value: object) -> date:
    """One day, as a TOML date or as text of the same form. Raises `Wrong` for anything else."""
    found = value
    if isinstance(value, str) and _DAY.fullmatch(value.strip()):
        try:
            found = date.fromisoformat(value.strip())
        except ValueError:
            raise Wrong(f"{shown(value)}: there is no such day", "a day of the calendar") from None
    if not isinstance(found, date) or isinstance(found, datetime):
        raise Wrong(shown(value), "a day such as 2027-04-24", _meant_days(value, 1))
    if found.year not in YEARS:
        raise Wrong(shown(value), f"a day of the years {YEARS[0]} to {YEARS[-1]}")
    return found


def period(value: object) -> Period:
    """First and last day; one day alone is a period of one day. Raises `Wrong` for anything else."""
    allowed = 'first and last day such as "2027-04-20/2027-05-25"'
    if isinstance(value, date):
        return (day(value), day(value))
    if not isinstance(value, str) or not _PERIOD.fullmatch(value.strip()):
        raise Wrong(shown(value), allowed, _meant_days(value, 2))
    first, _, last = value.partition("/")
    span = (day(first), day(last or first))
    if span[0] > span[1]:
        raise Wrong(
            f"{shown(value)}: the last day comes before the first",
            allowed,
            f'did you mean "{span[1]}/{span[0]}"?',
        )
    return span


def time_of_day(value: object) -> time:
    """Hours and minutes as text, or as TOML writes a time. Raises `Wrong` for anything else."""
    if isinstance(value, time) and not value.second and not value.microsecond:
        return value
    found = _TIME.fullmatch(value.strip()) if isinstance(value, str) else None
    if not found:
        raise Wrong(shown(value), 'a time of day such as "09:00"', _meant_time(value))
    return time(int(found[1]), int(found[2]))


def _meant_time(value: object) -> str:
    found = _LOOSE_TIME.fullmatch(str(value).strip().casefold()[:_LONGEST])
    if isinstance(value, bool) or not found:
        return ""
    hour, half = int(found[1]), found[3]
    if half and not 1 <= hour <= 12:
        return ""
    hour = hour % 12 + (12 if half == "p" else 0) if half else hour
    return f'did you mean "{hour:02}:{found[2] or "00"}"?' if hour < 24 else ""


def _meant_days(value: object, most: int) -> str:
    """The hint for days that are there but written, or joined, in another way."""
    if isinstance(value, list | dict):
        value = " ".join(map(str, value.values() if isinstance(value, dict) else value))
    found = _LOOSE_DAY.findall(str(value)[:_LONGEST])
    if not 1 <= len(found) <= most:
        return ""
    try:
        meant = [date(int(year), int(month), int(of_month)).isoformat() for year, _, month, of_month in found]
    except ValueError:
        return ""
    return f'did you mean "{"/".join(meant)}"?'
