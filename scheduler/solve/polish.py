"""Polish: among all answers as good as the one in hand, and on no other days, the first in a fixed order.

The days are those of the answer in hand, or the later ones that `later` finds for as much work.

The solver decides the points that are pushed one after the other, each for its latest or its earliest day,
and only takes back what it has refuted. Its first answer is therefore the one that pushes the first point as
far as it goes, then the second, and so on: no point needs a search of its own, and the answer is unique.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from scheduler.problem.relax import keep_to
from scheduler.problem.shapes import Problem, Push
from scheduler.solve.again import again, once
from scheduler.solve.aims import workers
from scheduler.solve.engine import cp_model
from scheduler.solve.later import later_days
from scheduler.solve.look import Answer, Effort, Look
from scheduler.solve.model import Model, Wanted
from scheduler.solve.params import POLISH
from scheduler.solve.variables import Linear


@dataclass(frozen=True)
class Polished:
    """The answer that is left, and how many groups of pushes did not come to an end."""

    answer: Answer
    left: int
    stopped: bool = False


def polish(problem: Problem, best: Answer, wanted: Wanted, effort: Effort) -> Polished:
    """Pushes everything at once; where that takes too long, line by line with all other lines held."""
    effort.begin("polish")
    busy, left = workers(problem), len(problem.pushes)
    everything = partial(_decide_all, [push for group in problem.pushes for push in group])
    used = {day for name in busy for day in best.days.pieces[name]}
    wished = later_days(problem, best.days)
    if wished != used:
        moved = once(keep_to(problem, dict.fromkeys(busy, wished)), wanted, POLISH, effort, everything)
        if isinstance(moved, Look) and (moved.answer or moved.stopped):
            return Polished(moved.answer or best, 0 if moved.answer else left, moved.stopped)
    problem = keep_to(problem, dict.fromkeys(busy, used))
    result = again(problem, wanted, POLISH, effort, everything)
    if result.answer is not None or result.stopped:
        return Polished(result.answer or best, 0 if result.answer else left, result.stopped)
    for group in problem.pushes:
        line = {push.point.work for push in group}
        around = replace(wanted, held=best.without(line))
        result = again(problem, around, POLISH, effort, partial(_decide_all, group))
        if result.answer is not None:
            best, left = result.answer.over(best), left - 1
        if result.stopped:
            return Polished(best, left, stopped=True)
    return Polished(best, left)


def _decide_all(pushes: Sequence[Push], model: Model) -> None:
    """The order of decisions: the pushes, and after them all that is left to choose."""
    for push in pushes:
        _decide(model, [model.variables.decides(push.point)], high=push.late)
    _decide(model, [*model.variables.first.values(), *model.variables.last.values()], high=False)
    _decide(model, [part for days in model.variables.pieces.values() for part in days.values()], high=True)
    _decide(model, [here for days in model.inside.values() for here in days.values()], high=True)


def _decide(model: Model, amounts: Iterable[Linear], *, high: bool) -> None:
    choice = cp_model.SELECT_MAX_VALUE if high else cp_model.SELECT_MIN_VALUE
    variables = [amount for amount in amounts if isinstance(amount, cp_model.IntVar)]
    model.cp.add_decision_strategy(variables, cp_model.CHOOSE_FIRST, choice)
