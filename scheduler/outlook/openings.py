"""On which days the works of one line can be done, while all other lines stay where they are planned.

Asked of the hours, loads and rooms of the kept plan, as for a redo; the works of the line itself are taken
out, because they move.
"""

from __future__ import annotations

from collections.abc import Iterable

from scheduler.lines.shapes import BatchSpec, Line
from scheduler.outlook.course import NEVER, Openings
from scheduler.problem import bench, yard
from scheduler.problem.shapes import Days, Problem
from scheduler.problem.usage import Usage


class LineDays:
    """The days open to one line's works."""

    def __init__(self, problem: Problem, days: Days, line: Line) -> None:
        self._problem = problem
        self._days = days
        self._usage = Usage(problem, days)
        works = [work for batch in line.batches if batch.is_to_make for work in bench.works(batch)]
        works += [work for name in line.plantings for work in (yard.plant(name), yard.prepare_chips(name))]
        for work in works:
            if work in days.pieces:
                self._usage.take(work)

    def batch(self, batch: BatchSpec) -> Openings:
        """The days open to a batch; those on which it is planned are among them."""
        inoculate = self._open(bench.inoculate(batch))
        if not bench.is_to_cook(batch):
            begin = _first_from(self._problem.horizon, inoculate)
            return Openings(begin, begin)
        cook = self._open(bench.cook(batch))
        least, most = self._sealed(batch)
        pairs = [
            (day, max(c for c in cook if least <= day - c <= most))
            for day in inoculate
            if any(least <= day - c <= most for c in cook)
        ]
        begin = _first_from(self._problem.horizon, [day for day, _ in pairs])
        anew = [NEVER] * (self._problem.horizon + 1)
        for day, cooked in reversed(pairs):
            anew[: cooked + 1] = [day] * (cooked + 1)
        return Openings(begin, tuple(anew))

    def planting(self, name: str) -> tuple[int, ...]:
        """First day from each day on, on which a planting can be begun and be finished."""
        work, on = yard.plant(name), self._days.pieces[yard.plant(name)]
        first = min(on)
        later = range(first + 1, self._problem.horizon + 1)
        return _first_from(
            self._problem.horizon, [first, *(day for day in later if self._can_begin(work, day))]
        )

    def _open(self, work: str) -> list[int]:
        planned = self._days.first(work)
        return sorted({planned, *(d for d in range(self._problem.horizon + 1) if self._fits(work, d))})

    def _fits(self, work: str, day: int) -> bool:
        return self._usage.fits(work, day)

    def _sealed(self, batch: BatchSpec) -> tuple[int, int]:
        """Days from heat treatment to inoculation, at least and at most."""
        lag = next(
            lag
            for lag in self._problem.lags
            if lag.before.work == bench.cook(batch) and lag.after.work == bench.inoculate(batch)
        )
        return lag.least or 0, NEVER if lag.most is None else lag.most

    def _can_begin(self, name: str, day: int) -> bool:
        """Whether all pieces of a work can be done from a day on, as many a day as it has room for."""
        work = self._problem.work(name)
        on: dict[int, int] = {}
        for other in range(day, min(day + work.span, self._problem.horizon) + 1):
            left = work.pieces - sum(on.values())
            least = min(work.least, left)
            if not left:
                break
            most = self._most(name, on, other, least, left)
            if most:
                on[other] = most
            elif other == day:
                return False
        return sum(on.values()) == work.pieces

    def _most(self, name: str, on: dict[int, int], day: int, least: int, left: int) -> int:
        """Most pieces that a day takes beside those on other days; 0 where it takes fewer than `least`."""
        if not self._usage.fits_over(name, {**on, day: least}):
            return 0
        low, high = least, left
        while low < high:
            middle = (low + high + 1) // 2
            if self._usage.fits_over(name, {**on, day: middle}):
                low = middle
            else:
                high = middle - 1
        return low


def _first_from(horizon: int, days: Iterable[int]) -> tuple[int, ...]:
    """For each day number the first of some days that is not before it."""
    table = [NEVER] * (horizon + 1)
    for day in sorted(days, reverse=True):
        table[: day + 1] = [day] * (day + 1)
    return tuple(table)
