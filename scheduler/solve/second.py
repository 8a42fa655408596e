"""The second look: no season is called impossible on the word of one search."""

from __future__ import annotations

from dataclasses import replace

from scheduler.errors import SolverDisagreement
from scheduler.problem.shapes import Problem
from scheduler.problem.tighten import Contradiction, loose
from scheduler.solve.look import Effort, look
from scheduler.solve.model import Model, Wanted
from scheduler.solve.params import ATTEMPTS


def confirmed(problem: Problem, effort: Effort, *, presolved: bool) -> bool:
    """Whether a look with presolve flipped also finds no answer; False where it could not say in time.

    It looks at the days before they are narrowed, and first without an order among equal batches. Raises
    SolverDisagreement where it finds an answer.
    """
    windows = loose(problem)
    if isinstance(windows, Contradiction):
        return True
    effort.begin("confirm")
    for ordered in (False, True) if problem.equals else (True,):
        for manner in ATTEMPTS["confirm"]:
            model = Model(problem, windows, Wanted(), ordered=ordered)
            result = look(model, replace(manner, presolve=not presolved), effort)
            if result.stopped:
                raise KeyboardInterrupt
            if result.infeasible:
                return True
            if result.answer is not None:
                days = {name: dict(pieces) for name, pieces in result.answer.days.pieces.items()}
                raise SolverDisagreement(
                    "one look finds no answer, the other finds one",
                    [f"second look with presolve {'off' if presolved else 'on'}", f"its days: {days}"],
                )
    return False
