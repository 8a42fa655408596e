"""Reads a VTIMEZONE as a program does that knows no other zones, and compares it with the world's."""

from __future__ import annotations

import calendar
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from scheduler.present.calendar_lines import Component

_DAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")


@dataclass(frozen=True)
class _Observance:
    """One STANDARD or DAYLIGHT: from when, by which rule again, and what UTC is ahead of it or behind."""

    begins: datetime
    before: timedelta
    after: timedelta
    rule: dict[str, str]

    def onsets(self, last: int) -> Iterator[datetime]:
        """When it begins, by the clock before it, up to a year."""
        if not self.rule:
            yield self.begins
            return
        until = self.rule.get("UNTIL")
        end = _moment(until) if until else None
        for year in range(self.begins.year, last + 1):
            onset = self.begins.replace(year=year, month=int(self.rule["BYMONTH"]), day=self._day(year))
            if onset >= self.begins and (end is None or onset - self.before <= end):
                yield onset

    def _day(self, year: int) -> int:
        month, by = int(self.rule["BYMONTH"]), self.rule["BYDAY"]
        weekday = _DAYS.index(by[-2:])
        days = [
            day
            for day in range(1, calendar.monthrange(year, month)[1] + 1)
            if calendar.weekday(year, month, day) == weekday
        ]
        if allowed := self.rule.get("BYMONTHDAY"):
            return next(day for day in days if str(day) in allowed.split(","))
        place = int(by[:-2])
        return days[place - 1 if place > 0 else place]


@dataclass(frozen=True)
class Zone:
    """A time zone as a file has it."""

    name: str
    observances: tuple[_Observance, ...]

    @classmethod
    def read(cls, component: Component) -> Zone:
        """The zone of a VTIMEZONE. ValueError where it has no offsets, or says something unheard of."""
        name = component.value("TZID")
        try:
            ZoneInfo(name)
            observances = tuple(
                _Observance(
                    _moment(part.value("DTSTART")),
                    _offset(part.value("TZOFFSETFROM")),
                    _offset(part.value("TZOFFSETTO")),
                    dict(one.split("=") for one in part.value("RRULE").split(";") if one),
                )
                for part in component.parts
            )
        except (LookupError, ValueError, OSError) as error:
            raise ValueError(f"the time zone {name} cannot be read: {error}") from error
        if not observances:
            raise ValueError(f"the time zone {name} is empty")
        return cls(name, observances)

    def offset(self, local: datetime) -> timedelta | None:
        """Ahead of UTC at a local time; None before the first onset."""
        begun = [
            (onset, one.after)
            for one in self.observances
            for onset in one.onsets(local.year)
            if onset <= local
        ]
        return max(begun)[1] if begun else None

    def is_right(self, value: str) -> bool:
        """Whether a local time is as far from UTC as it is in the world, and there is such a time."""
        local = _moment(value)
        there = local.replace(tzinfo=ZoneInfo(self.name))
        exists = there.astimezone(UTC).astimezone(there.tzinfo).replace(tzinfo=None) == local
        try:
            return exists and self.offset(local) == there.utcoffset()
        except (LookupError, ValueError, StopIteration):
            return False


def _moment(text: str) -> datetime:
    return datetime.strptime(text.removesuffix("Z"), "%Y%m%dT%H%M%S")  # noqa: DTZ007 (a wall clock's)


def _offset(text: str) -> timedelta:
    match = re.fullmatch(r"([+-])(\d\d)(\d\d)(\d\d)?", text)
    if not match:
        raise ValueError(f"no offset {text!r}")
    sign, hours, minutes, seconds = match.groups()
    span = timedelta(hours=int(hours), minutes=int(minutes), seconds=int(seconds or 0))
    return -span if sign == "-" else span
