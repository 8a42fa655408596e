"""A course that is changed move by move, to see what each does for the chance of all plantings.

Lines share no luck but that of their loads: only the one that changes is played again, in the same seasons.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from copy import copy
from dataclasses import dataclass

import numpy as np

from scheduler.outlook import changed
from scheduler.outlook.course import Course, Stage
from scheduler.outlook.dice import Flags
from scheduler.outlook.findings import DIGITS, share
from scheduler.outlook.simulate import simulate


@dataclass(frozen=True)
class Move:
    """One change: units of a stage, or days of margin of a whole line; fewer where `by` is less than 0."""

    line: str
    stage: str
    """As among the spares; empty for a margin."""
    by: int

    @property
    def way(self) -> tuple[str, str, bool]:
        """What it changes, and whether to more of it."""
        return self.line, self.stage, self.by > 0


class OnPaper:
    """A course, and how it would be after a move."""

    def __init__(self, course: Course, seasons: int, seed: int) -> None:
        self._seasons, self._seed = seasons, seed
        self._lines = {line: course.only(line) for line in course.lines()}
        self._made = {line: self._play(one) for line, one in self._lines.items()}
        self._after: dict[Move, tuple[Course, Flags]] = {}

    def copy(self) -> OnPaper:
        """The same, to be changed otherwise."""
        other = copy(self)
        other._lines, other._made, other._after = dict(self._lines), dict(self._made), dict(self._after)
        return other

    def chance(self) -> tuple[float, float]:
        """Chance that all plantings are made, and its standard error."""
        return share(self._all(self._made))

    def stages(self) -> Iterator[tuple[str, str]]:
        """Line and stage of everything of which something is still to be made; tests are none."""
        for line, course in self._lines.items():
            yield from ((line, stage.name) for stage in _to_make(course))

    def lines(self) -> Iterator[str]:
        """Lines of which something is still to be made."""
        yield from dict.fromkeys(line for line, _ in self.stages())

    def gain(self, move: Move) -> tuple[float, float]:
        """What a move would add to the chance, with its standard error, season by season."""
        before, after = self._all(self._made), self._all({**self._made, move.line: self._look(move)[1]})
        more = after.astype(float) - before
        return round(float(more.mean()), DIGITS), round(float(more.std()) / math.sqrt(more.size), DIGITS)

    def take(self, move: Move) -> None:
        """Makes a move."""
        self._lines[move.line], self._made[move.line] = self._look(move)
        self._after = {other: found for other, found in self._after.items() if other.line != move.line}

    def _look(self, move: Move) -> tuple[Course, Flags]:
        if move not in self._after:
            course = self._lines[move.line]
            if move.stage:
                key = next(stage.key for stage in _to_make(course) if stage.name == move.stage)
                after = changed.with_units(course, key, move.by)
            else:
                after = changed.with_margin(course, move.line, move.by)
            self._after[move] = after, self._play(after)
        return self._after[move]

    def _play(self, course: Course) -> Flags:
        return simulate(course, self._seasons, self._seed).all_made()

    @staticmethod
    def _all(made: dict[str, Flags]) -> Flags:
        flags: Flags = np.logical_and.reduce(list(made.values()))
        return flags


def _to_make(course: Course) -> Iterator[Stage]:
    for stage in course.stages:
        if not stage.is_test and any(changed.is_to_make(batch) for batch in course.of(stage.key)):
            yield stage
