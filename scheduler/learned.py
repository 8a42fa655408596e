"""The words of what was learned: the trade's figures, the grower's own data, and what both say together.

Frozen plain data, as `plan` is; its field names are the keys of the document ``budswell.learned/1``. Losses
are shares from 0 to 1, days are those at the temperature that the trade's figure holds for, from inoculation
to fully run. Of bands, nine values of ten lie between `low` and `high`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

LEARNED_SCHEMA = "budswell.learned/1"

BAND = 0.9
"""The share of a band."""

How = Literal["nothing", "too little", "some", "much"]
"""How much own data say beside the trade's figure: their share of all that is known (`own_share`)."""


_SOME, _MUCH = 0.2, 0.5
"""Shares of what is known from which own data say something, and much (a rule of this planner)."""


def how_much(counted: int, own_share: float) -> How:
    """How much own data say, so many units or batches, that are a share of all that is known."""
    if not counted:
        return "nothing"
    if own_share < _SOME:
        return "too little"
    return "much" if own_share >= _MUCH else "some"


@dataclass(frozen=True)
class Loss:
    """The share of units, or loads, that is lost."""

    low: float
    rate: float
    high: float
    worth: float
    """How many units (or loads) of experience that is."""


@dataclass(frozen=True)
class LossLearned:
    """What was learned of losses: of units of one stage in this lab, or of loads as a whole."""

    stage: str
    """A stage; ``load`` for loads."""
    prior: Loss
    """The trade's."""
    made: int
    """Units (or loads) of which something is known."""
    lost: int
    growing: int
    """Units of these that live and were last looked at before they were ready: they count in part."""
    with_others: float
    """Lost units of these that are taken to have gone with their whole load or parent; in parts of one."""
    unknown: int
    """Units (or loads) that were begun, and of which nothing was recorded since."""
    posterior: Loss
    own_share: float
    """The grower's part of what is known, 0 to 1: of the units of experience that the posterior is worth."""
    how: How


@dataclass(frozen=True)
class Days:
    """Days of one stage, as a figure has them."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True)
class DaysLearned:
    """What was learned of the days of one stage of a species."""

    species: str
    stage: str
    made_from: str
    """Stage of the parent that the days are told for, where they depend on it; else empty."""
    prior: Days
    """The trade's."""
    known: int
    """Batches that were found run through on a day that the plan did not ask for: known to the day."""
    between: int
    """Batches that ran through between two looks, or before the first one."""
    growing: int
    """Batches that had not run through when they were last looked at."""
    unknown: int
    """Batches of which nothing was recorded since they were begun."""
    factor_low: float
    factor: float
    """How many times as long as the trade's; the middle of the band."""
    factor_high: float
    narrower: float
    """How many times the spread of the trade's days, on the log scale, the days of the next batch have."""
    posterior: Days
    own_share: float
    """The grower's part of what is known, 0 to 1: of the precision (one over the variance) of the factor."""
    how: How


@dataclass(frozen=True)
class LearnedFrom:
    """One season whose book was read."""

    name: str
    plan_no: int
    entries: int


@dataclass(frozen=True)
class Learned:
    """All that the books of a grower's seasons say, beside what the trade says."""

    seasons: tuple[LearnedFrom, ...]
    workspace: str
    prior: str
    """Whose figures the prior is: always the catalogue's, never what was learned before."""
    losses: tuple[LossLearned, ...]
    days: tuple[DaysLearned, ...]
    kept: str = ""
    """The file in which it was kept; empty where it was not."""
    notes: tuple[str, ...] = ()
    schema: str = LEARNED_SCHEMA
