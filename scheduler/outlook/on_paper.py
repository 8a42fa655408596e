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
from scheduler.outlook.share import DIGITS, share
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


State = tuple[tuple[str, int], ...]
"""What was changed of a line, by stage; a margin has the empty name."""


class OnPaper:
    """A course and the moves that were made in it; what was played once is not played again."""

    def __init__(self, course: Course, seasons: int, seed: int) -> None:
        self._seasons, self._seed = seasons, seed
        self._lines = {line: course.only(line) for line in course.lines()}
        self._states: dict[str, State] = dict.fromkeys(self._lines, ())
        self._played: dict[tuple[str, State], Flags] = {}

    def copy(self) -> OnPaper:
        """The same, to be changed otherwise; both know what either has played."""
        other = copy(self)
        other._states = dict(self._states)
        return other

    def chance(self) -> tuple[float, float]:
        """Chance that all plantings are made, and its standard error."""
        return share(self._made(self._states))

    def stages(self) -> Iterator[tuple[str, str]]:
        """Line and stage of everything of which something is still to be made; tests are none."""
        for line, course in self._lines.items():
            yield from ((line, stage.name) for stage in _to_make(course))

    def lines(self) -> Iterator[str]:
        """Lines of which something is still to be made."""
        yield from dict.fromkeys(line for line, _ in self.stages())

    def gain(self, *moves: Move) -> tuple[float, float]:
        """What moves would add to the chance together, with its standard error, season by season."""
        more = self._made(self._after(*moves)).astype(float) - self._made(self._states)
        return round(float(more.mean()), DIGITS), round(float(more.std()) / math.sqrt(more.size), DIGITS)

    def take(self, move: Move) -> None:
        """Makes a move."""
        self._states = self._after(move)

    def _after(self, *moves: Move) -> dict[str, State]:
        states = dict(self._states)
        for move in moves:
            changed_by = dict(states[move.line])
            changed_by[move.stage] = changed_by.get(move.stage, 0) + move.by
            states[move.line] = tuple(sorted((stage, by) for stage, by in changed_by.items() if by))
        return states

    def _made(self, states: dict[str, State]) -> Flags:
        """In which seasons all plantings are made."""
        flags: Flags = np.logical_and.reduce([self._play(line, state) for line, state in states.items()])
        return flags

    def _play(self, line: str, state: State) -> Flags:
        if (line, state) not in self._played:
            course = self._lines[line]
            keys = {stage.name: stage.key for stage in _to_make(course)}
            for stage, by in state:
                if stage:
                    course = changed.with_units(course, keys[stage], by)
                else:
                    course = changed.with_margin(course, line, by)
            self._played[line, state] = simulate(course, self._seasons, self._seed).all_made()
        return self._played[line, state]


def _to_make(course: Course) -> Iterator[Stage]:
    for stage in course.stages:
        if not stage.is_test and any(changed.is_to_make(batch) for batch in course.of(stage.key)):
            yield stage
