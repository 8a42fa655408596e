"""A Problem as a solver's model, built anew from data for every question about it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Set
from dataclasses import dataclass, field

from scheduler.problem.shapes import Days, Problem
from scheduler.problem.tighten import Windows
from scheduler.solve import aims, rules
from scheduler.solve.order import equal_batches
from scheduler.solve.variables import Linear, Variables

Values = Mapping[str, int]
"""Values of a model's variables by their names."""


@dataclass(frozen=True)
class Wanted:
    """What is asked of a model beside the rules."""

    met: Set[int] = frozenset()
    """Tiers whose aims cost nothing."""
    caps: Mapping[int, int] = field(default_factory=dict)
    """Most that a tier may cost."""
    held: Days = field(default_factory=lambda: Days({}))
    """Works that lie exactly as in an answer in hand, and are cooked where they are there."""
    least: int | None = None
    """The tier that is to cost as little as it can."""


class Model:
    """A model with the words to read its answers."""

    def __init__(self, problem: Problem, windows: Windows, wanted: Wanted, *, ordered: bool = True) -> None:
        """States all rules, the bounds that are asked for, and what is to be made least.

        Equal batches are put in order unless `ordered` is False.
        """
        self.problem = problem
        self.variables = model = Variables(problem, windows, wanted.held)
        self.cp = model.cp
        for lag in problem.lags:
            if not model.is_settled(lag.before, lag.after):
                rules.lag(model, lag)
        self.inside = rules.cooked(model)
        self.loads: dict[tuple[int, str, str], Linear] = {}
        for cooker in problem.cookers:
            self.loads.update(rules.loads(model, cooker, self.inside))
        for limit in problem.day_limits:
            rules.day_limit(model, limit, self.loads)
        for room in problem.rooms:
            rules.room(model, room)
        for number, apart in enumerate(problem.aparts):
            rules.apart(model, apart, number)
        if ordered:
            equal_batches(model)
        self._want(wanted)

    def _want(self, wanted: Wanted) -> None:
        for aim in self.problem.terms:
            if aim.tier in wanted.met and not self.variables.is_settled(aim.plus, aim.minus):
                aims.ideal(self.variables, aim)
        for number, most in wanted.caps.items():
            self.variables.require(aims.tier(self.variables, number, self.loads) <= most)
        if wanted.least is not None:
            self.cp.minimize(aims.tier(self.variables, wanted.least, self.loads))

    def hint(self, values: Values) -> None:
        """Starts the search from an earlier answer, as far as its variables are still there."""
        known = {name: variable for name, variable in self.variables.named.items() if name in values}
        hint = self.cp.proto.solution_hint
        hint.vars.extend([variable.index for variable in known.values()])
        hint.values.extend([values[name] for name in known])

    def read(self, value: Callable[[Linear], int]) -> tuple[Days, Values]:
        """The days of an answer, and the values of all variables."""
        values = {name: value(variable) for name, variable in self.variables.named.items()}
        pieces = {work.name: self._pieces(work.name, value) for work in self.problem.works}
        cooker = {
            name: pot
            for (name, pot), days in self.inside.items()
            if any(value(here) for here in days.values())
        }
        return Days(pieces, cooker, loads_of(self.problem, pieces, cooker)), values

    def _pieces(self, name: str, value: Callable[[Linear], int]) -> dict[int, int]:
        if name in self.variables.held.pieces:
            return dict(self.variables.held.pieces[name])
        if name not in self.variables.pieces:
            return {value(self.variables.first[name]): self.problem.work(name).pieces}
        done = {day: value(pieces) for day, pieces in self.variables.pieces[name].items()}
        return {day: count for day, count in done.items() if count}


def loads_of(
    problem: Problem, pieces: Mapping[str, Mapping[int, int]], cooker: Mapping[str, str]
) -> dict[tuple[int, str, str], int]:
    """The loads that hold what is cooked on each day, none of them empty."""
    pots = {pot.name: pot for pot in problem.cookers}
    parts: Counter[tuple[int, str, str]] = Counter()
    for name, pot in cooker.items():
        parts[min(pieces[name]), pot, pots[pot].classes[name]] += pots[pot].shares[name]
    return {key: -(-count // pots[key[1]].share) for key, count in sorted(parts.items())}
