"""The one question whether anything keeps all rules, asked without a word about how good it is."""

from __future__ import annotations

import math

from scheduler.problem.shapes import Problem
from scheduler.problem.tighten import Windows
from scheduler.solve.look import Effort, look
from scheduler.solve.model import Model, Wanted
from scheduler.solve.params import ATTEMPTS


def fits(problem: Problem, windows: Windows, effort: Effort, *, until: float = math.inf) -> bool | None:
    """Whether there is an answer to a Problem without aims; None where a few looks do not tell.

    No look is begun once the effort has spent `until` deterministic units. On the word of one look: whoever
    refuses a season asks twice. Raises KeyboardInterrupt where it is stopped.
    """
    for manner in ATTEMPTS["explain"]:
        if effort.units > until:
            return None
        result = look(Model(problem, windows, Wanted()), manner, effort)
        if result.stopped:
            raise KeyboardInterrupt
        if result.settled:
            return not result.infeasible
    return None
