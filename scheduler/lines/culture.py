"""From the culture in hand to the first jars: what is tested, refreshed, enlarged or ordered.

Rules of the trade used here: an untested liquid culture is read on plates before any grain; an old plate
or a slant is refreshed on new plates first; a culture too small for the jars is enlarged while time
allows, else a further grain generation does it (handbook practice; figures in ``profiles/lab``).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.science.quantities import units_fed
from scheduler.season.season import Season, Stock
from scheduler.trade.catalogue import Catalogue

CULTURES = ("liquid culture", "plate", "slant")


@dataclass(frozen=True)
class Source:
    """The culture a line starts from: in hand or bought."""

    stage: str
    amount: float
    """mL of liquid culture, or a number of plates or slants."""
    there_on: date
    bought: bool
    aged_days: int
    tested: bool

    @property
    def feeds_grain(self) -> bool:
        """Whether it can go straight onto grain."""
        return self.stage != "slant"


@dataclass(frozen=True)
class Way:
    """How the culture reaches the first grain."""

    source: Source
    test: bool
    refresh_plates: int
    """Plates poured to refresh an old plate or a slant; 0 where none is needed."""
    enlarge_bottles: int
    generations: int
    feed: float
    """mL (or plates) of culture for one first-generation jar."""


def source(season: Season, catalogue: Catalogue, species: str, strain: str, first: str) -> Source:
    """The culture in hand for a strain (the largest), else one that is ordered today at the earliest."""
    lab = catalogue.lab.culture
    held = [s for s in season.stock if s.species == species and s.strain == strain and s.stage in CULTURES]
    if held:
        best = max(held, key=lambda s: (s.stage == "liquid culture", _amount(s), s.since))
        return Source(
            best.stage,
            _amount(best),
            max(season.today, best.since),
            False,
            max(0, (season.today - best.since).days),
            best.tested or best.stage != "liquid culture",
        )
    there = season.today + timedelta(days=season.lead.culture)
    if first in ("plate", "slant"):
        return Source(first, 1, there, True, 0, True)
    return Source("liquid culture", lab.syringe.likely, there, True, 0, False)


def _amount(stock: Stock) -> float:
    return stock.amount if stock.amount is not None else float(stock.units or 1)


def kept_ml(catalogue: Catalogue, start: Source) -> float:
    """mL of a liquid culture that go neither onto grain nor into a larger bottle: kept back and tested."""
    lab = catalogue.lab.culture
    return lab.keep_back_volume.likely + (0.0 if start.tested else lab.test_volume.likely)


def way(
    season: Season,
    catalogue: Catalogue,
    start: Source,
    *,
    jars: int,
    jar_g: float,
    slack_days: float,
    enlarge_days: float,
    media_jar_g: float,
) -> Way:
    """The shortest way from a culture to `jars` first-generation units of `jar_g` grams.

    `slack_days` is what the calendar leaves beyond the likely chain; enlarging takes `enlarge_days` of it.
    `media_jar_g` is the grain in the quart jar that `liquid_per_jar` is given for.
    """
    lab = catalogue.lab.culture
    if start.stage == "liquid culture":
        feed = lab.liquid_per_jar.likely * jar_g / media_jar_g
        can_feed = units_fed(max(0.0, start.amount - kept_ml(catalogue, start)), feed)
        test = not start.tested
        refresh = 0
    else:
        feed = 1.0 / lab.jars_per_plate.likely * jar_g / media_jar_g
        old = start.stage == "slant" or start.aged_days > lab.plate_age.likely
        needed = math.ceil(jars * feed - 1e-9) + round(lab.keep_back_plates.likely)
        refresh = needed if old or start.amount < needed else 0
        can_feed = jars
        test = False
    if can_feed >= jars or refresh:
        return Way(start, test, refresh, 0, 1, feed)
    expansion = lab.children_per_grain.likely
    if slack_days < enlarge_days and can_feed > 0:
        for generations in (2, 3):
            if can_feed * expansion ** (generations - 1) >= jars:
                return Way(start, test, refresh, 0, generations, feed)
    return Way(start, test, refresh, 1, 1, feed)
