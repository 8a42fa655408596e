"""How the chance falls with a later start: the same seasons, begun on one day after the other."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

import numpy as np

from scheduler.chances import LEVELS, LastStart, StartPoint
from scheduler.outlook.changed import begun_from, is_to_make, starts
from scheduler.outlook.course import Course
from scheduler.outlook.dice import Flags
from scheduler.outlook.share import share
from scheduler.outlook.simulate import simulate

POINTS = 30
"""Starts, at most, that a curve is drawn from."""


class Starts:
    """Later starts of a course, each played when it is first asked for."""

    def __init__(self, course: Course, seasons: int, seed: int) -> None:
        self.seasons = seasons
        self._course = course
        self._seed = seed
        self._days = starts(course)
        self._lines: dict[tuple[object, ...], dict[str, Flags]] = {}
        self._drawn = self._spread()

    def curve(self, planting: str | None) -> tuple[StartPoint, ...]:
        """The chance of a planting, or of all, for starts from the planned one to the last of any use."""
        return tuple(self._point(day, planting) for day in self._drawn)

    def last(self, planting: str | None) -> tuple[LastStart, ...]:
        """For each of the levels the last start that reaches it."""
        if not self._days:
            return ()
        found = []
        for level in LEVELS:
            low, high = -1, len(self._days) - 1  # the start at `low` reaches it, those after `high` do not
            while low < high:
                middle = (low + high + 1) // 2
                if self._chance(self._days[middle], planting)[0] >= level:
                    low = middle
                else:
                    high = middle - 1
            day = self._course.origin + timedelta(days=self._days[low]) if low >= 0 else None
            found.append(LastStart(level, day))
        return tuple(found)

    def _spread(self) -> list[int]:
        """Starts spread evenly from the first to the first one that no season survives."""
        low, high = 0, len(self._days) - 1
        while low < high:
            middle = (low + high) // 2
            if self._any(self._days[middle]):
                low = middle + 1
            else:
                high = middle
        useful = self._days[: low + 1]
        if len(useful) <= POINTS:
            return useful
        places = np.linspace(0, len(useful) - 1, POINTS).round().astype(int)
        return [useful[place] for place in places]

    def _any(self, day: int) -> bool:
        return any(flags.any() for flags in self._made(day).values())

    def _point(self, day: int, planting: str | None) -> StartPoint:
        on = self._course.origin + timedelta(days=day)
        return StartPoint(on, *self._chance(day, planting))

    def _chance(self, day: int, planting: str | None) -> tuple[float, float]:
        made = self._made(day)
        return share(np.logical_and.reduce(list(made.values())) if planting is None else made[planting])

    def _made(self, day: int) -> dict[str, Flags]:
        """In which seasons each planting is made, where nothing is begun before a day."""
        made: dict[str, Flags] = {}
        for line in self._course.lines():
            alone = self._course.only(line)
            key = (line, *_begun_on(alone, day))
            if key not in self._lines:
                played = simulate(begun_from(alone, day), self.seasons, self._seed)
                self._lines[key] = {name: played.made(name) for name in played.planted_on}
            made |= self._lines[key]
        return made


def _begun_on(course: Course, day: int) -> Sequence[int]:
    """On which days the things that begin a line are begun then: two starts that agree play the same."""
    return [
        max(batch.planned, batch.openings.anew[day])
        for batch in course.batches
        if batch.starts and is_to_make(batch) and batch.openings is not None
    ]
