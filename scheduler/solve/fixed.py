"""Whether the solver accepts an exact answer: a witness for and against the checker."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar

from scheduler.problem.shapes import Days, Problem
from scheduler.problem.tighten import Contradiction, loose
from scheduler.solve.look import Effort, look
from scheduler.solve.model import Model, Wanted
from scheduler.solve.params import ATTEMPTS, Budget
from scheduler.solve.variables import Linear

Key = TypeVar("Key")


def fixed(problem: Problem, days: Days) -> bool:
    """Says whether every rule holds with each work, cooker and load exactly where the answer has it."""
    windows = loose(problem)
    if isinstance(windows, Contradiction) or days.pieces.keys() != {work.name for work in problem.works}:
        return False
    model = Model(problem, windows, Wanted(), ordered=False)
    cooked_in = dict.fromkeys(days.cooker.items(), 1)
    inside = {key: sum(here.values()) for key, here in model.inside.items()}
    held = [_hold_work(model, name, pieces) for name, pieces in days.pieces.items()]
    held += [_hold(model, inside, cooked_in), _hold(model, model.loads, days.loads)]
    return all(held) and look(model, ATTEMPTS["confirm"][0], Effort(Budget())).answer is not None


def _hold_work(model: Model, name: str, pieces: Mapping[int, int]) -> bool:
    """Holds a work to its days; False where it cannot lie there at all."""
    variables = model.variables
    if name in variables.pieces:
        return _hold(model, variables.pieces[name], pieces)
    model.cp.add(variables.first[name] == min(pieces, default=-1))
    return list(pieces.values()) == [variables.problem.work(name).pieces]


def _hold(model: Model, amounts: Mapping[Key, Linear], values: Mapping[Key, int]) -> bool:
    """Holds every amount to its value, or to 0; False where there is a value that cannot be held."""
    for key, amount in amounts.items():
        model.cp.add(amount == values.get(key, 0))
    return all(key in amounts and value > 0 for key, value in values.items())
