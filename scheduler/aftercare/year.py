"""The eight parts of the year as dates, on both halves of the earth."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import date
from itertools import pairwise

from scheduler.plan import Period
from scheduler.trade.species import PartOfYear
from scheduler.workdays import ONE_DAY

_BEGINS: dict[PartOfYear, tuple[int, int]] = {
    "late winter": (1, 16),
    "early spring": (3, 1),
    "late spring": (4, 16),
    "early summer": (6, 1),
    "late summer": (7, 16),
    "early autumn": (9, 1),
    "late autumn": (10, 16),
    "early winter": (12, 1),
}
"""Month and day on which each part begins in the north, in the order of the calendar."""


def parts(first: date, last: date, latitude: float | None) -> Iterator[tuple[PartOfYear, Period]]:
    """Every part of the year that has a day between two days, whole, in order.

    `latitude` is in degrees, south negative; where it is not known the north is taken.
    """
    begins = sorted(
        (day, part)
        for year in range(first.year - 1, last.year + 2)
        for part in _BEGINS
        for day in [_begin(part, year, latitude)]
    )
    for (day, part), (following, _) in pairwise(begins):
        if following > first and day <= last:
            yield part, (day, following - ONE_DAY)


def part_of(day: date, latitude: float | None) -> PartOfYear:
    """The part of the year a day lies in."""
    return next(part for part, _ in parts(day, day, latitude))


def spans(
    wanted: Collection[PartOfYear], first: date, last: date, latitude: float | None
) -> tuple[Period, ...]:
    """The wanted parts between two days, cut to them; parts that follow each other are one span."""
    found: list[Period] = []
    for part, (begin, end) in parts(first, last, latitude):
        if part not in wanted:
            continue
        begin, end = max(begin, first), min(end, last)
        if found and found[-1][1] + ONE_DAY == begin:
            begin = found.pop()[0]
        found.append((begin, end))
    return tuple(found)


def _begin(part: PartOfYear, year: int, latitude: float | None) -> date:
    month, day = _BEGINS[part]
    south = latitude is not None and latitude < 0
    return date(year, (month + 5) % 12 + 1 if south else month, day)
