"""What a station's years say of a site: days of the year, which become dates of the season that is planned.

A station's year runs from summer to summer: it begins in August north of the equator, in February south of
it. Its days are counted from 0. Who reads the weather file and works these days out is not known here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

from scheduler.trade.weather import Conditions
from scheduler.workdays import ONE_DAY


@dataclass(frozen=True)
class Expected:
    """A day of the station's year: the one that is taken, at a risk in words, and its 10/50/90 % days."""

    day: int
    early: int
    middle: int
    late: int
    years: int
    """How many years it rests on."""
    risk: str


@dataclass(frozen=True)
class Span:
    """First and last day of a planting window in the station's year, and what else its years say of it."""

    first: int
    last: int
    decided: Expected
    """The day that weather decides: the first one in spring, the last one in autumn."""
    risk: str = ""
    """Of the other end, in words, where there is one."""


@dataclass(frozen=True)
class Climate:
    """The days of one station; `since` is the day from which a window that was left out is looked for."""

    file: str
    first_year: int
    last_year: int
    begins_in: int
    """Month in which the station's year begins: 8 in the north, 2 in the south."""
    dates: Mapping[str, Expected]
    """By key of ``[site]``."""
    windows: Mapping[str, Mapping[Conditions, Span | str]]
    """By ``spring`` and ``autumn``, then by what a planting waits for; or why there is none."""
    unknown: Mapping[str, str] = field(default_factory=dict)
    """Why a key of ``[site]`` could not be derived."""
    notes: tuple[str, ...] = ()
    """What deserves a second look: gaps, a short record."""
    since: date = date.min

    @property
    def source(self) -> str:
        """Where its dates come from, as a reason."""
        return f"derived from {self.file}, {self.first_year} to {self.last_year}"

    def on(self, day: int, year: int) -> date:
        """The date of a day in the station's year that begins in `year`."""
        return date(year, self.begins_in, 1) + timedelta(days=day)

    def latest(self, day: int, limit: date) -> date:
        """The last date of a day that is no later than `limit`."""
        return next(found for year in range(limit.year + 1, 0, -1) if (found := self.on(day, year)) <= limit)

    def after(self, day: int, limit: date) -> date:
        """The first date of a day that is later than `limit`."""
        return next(found for year in range(limit.year - 2, 9999) if (found := self.on(day, year)) > limit)

    def window(self, span: Span) -> tuple[date, date]:
        """The first window of that span that is not over on the day it is looked for from."""
        last = self.after(span.last, self.since - ONE_DAY)
        return last - timedelta(days=span.last - span.first), last


ReadClimate = Callable[[Path, float | None], Climate]
"""From a weather file and the latitude that the season file gives; SeasonError with what is wrong with it."""
