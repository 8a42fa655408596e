"""Cuts a station's days into years that run from summer to summer, so that no winter is torn apart."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.science.daylight import daylight_hours
from scheduler.science.weather import Series, bridged, longest_gap, mean_of
from scheduler.weather.daily import Daily

NORTH, SOUTH = 8, 2
"""Month in which a station's year begins."""


@dataclass(frozen=True)
class Part:
    """A part of one year from a date on, its days counted from 0: nights, days and means in C."""

    night: Series
    day: Series
    mean: Series
    begins: date
    latitude: float | None

    @property
    def light(self) -> list[float]:
        """Hours of daylight; none where the latitude is not known."""
        if self.latitude is None:
            return []
        first = self.begins.timetuple().tm_yday
        return [daylight_hours(self.latitude, first + place) for place in range(len(self.mean))]


@dataclass(frozen=True)
class Winters:
    """The years of a station. Parts of them with too long a gap are left out."""

    daily: Daily
    begins_in: int
    longest_gap: int
    latitude: float | None

    def starts(self) -> Iterator[date]:
        """The first day of every year that has days in the file."""
        for year in range(self.daily.first.year - 1, self.daily.last.year + 1):
            start = date(year, self.begins_in, 1)
            if start <= self.daily.last and start.replace(year=year + 1) > self.daily.first:
                yield start

    def each(self, first: int, end: int, find: Callable[[Part], int | None]) -> list[int | None]:
        """What is found in a part of each year that is known well enough, as a day of the year."""
        found = []
        for start in self.starts():
            part = self._part(start, first, end)
            if part is not None:
                day = find(part)
                found.append(None if day is None else first + day)
        return found

    def _part(self, start: date, first: int, end: int) -> Part | None:
        begins = (start - self.daily.first).days + first
        night = _cut(self.daily.tmin, begins, begins + end - first)
        day = _cut(self.daily.tmax, begins, begins + end - first)
        if max(longest_gap(night), longest_gap(day)) > self.longest_gap:
            return None
        night, day = bridged(night, self.longest_gap), bridged(day, self.longest_gap)
        mean = [mean_of(low, high) for low, high in zip(night, day, strict=True)]
        return Part(night, day, mean, start + timedelta(days=first), self.latitude)


def begins_in(daily: Daily, latitude: float | None) -> int:
    """The month in which the years of a station begin: by its latitude, else by its warmer half-year."""
    if latitude is not None:
        return NORTH if latitude >= 0 else SOUTH
    warm = {True: [0.0, 0], False: [0.0, 0]}
    for place, value in enumerate(daily.tmax):
        if value is not None:
            half = warm[4 <= (daily.first + timedelta(days=place)).month <= 9]
            half[0] += value
            half[1] += 1
    north, south = (total / max(1, count) for total, count in (warm[True], warm[False]))
    return NORTH if north >= south else SOUTH


def _cut(values: Series, begin: int, end: int) -> Series:
    """A part of a series, with None before its first and after its last day."""
    before, after = max(0, min(end, 0) - begin), max(0, end - max(begin, len(values)))
    return [*(None,) * before, *values[max(0, begin) : max(0, end)], *(None,) * after]
