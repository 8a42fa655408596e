"""Betters an answer bit by bit: a few works near each other are freed, all others stay where they are.

A season of many lines is too much for one search, but every part of it is small. Which parts are tried, and
in which order, follows from the answer alone, so the result is always the same. Days with work are packed
after that, all works at once.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace

from scheduler.problem.relax import keep_to
from scheduler.problem.shapes import Days, Problem
from scheduler.solve.again import again
from scheduler.solve.aims import DAYS, worth
from scheduler.solve.look import Answer, Effort
from scheduler.solve.model import Wanted
from scheduler.solve.packing import packed
from scheduler.solve.params import LOOKS_A_LINE, NEARBY, NEARBY_DAYS, NEARBY_LOOKS, NEARBY_WORKS


def better(problem: Problem, best: Answer, wanted: Wanted, tier: int, effort: Effort) -> Iterator[Answer]:
    """Ever better answers in a tier, until no part can be bettered.

    Raises KeyboardInterrupt where the grower stops it.
    """
    looks = round(max(NEARBY_LOOKS, LOOKS_A_LINE * len(problem.pushes)) * effort.budget.factor)
    before: int | None = None
    tight: Answer | None = None
    while before is None or worth(problem, best.days, tier) < before:
        before = worth(problem, best.days, tier)
        for parts in PARTS:
            for free in list(parts(problem, best.days))[:looks]:
                looks -= 1
                answer = _freed(problem, best, free, wanted, tier, effort)
                if answer is not None:
                    best = answer
                    yield best
        if tier == DAYS and best is not tight:
            for fewer in packed(problem, best, wanted, effort):
                best = fewer
                yield best
            tight = best


def _freed(
    problem: Problem,
    best: Answer,
    free: set[str],
    wanted: Wanted,
    tier: int,
    effort: Effort,
) -> Answer | None:
    """A better answer that differs in the free works, and else only in how many pieces lie on a day."""
    spread = {name: on for name, on in best.days.pieces.items() if len(on) > 1 and name not in free}
    held = best.without(free | spread.keys())
    result = again(keep_to(problem, spread), replace(wanted, held=held), NEARBY, effort, best.hint)
    if result.stopped:
        raise KeyboardInterrupt
    answer = result.answer
    if answer is None or worth(problem, answer.days, tier) >= worth(problem, best.days, tier):
        return None
    return answer.over(best)


def _whole_lines(problem: Problem, _days: Days) -> Iterator[set[str]]:
    """For each group of works that are polished together: they, and twice over what they are tied to.

    From the spawn of a strain line that leads to its plantings, and from there to their wood.
    """
    tied: dict[str, set[str]] = defaultdict(set)
    for lag in problem.lags:
        tied[lag.before.work].add(lag.after.work)
        tied[lag.after.work].add(lag.before.work)
    for group in problem.pushes:
        line = {push.point.work for push in group}
        for _ in range(2):
            line |= {other for name in line for other in tied[name]}
        yield line


def _sharing_a_day(problem: Problem, days: Days) -> Iterator[set[str]]:
    """For each day the works on it, with the lines that they are of while these are not too many."""
    lines = [{push.point.work for push in group} for group in problem.pushes]
    for day in _used(days):
        here = {name for name, pieces in days.pieces.items() if day in pieces}
        free = set(here)
        for line in lines:
            if line & here and len(free | line) <= NEARBY_WORKS:
                free |= line
        yield free


def _within_weeks(_problem: Problem, days: Days) -> Iterator[set[str]]:
    """For each second day the works of the weeks from it on."""
    for day in _used(days)[::2]:
        weeks = range(day, day + NEARBY_DAYS)
        yield {name for name, pieces in days.pieces.items() if any(other in weeks for other in pieces)}


def _used(days: Days) -> list[int]:
    return sorted({day for pieces in days.pieces.values() for day in pieces})


PARTS = (_whole_lines, _within_weeks, _sharing_a_day)
"""Ways of choosing what is freed."""
