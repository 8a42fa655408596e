"""How hard and in which way each tier is searched: one table.

All limits are deterministic time, so the same Problem gives the same answer on the same machine. Measured
on made-up seasons of 18 to 96 works: without probing a first plan takes 10 to 70 ms instead of 80 to 570 ms;
without linear relaxation plans are found soonest, with it what cannot be counted out is refuted soonest; core
search proves the fewest days with work where the plain search does not.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

from scheduler.solve.engine import cp_model

SEED = 1


@dataclass(frozen=True)
class Budget:
    """How much of the usual deterministic time a search may take."""

    factor: float = 1.0


@dataclass(frozen=True)
class Manner:
    """One attempt at a tier: ways of searching, and its limit in deterministic units."""

    limit: float
    linearization: int = 0
    presolve: bool = False
    core: bool = False
    in_order: bool = False
    """Decides in the order of the model's own strategy: the first answer is the first in that order."""

    def parameters(self, budget: Budget) -> cp_model.SatParameters:
        """The solver's parameters for this attempt."""
        parameters = cp_model.SatParameters()
        parameters.num_workers = 1
        parameters.random_seed = SEED
        parameters.catch_sigint_signal = False
        parameters.max_deterministic_time = self.limit * budget.factor
        parameters.linearization_level = self.linearization
        parameters.cp_model_presolve = self.presolve
        parameters.symmetry_level = 0
        parameters.cp_model_probing_level = 0
        parameters.inprocessing_probing_dtime = 0.0
        parameters.inprocessing_minimization_dtime = 0.0
        # known to drop enforcement literals wrongly when terms add up to more than 2^31
        parameters.presolve_inclusion_work_limit = 0
        parameters.optimize_with_core = self.core
        parameters.core_minimization_level = 0
        if self.in_order:
            parameters.search_branching = cp_model.FIXED_SEARCH
        return parameters


FIND = (Manner(0.1), Manner(0.1, linearization=1), Manner(1.0), Manner(1.0, linearization=1), Manner(2.0))
MEET = (Manner(0.5, core=True), Manner(1.0))

ATTEMPTS = MappingProxyType(
    {
        "plantings": FIND,
        "ideal": FIND[:3],
        "moved tasks": MEET,
        "moved days": MEET,
        "margin": MEET,
        "risk": MEET,
        "days": (Manner(0.4, core=True),),
        "explain": (Manner(0.1), Manner(0.1, linearization=1), Manner(0.5)),
        "confirm": (Manner(1.0), Manner(1.0, linearization=1)),
    }
)
"""The manners of each tier, tried in this order until one settles it."""

NEARBY = Manner(0.05, core=True)
"""A part of an answer that no manner proved best: so many looks, works of whole lines, days of all works."""
NEARBY_LOOKS = 80
LOOKS_A_LINE = 2
"""Looks for each line, where that is more than the usual number."""
NEARBY_WORKS = 16
NEARBY_DAYS = 28
PACKED = Manner(0.1)
"""All works at once, on the days with work that an answer has."""
PROOF = Manner(0.5, core=True)
PROOF_FROM = 0.8
"""The last attempt, from an answer that was bettered part by part, where the bound has come so near to it."""

POLISH = Manner(0.15, in_order=True)

EXPLAIN_UNITS = 4.0
"""Deterministic units for all questions about the grower's rules in one explanation."""
WINDOW_UNITS = 4.0
"""Of their own for the windows, which are asked about when the others are settled."""
NATURE_UNITS = 1.0
"""And then for those about nature's."""
