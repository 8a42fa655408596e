"""The search for a plan that keeps to the one before it: nothing moves, or else as little as can be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from scheduler.problem.promises import (
    Promised,
    open_works,
    still_possible,
    with_cookers,
    with_parts,
    with_promises,
)
from scheduler.problem.relax import keep_to
from scheduler.problem.shapes import Problem
from scheduler.problem.tighten import Contradiction, tighten
from scheduler.solve.look import Watch
from scheduler.solve.params import Budget
from scheduler.solve.search import Found, solve

FROZEN_DAYS = 7
"""Promised works of so many days do not move unless nothing else fits."""


@dataclass(frozen=True)
class Kept:
    """An answer near to the promised days."""

    found: Found
    unfrozen: bool
    """Whether works of the next days had to move as well."""


def replan(
    problem: Problem,
    promised: Promised,
    cooker: Mapping[str, str],
    *,
    today: int,
    done: str,
    budget: Budget,
    watch: Watch | None = None,
) -> Kept | None:
    """Finds days for everything that is still to be done, close to the days that were promised.

    First with every promise held that can be, to the piece if that goes; then with those of the next days
    alone; then with none, moved works and the days they move being the first aims. `cooker` is where each
    was to be cooked, `done` the rule of works that are done. None where no answer was found; whether there is
    none is a question for `search.impossible`.
    """
    if isinstance(tighten(problem), Contradiction):  # and no promise would mend that
        return None
    possible = still_possible(problem, promised, today, done)
    soon = {name: on for name, on in possible.items() if min(on) < today + FROZEN_DAYS}
    spread = frozenset(name for name, on in possible.items() if len(on) > 1)
    nothing = frozenset[str]()
    for held, parts in _distinct((possible, spread), (possible, nothing), (soon, nothing), ({}, nothing)):
        asked = with_promises(problem, promised, held.keys(), done)
        asked = keep_to(with_cookers(asked, cooker, held.keys()), held)
        asked = with_parts(asked, promised, parts)
        outcome = solve(asked, budget=budget, watch=watch, confirm=False)
        if isinstance(outcome, Found):
            return Kept(outcome, unfrozen=_is_unfrozen(problem, promised, outcome, today, done))
    return None


def _is_unfrozen(problem: Problem, promised: Promised, found: Found, today: int, done: str) -> bool:
    """Whether an open work whose first promised day is one of the next is to be done on other days."""
    for work in open_works(problem, done):
        days = promised.get(work.name, {})
        if (
            days
            and today <= min(days) < today + FROZEN_DAYS
            and set(days) != set(found.days.pieces[work.name])
        ):
            return True
    return False


_Way = tuple[Mapping[str, frozenset[int]], frozenset[str]]
"""What is held to its days, and what of it to its pieces."""


def _distinct(*ways: _Way) -> list[_Way]:
    """The ways in their order, each once."""
    found: list[_Way] = []
    for way in ways:
        if way not in found:
            found.append(way)
    return found
