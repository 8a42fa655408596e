"""From the culture in hand to the first jars: what is tested, refreshed, enlarged or ordered.

Rules of the trade used here: an untested liquid culture is read on plates before any grain; an old plate
or a slant is refreshed on new plates first; a culture too small for the jars is enlarged while time
allows, else a further grain generation does it (handbook practice; figures in ``profiles/lab``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.lines import figures
from scheduler.lines.stock import of_strain, there_and_age
from scheduler.lines.vessels import vessel
from scheduler.science.quantities import units_fed
from scheduler.science.rounding import whole_down, whole_up
from scheduler.season.season import Season, Stock
from scheduler.trade.catalogue import Catalogue

CULTURES = ("liquid culture", "plate", "slant")

SYRINGE, BOTTLE = "syringe", "culture bottle"
MEASURE_JAR = "quart jar"
"""The container that `culture.liquid_per_jar` and `jars_per_plate` are figures for."""


@dataclass(frozen=True)
class Source:
    """The culture a line starts from: in hand or bought."""

    stage: str
    amount: float
    """mL of liquid culture, or a number of plates or slants."""
    container: str
    there_on: date
    bought: bool
    aged_days: int
    tested: bool


@dataclass(frozen=True)
class Way:
    """How the culture reaches the first grain."""

    source: Source
    test: bool
    refresh_plates: int
    """Fresh plates needed for the jars where the culture is old, a slant, or too few plates; else 0."""
    enlarge_bottles: int
    generations: int
    feed: float
    """mL (or plates) of culture for one first-generation jar."""


def source(season: Season, catalogue: Catalogue, species: str, strain: str, first: str) -> Source:
    """The culture in hand for a strain (the largest that is still good), else one that is ordered today."""
    held = [_held(season, catalogue, stock) for stock in of_strain(season, species, strain, CULTURES)]
    good = [start for start in held if _is_good(catalogue, species, start)]
    if good:
        return max(good, key=lambda s: (s.stage == "liquid culture", s.amount, -s.aged_days))
    there = season.today + timedelta(days=season.lead.culture)
    if first in ("plate", "slant"):
        return Source(first, 1, first, there, True, 0, True)
    syringe = catalogue.lab.culture.syringe.likely
    return Source("liquid culture", syringe, SYRINGE, there, True, 0, False)


def _held(season: Season, catalogue: Catalogue, stock: Stock) -> Source:
    there_on, aged = there_and_age(season, catalogue, stock)
    liquid = stock.stage == "liquid culture"
    container = stock.container or (SYRINGE if liquid else stock.stage)
    each = vessel(season, catalogue, container).mass_g(stock.stage)
    amount = each * (stock.units or 1) if stock.amount is None else stock.amount
    return Source(stock.stage, amount, container, there_on, False, aged, stock.tested or not liquid)


def _is_good(catalogue: Catalogue, species: str, start: Source) -> bool:
    """Whether a culture in hand still keeps, and gives anything beyond what is kept back and tested."""
    keeps = figures.keeping(catalogue, species, start.stage).fridge_keeps.likely
    return start.aged_days <= keeps and (
        start.stage != "liquid culture" or start.amount > kept_ml(catalogue, start)
    )


def kept_ml(catalogue: Catalogue, start: Source) -> float:
    """mL of a liquid culture that go neither onto grain nor into a larger bottle: kept back and tested."""
    lab = catalogue.lab.culture
    return lab.keep_back_volume.likely + (0.0 if start.tested else lab.test_volume.likely)


def way(
    season: Season,
    catalogue: Catalogue,
    start: Source,
    *,
    jars: Sequence[int],
    jar_g: float,
    can_enlarge: bool,
) -> Way:
    """The shortest way from a culture to the first-generation units of `jar_g` grams.

    ``jars[n]`` is how many of those are started where n further generations follow; `can_enlarge` says
    whether there is time to enlarge the culture instead.
    """
    lab = catalogue.lab.culture
    share = jar_g / vessel(season, catalogue, MEASURE_JAR).mass_g("grain")
    if start.stage != "liquid culture":
        return _by_plates(season, catalogue, start, jars, min(1.0, share / lab.jars_per_plate.likely))
    feed = share * lab.liquid_per_jar.likely
    can_feed = units_fed(start.amount - kept_ml(catalogue, start), feed)
    enough = [n for n, firsts in enumerate(jars, start=1) if can_feed >= firsts]
    if 1 in enough or (enough and not can_enlarge):
        return Way(start, not start.tested, 0, 0, enough[0], feed)
    bottle_ml = vessel(season, catalogue, BOTTLE).mass_g("liquid culture")
    bottles = -(-jars[0] // max(1, units_fed(bottle_ml, feed)))
    return Way(start, not start.tested, 0, bottles, 1, feed)


def _by_plates(season: Season, catalogue: Catalogue, start: Source, jars: Sequence[int], feed: float) -> Way:
    """Jars from plates, no plate for a part of a jar; fresh ones where it is a slant, old, or too little.

    Where the fresh ones would be too few as well, more is bought of what is bought anyway; from what is in
    hand grain is grown for more generations, and if that does not help, plates are ordered.
    """
    lab = catalogue.lab.culture
    back, most = round(lab.keep_back_plates.likely), lab.plates_per_plate.likely
    needed = [-(-firsts // units_fed(1.0, feed)) for firsts in jars]
    old = start.stage == "slant" or start.aged_days > lab.plate_age.likely
    if not old and start.amount >= needed[0] + back:
        return Way(start, False, 0, 0, 1, feed)
    can_make = whole_down(start.amount * most)
    enough = [n for n, plates in enumerate(needed, start=1) if plates + back <= can_make]
    if not enough or (start.bought and enough[0] > 1):
        stage = start.stage if start.bought else "plate"
        there = season.today + timedelta(days=season.lead.culture)
        start = Source(stage, whole_up((needed[0] + back) / most), stage, there, True, 0, True)
        enough = [1]
    return Way(start, False, needed[enough[0] - 1], 0, enough[0], feed)
