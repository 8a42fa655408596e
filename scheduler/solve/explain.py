"""Which rules cannot all hold: a set that can spare none, picked with all of nature's rules in place."""

from __future__ import annotations

from collections.abc import Sequence

from scheduler.problem.relax import leave_out, rules_of, rules_only
from scheduler.problem.shapes import Problem
from scheduler.problem.tighten import Contradiction, tighten
from scheduler.solve.fits import fits
from scheduler.solve.look import Effort
from scheduler.solve.params import EXPLAIN_UNITS, NATURE_UNITS, WINDOW_UNITS, Budget
from scheduler.solve.second import confirmed

WINDOW = "window"
"""The kind of rule that holds one planting to its days."""


def explain(problem: Problem, budget: Budget) -> tuple[str, ...]:
    """Names rules that cannot all hold, none of which can be spared; empty if they may well all hold.

    Drops rules as long as what is left stays impossible: the grower's first, while nature's are all there,
    nature's last. Where the budget runs out, rules remain that could have been spared.
    """
    return _Filter(problem, budget).smallest()


class _Filter:
    """A deletion filter: every question is a Problem built anew without some of its rules."""

    def __init__(self, problem: Problem, budget: Budget) -> None:
        self.problem = rules_only(problem)
        self.effort = Effort(budget, tier="explain")
        self.all = rules_of(problem)
        self.nature = {
            rule for rule in self.all if rule in problem.rules and problem.rules[rule].owner == "nature"
        }
        self.windows = {
            rule for rule in self.all if rule in problem.rules and problem.rules[rule].kind == WINDOW
        }
        self.firm = self.nature
        """Rules that are not dropped yet."""
        self.possible: list[set[str]] = []
        """Rules that may all hold together, as far as could be told."""
        self._units_for(EXPLAIN_UNITS)

    def _units_for(self, units: float) -> None:
        """So much may be spent on the questions that follow."""
        self.until = self.effort.units + units * self.effort.budget.factor

    def smallest(self) -> tuple[str, ...]:
        """The rules that remain, in the order of the Problem."""
        kept = self._clash(set(self.all))
        if kept is None:
            return ()
        own = [rule for rule in self.all if rule not in self.nature]
        # Without windows a season is so loose that it takes long to tell: they come last, one by one.
        windows = [rule for rule in own if rule in self.windows]
        kept = self._spare([rule for rule in own if rule not in self.windows], kept)
        self._units_for(WINDOW_UNITS)
        for rule in windows:
            kept = self._spare([rule], kept)
        self.firm = set()
        self._units_for(NATURE_UNITS)
        kept = self._spare([rule for rule in self.all if rule in self.nature], kept)
        confirmed(self._only(kept), self.effort, presolved=False)
        return tuple(rule for rule in self.all if rule in kept)

    def _only(self, kept: set[str]) -> Problem:
        return leave_out(self.problem, set(self.all) - kept)

    def _spare(self, chunk: Sequence[str], kept: set[str]) -> set[str]:
        """Drops the chunk as a whole where it can, else half by half."""
        chunk = [rule for rule in chunk if rule in kept]
        if not chunk:
            return kept
        left = self._clash(kept - set(chunk))
        if left is not None:
            return left
        if len(chunk) == 1:
            return kept
        half = len(chunk) // 2
        return self._spare(chunk[half:], self._spare(chunk[:half], kept))

    def _clash(self, kept: set[str]) -> set[str] | None:
        """Rules among those kept that surely cannot all hold; None if they may."""
        if any(kept <= more for more in self.possible):
            return None
        problem = self._only(kept)
        windows = tighten(problem)
        if isinstance(windows, Contradiction):
            return kept & (set(windows.rules) | self.firm)
        if fits(problem, windows, self.effort, until=self.until) is False:
            return kept
        self.possible.append(kept)
        return None
