"""What is in hand of a strain: from when on it may be used, how old it is then, how much is left to give."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.lines import figures, timing
from scheduler.lines.vessels import Vessel, vessel
from scheduler.science.rounding import whole_down, whole_up
from scheduler.season.season import Season, Stock
from scheduler.trade.catalogue import Catalogue


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


def of_strain(season: Season, species: str, strain: str, stages: Sequence[str]) -> list[Stock]:
    """Everything in hand of a strain that is in one of `stages`."""
    return [s for s in season.stock if (s.species, s.strain) == (species, strain) and s.stage in stages]


def there_and_age(season: Season, catalogue: Catalogue, stock: Stock) -> tuple[date, int]:
    """Day from which something in hand may be used, and the days of its keeping time that are gone by then.

    What was started, and not received, is ready when it has run for the likely days.
    """
    ready = stock.since
    if stock.started:
        stage = "plate" if stock.stage == "slant" else stock.stage
        growth = figures.growth(season, catalogue, stock.species, stage, "plate")
        ready += timedelta(days=whole_up(timing.likely_days(season, catalogue, stock.species, growth)))
    return max(season.today, ready), max(0, (season.today - ready).days)


def in_hand(season: Season, catalogue: Catalogue, species: str, strain: str) -> list[InHand]:
    """Grain and finished spawn in hand of a strain, oldest first."""
    lab = season.lab
    found = []
    for stock in of_strain(season, species, strain, ("grain", "sawdust", "pellet", "dowels")):
        usual = lab.grain_in if stock.stage == "grain" else lab.spawn_in
        container = vessel(season, catalogue, stock.container or usual)
        full_g = container.mass_g(stock.stage)
        grams = stock.amount
        if stock.stage == "dowels" and stock.container is None:
            # Loose dowels are counted by the piece.
            grams = (stock.units or 0) * catalogue.methods["drilled logs"].figures["dowel_mass_g"].likely
        if grams is None:
            units, unit_g = stock.units or 1, full_g
        else:
            units = max(1, whole_down(grams / full_g)) if full_g else 1
            unit_g = min(grams / units, full_g or grams)
        there_on, aged = there_and_age(season, catalogue, stock)
        # As many transfers as are known lie behind it, one at least: from the culture.
        generation = min(3, max(1, stock.transfers or 1)) if stock.stage == "grain" else None
        found.append(InHand(stock.stage, container, units, unit_g, generation, there_on, aged))
    return sorted(found, key=lambda one: (one.there_on, -one.aged_days))
