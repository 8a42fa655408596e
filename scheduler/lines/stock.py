"""What is in hand of a strain: from when on it may be used, how old it is then, how much is left to give."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.lines import chips, figures, timing
from scheduler.lines.shapes import BatchSpec
from scheduler.lines.vessels import Vessel, vessel
from scheduler.science.rounding import whole_down, whole_up
from scheduler.season.season import Season, Stock
from scheduler.trade.catalogue import Catalogue

GIVEN_OUT = ("grain", "sawdust", "pellet", "dowels", "chips")
"""Stages of which what is in hand is given out in parts; a culture is used as a whole."""


@dataclass
class InHand:
    """Units in hand of grain or finished spawn; each of them is given out once."""

    stage: str
    container: Vessel
    left: int
    unit_g: float
    generation: int | None
    there_on: date
    aged_days: int
    transfers: int | None = None
    """Transfers that lie behind it; None where nobody knows."""
    loose: bool = False
    """Whether it is measured out by the gram: `left` counts grams, and a planting gets one heap of them."""


def of_strain(season: Season, species: str, strain: str, stages: Sequence[str]) -> list[Stock]:
    """Everything in hand of a strain that is in one of `stages`."""
    return [s for s in season.stock if (s.species, s.strain) == (species, strain) and s.stage in stages]


def there_and_age(season: Season, catalogue: Catalogue, stock: Stock) -> tuple[date, int]:
    """Day from which something in hand may be used, and the days of its keeping time that are gone by then.

    What was started, and not received, is ready when it has run for the likely days.
    """
    ready = stock.since
    if stock.started:
        ready += timedelta(days=_runs_days(season, catalogue, stock))
    return max(season.today, ready), max(0, (season.today - ready).days)


def _runs_days(season: Season, catalogue: Catalogue, stock: Stock) -> int:
    if stock.stage == "chips":
        return chips.run_days(catalogue, stock.species)
    stage = "plate" if stock.stage == "slant" else stock.stage
    growth = figures.growth(season, catalogue, stock.species, stage, "plate")
    return whole_up(timing.likely_days(season, catalogue, stock.species, growth))


def in_hand(season: Season, catalogue: Catalogue, species: str, strain: str) -> list[InHand]:
    """Grain and finished spawn in hand of a strain, oldest first."""
    found = [_parts(season, catalogue, stock) for stock in of_strain(season, species, strain, GIVEN_OUT)]
    return sorted(found, key=lambda one: (one.there_on, -one.aged_days))


def _parts(season: Season, catalogue: Catalogue, stock: Stock) -> InHand:
    """A line of stock as it can be given out."""
    lab = season.lab
    usual = {"grain": lab.grain_in, "dowels": lab.dowels_in}.get(stock.stage, lab.spawn_in)
    container = vessel(season, catalogue, stock.container or usual)
    there_on, aged = there_and_age(season, catalogue, stock)
    grams = stock.amount
    if stock.stage == "chips":
        if grams is None:
            grams = (stock.units or 1) * container.volume_l * catalogue.chips_g_per_l
        heap = vessel(season, catalogue, chips.HEAP)
        return InHand("chips", heap, whole_down(grams), 1.0, None, there_on, aged, loose=True)
    full_g = container.mass_g(stock.stage)
    if stock.stage == "dowels" and stock.container is None:
        # Loose dowels are counted by the piece.
        grams = (stock.units or 0) * catalogue.methods["drilled logs"].figures["dowel_mass_g"].likely
    if grams is None:
        units, unit_g = stock.units or 1, full_g
    else:
        units = max(1, whole_down(grams / full_g)) if full_g else 1
        unit_g = min(grams / units, full_g or grams)
    # As many transfers as are known lie behind it, one at least: from the culture.
    generation = min(3, max(1, stock.transfers or 1)) if stock.stage == "grain" else None
    return InHand(
        stock.stage, container, units, unit_g, generation, there_on, aged, transfers=stock.transfers
    )


def ready_day(there_on: date | None, aged_days: int) -> date | None:
    """The day something in hand was ready, which stays the same whatever day it is looked at."""
    return there_on and there_on - timedelta(days=aged_days)


def left_over(
    season: Season, catalogue: Catalogue, batches: Iterable[BatchSpec]
) -> list[tuple[Stock, InHand, int]]:
    """Each line of stock that is given out in parts, as a whole, and how many parts no batch of a plan takes.

    Lines of one stage, size and age are alike: batches take from them in their order.
    """
    taken: dict[tuple[object, ...], float] = {}
    for b in batches:
        if b.state == "in hand":
            part_g = 1.0 if b.stage == "chips" else b.unit_mass_g
            key = (b.species, b.strain, b.stage, b.container, part_g, ready_day(b.there_on, b.aged_days))
            taken[key] = taken.get(key, 0.0) + b.started * b.unit_mass_g / part_g
    found = []
    for stock in season.stock:
        if stock.stage in GIVEN_OUT:
            one = _parts(season, catalogue, stock)
            name = (stock.species, stock.strain, one.stage, one.container.name)
            key = (*name, one.unit_g, ready_day(one.there_on, one.aged_days))
            parts = min(one.left, round(taken.get(key, 0.0)))
            taken[key] = taken.get(key, 0.0) - parts
            found.append((stock, one, one.left - parts))
    return found
