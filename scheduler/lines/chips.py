"""Colonised chips of a bed in hand: what they can start, how far they go, how they are measured.

They start a bed of a species that lives on litter, by volume: one part to so many parts of fresh chips
(`colonised_expansion` of the method; a method without that figure is not started from chips).
"""

from __future__ import annotations

from scheduler import measures
from scheduler.lines.shapes import BatchSpec, Demand
from scheduler.science.rounding import whole_up
from scheduler.season.season import Planting, Season
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import DAYS_A_MONTH

HEAP = "heap of chips"
"""What a bed gets of them is one unit."""


def can_start(catalogue: Catalogue, planting: Planting) -> bool:
    """Whether colonised chips may start a planting: a bed that expands them, of a litter species."""
    return (
        "colonised_expansion" in catalogue.methods[planting.method].figures
        and catalogue.species[planting.species].group == "litter"
    )


def worth(catalogue: Catalogue, planting: Planting, demand: Demand) -> float:
    """Grams of finished spawn that a gram of colonised chips stands for in a bed; 0 if they cannot start it.

    The bed's chips divided by the expansion are as good as all its spawn.
    """
    if not can_start(catalogue, planting) or not demand.chips_l:
        return 0.0
    expansion = catalogue.methods[planting.method].figures["colonised_expansion"].likely
    return demand.spawn_g / (demand.chips_l * catalogue.chips_g_per_l / expansion)


def run_days(catalogue: Catalogue, species: str) -> int:
    """Days from laying a bed until its chips can be passed on: a bed that is about to fruit has run."""
    return whole_up(catalogue.species[species].first_flush.likely * DAYS_A_MONTH)


def note(season: Season, heap: BatchSpec, demand: Demand) -> str:
    """What a heap does in a bed, for the grower."""
    share = min(1.0, heap.unit_mass_g * heap.usable / demand.spawn_g)
    mass = measures.mass(heap.unit_mass_g, season.units)
    return f"{demand.planting}: {mass} of colonised chips in hand stand for {share * 100:.0f} % of its spawn."
