"""Betters an answer bit by bit: a few works that lie near each other are freed, all others stay where they are.

A season of many lines is too much for one search, but every part of it is small. Which parts are tried, and
in which order, follows from the answer alone, so the result is always the same.
"""

from __future__ import annotations

from collections.abc import Iterator

from scheduler.problem.relax import keep_to
from scheduler.problem.shapes import Days, Problem
from scheduler.problem.tighten import Contradiction, tighten
from scheduler.solve.aims import worth
from scheduler.solve.look import Answer, Pulse, look
from scheduler.solve.model import Model, Wanted
from scheduler.solve.params import NEARBY, NEARBY_LOOKS, NEARBY_WORKS, Budget

NEARBY_DAYS = 21


def better(problem: Problem, best: Answer, wanted: Wanted, budget: Budget, pulse: Pulse) -> Iterator[Answer]:
    """Ever better answers in the tier that is to cost least, until no part can be bettered.

    Ends with a KeyboardInterrupt where the grower stops it.
    """
    assert wanted.least is not None
    looks = round(NEARBY_LOOKS * budget.factor)
    before = None
    while before is None or worth(problem, best.days, wanted.least) < before:
        before = worth(problem, best.days, wanted.least)
        for free in [*_sharing_a_day(problem, best.days), *_within_weeks(problem, best.days)]:
            if looks <= 0:
                return
            looks -= 1
            answer = _part(problem, best, free, wanted, budget, pulse)
            if answer is not None:
                yield answer
                best = answer


def _part(
    problem: Problem, best: Answer, free: set[str], wanted: Wanted, budget: Budget, pulse: Pulse
) -> Answer | None:
    """A better answer that differs only in the free works."""
    assert wanted.least is not None
    held = {name: pieces for name, pieces in best.days.pieces.items() if name not in free}
    windows = tighten(part := keep_to(problem, held), met=wanted.met)
    if isinstance(windows, Contradiction):
        raise AssertionError("the answer in hand lies on its own days")
    model = Model(part, windows, wanted)
    model.hint(best.values)
    result = look(model, NEARBY, budget, pulse)
    if result.stopped:
        raise KeyboardInterrupt
    answer = result.answer
    if answer is None or worth(problem, answer.days, wanted.least) >= worth(problem, best.days, wanted.least):
        return None
    return answer


def _sharing_a_day(problem: Problem, days: Days) -> Iterator[set[str]]:
    """For each day the works on it, with the lines that they are of while these are not too many."""
    lines = [{push.point.work for push in group} for group in problem.pushes]
    for day in sorted({day for pieces in days.pieces.values() for day in pieces}):
        here = {name for name, pieces in days.pieces.items() if day in pieces}
        free = set(here)
        for line in lines:
            if line & here and len(free | line) <= NEARBY_WORKS:
                free |= line
        yield free


def _within_weeks(problem: Problem, days: Days) -> Iterator[set[str]]:
    """For each second day the works of the weeks from it on."""
    for day in sorted({day for pieces in days.pieces.values() for day in pieces})[::2]:
        weeks = range(day, day + NEARBY_DAYS)
        yield {name for name, pieces in days.pieces.items() if any(other in weeks for other in pieces)}
