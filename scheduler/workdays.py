"""Day numbers and dates, days away, and hours by weekday.

Only `problem`, `solve` and what reads their results use day numbers; everybody else uses dates.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

DAYS_A_MONTH = 30.4

ONE_DAY = timedelta(days=1)
YEARS = range(1950, 2201)
"""No day of a season lies outside."""


def weekday(day: date) -> str:
    """Three-letter English name of the weekday, as the season file writes it."""
    return WEEKDAYS[day.weekday()]


def full(day: date) -> str:
    """A day with its year, in English and the same on every machine: ``Sat 24 Apr 2027``."""
    return f"{WEEKDAYS[day.weekday()].capitalize()} {day.day} {MONTHS[day.month - 1]} {day.year}"


def days_between(first: date, last: date) -> Iterator[date]:
    """Every day from `first` to `last`, both included."""
    for offset in range((last - first).days + 1):
        yield first + timedelta(days=offset)


def expand(periods: Iterable[tuple[date, date]]) -> frozenset[date]:
    """All days of the given periods (both ends included)."""
    return frozenset(day for first, last in periods for day in days_between(first, last))


@dataclass(frozen=True)
class DayCount:
    """Counts days from an origin: `number(origin) == 0`."""

    origin: date

    def number(self, day: date) -> int:
        """Day number of a date."""
        return (day - self.origin).days

    def date(self, number: int) -> date:
        """Date of a day number."""
        return self.origin + timedelta(days=number)
