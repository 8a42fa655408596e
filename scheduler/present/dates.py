"""Dates in words, English and the same on every machine: ``Sat 24 Apr 2027``."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.plan import Period, Plan
from scheduler.workdays import MONTHS, full

MONTH_BEFORE = timedelta(days=30)
MONTHS_AHEAD = timedelta(days=334)
"""From a month back to eleven months ahead no day and month comes twice."""


def month(day: date) -> str:
    """Month and year, for what is only known roughly."""
    return f"{MONTHS[day.month - 1]} {day.year}"


def months(period: Period) -> str:
    """A rough period: ``Sep to Oct 2028``, or one month where both ends lie in it."""
    first, last = period
    if month(first) == month(last):
        return month(last)
    return f"{MONTHS[first.month - 1] if first.year == last.year else month(first)} to {month(last)}"


@dataclass(frozen=True)
class Dates:
    """Writes days, leaving out the year of those that are near today."""

    today: date

    def day(self, day: date) -> str:
        """A day, with its year where it lies more than a month back or eleven months ahead."""
        text = full(day)
        return text[:-5] if -MONTH_BEFORE <= day - self.today <= MONTHS_AHEAD else text

    def maybe(self, day: date | None, nothing: str) -> str:
        """A day, or the words for there being none."""
        return nothing if day is None else self.day(day)

    def span(self, period: Period) -> str:
        """First and last day: ``Sat 9 Jan to Sun 11 Apr``."""
        first, last = period
        return self.day(first) if first == last else f"{self.day(first)} to {self.day(last)}"

    def days(self, days: Sequence[date]) -> str:
        """Every day where they are few, else the first and the last and how many they are."""
        if len(days) > 3:
            return f"{self.span((min(days), max(days)))} ({len(days)} days)"
        return ", ".join(self.day(day) for day in sorted(days))

    def stacked(self, days: Sequence[date]) -> str:
        """The same for a narrow column: no line breaks inside a day."""
        return self.days(days).replace(", ", "\n").replace(" to ", " to\n").replace(" (", "\n(")


def dates_of(plan: Plan) -> Dates:
    """The writer for a plan, which is read on its today."""
    return Dates(plan.season.today)
