"""A further look for a Problem that has an answer: that there is none cannot come of it."""

from __future__ import annotations

from collections.abc import Callable

from scheduler.errors import SolverDisagreement
from scheduler.problem.shapes import Problem
from scheduler.problem.tighten import Contradiction, tighten
from scheduler.solve.look import Effort, Look, look
from scheduler.solve.model import Model, Wanted
from scheduler.solve.params import Manner


def once(
    problem: Problem, wanted: Wanted, manner: Manner, effort: Effort, ready: Callable[[Model], None]
) -> Look | Contradiction:
    """Looks once; `ready` gets the model first, to give it hints or an order."""
    windows = tighten(problem, met=wanted.met, held=wanted.held.pieces)
    if isinstance(windows, Contradiction):
        return windows
    model = Model(problem, windows, wanted)
    ready(model)
    return look(model, manner, effort)


def again(
    problem: Problem, wanted: Wanted, manner: Manner, effort: Effort, ready: Callable[[Model], None]
) -> Look:
    """Looks once more, as `once`. Raises SolverDisagreement where the answer in hand is ruled out."""
    result = once(problem, wanted, manner, effort, ready)
    if isinstance(result, Contradiction):
        raise SolverDisagreement("an answer in hand was ruled out by bounds", list(result.rules))
    if result.infeasible:
        raise SolverDisagreement("an answer in hand was ruled out", [effort.tier, str(manner)])
    return result
