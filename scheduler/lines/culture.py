"""From the culture in hand to the first jars: what is tested, refreshed, enlarged or ordered.

Rules of the trade used here: an untested liquid culture is read on plates before any grain; an old plate
or a slant is refreshed on new plates first; a culture too small for the jars is enlarged while time
allows, else a further grain generation does it (handbook practice; figures in ``profiles/lab``). Of what
is bought, as many are ordered as the jars take, within reason; each of them is tested.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

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
    vessels: int = 1
    """How many of a liquid culture; `amount` is what one of them holds."""
    transfers: int | None = None
    """Transfers that lie behind it; None where nobody knows."""


@dataclass(frozen=True)
class Way:
    """How the culture reaches the first grain."""

    sources: tuple[Source, ...]
    """Cultures of one stage, largest first: each unit made from them has one of them as its parent."""
    rooms: tuple[int, ...]
    """Jars that each source can start; empty where fresh plates or bottles come between, or for plates."""
    refresh_plates: int
    """Fresh plates needed for the jars where the culture is old, a slant, or too few plates; else 0."""
    enlarge_bottles: int
    generations: int
    feed: float
    """mL (or plates) of culture for one first-generation jar."""


def in_hand(season: Season, catalogue: Catalogue, species: str, strain: str) -> list[Source]:
    """Cultures in hand of a strain that give something beyond what is kept back and tested.

    Liquid culture goes before plates and slants, and of those the larger before the smaller.
    """
    held = [_held(season, catalogue, stock) for stock in of_strain(season, species, strain, CULTURES)]
    held = [one for one in held if one.stage != "liquid culture" or one.amount > kept_ml(catalogue, one)]
    return sorted(held, key=lambda s: (s.stage != "liquid culture", -s.amount, s.there_on, s.aged_days))


def ordered(season: Season, catalogue: Catalogue, first: str) -> Source:
    """The culture that is ordered today for a route whose first stage is `first`."""
    there = season.today + timedelta(days=season.lead.culture)
    if first in ("plate", "slant"):
        return Source(first, 1, first, there, True, 0, True, transfers=0)
    syringe = catalogue.lab.culture.syringe.likely
    return Source("liquid culture", syringe, SYRINGE, there, True, 0, False, transfers=0)


def _held(season: Season, catalogue: Catalogue, stock: Stock) -> Source:
    there_on, aged = there_and_age(season, catalogue, stock)
    liquid = stock.stage == "liquid culture"
    container = stock.container or (SYRINGE if liquid else stock.stage)
    each = vessel(season, catalogue, container).mass_g(stock.stage)
    amount = each * (stock.units or 1) if stock.amount is None else stock.amount
    tested = stock.tested or not liquid
    return Source(stock.stage, amount, container, there_on, False, aged, tested, transfers=stock.transfers)


def read_on(catalogue: Catalogue, start: Source) -> date:
    """First day on which a culture may be used: its test is read by then."""
    test = timedelta(days=round(catalogue.lab.culture.test_days.likely))
    return start.there_on + (timedelta(0) if start.tested else test)


def kept_ml(catalogue: Catalogue, start: Source) -> float:
    """mL of a liquid culture that go neither onto grain nor into a larger bottle: kept back and tested."""
    lab = catalogue.lab.culture
    return lab.keep_back_volume.likely + (0.0 if start.tested else lab.test_volume.likely)


def way(
    season: Season,
    catalogue: Catalogue,
    held: Sequence[Source],
    *,
    jars: Sequence[int],
    jar_g: float,
    can_enlarge: bool,
    sparing: bool = False,
) -> Way:
    """The shortest way from the cultures to the first-generation units of `jar_g` grams.

    The fewest of the cultures are used, largest first. ``jars[n]`` is how many units are started where n
    further generations follow; `can_enlarge` says whether there is time to enlarge the culture instead. A
    `sparing` way gives each jar as little as will do.
    """
    lab = catalogue.lab.culture
    share = jar_g / vessel(season, catalogue, MEASURE_JAR).mass_g("grain")
    if held[0].stage != "liquid culture":
        a_plate = lab.jars_per_plate.highest if sparing else lab.jars_per_plate.likely
        return _by_plates(season, catalogue, held, jars, min(1.0, share / a_plate))
    feed = share * (lab.liquid_per_jar.lowest if sparing else lab.liquid_per_jar.likely)
    lots = [held[0]] * round(lab.most_syringes.likely) if held[0].bought else held
    rooms = [units_fed(start.amount - kept_ml(catalogue, start), feed) for start in lots]
    for generations, firsts in enumerate(jars, start=1):
        fewest = _fewest(rooms, firsts)
        if fewest and (generations == 1 or not can_enlarge):
            used, fed = tuple(lots[i] for i in fewest), tuple(rooms[i] for i in fewest)
            if held[0].bought:
                used, fed = (replace(held[0], vessels=len(used)),), (sum(fed),)
            return Way(used, fed, 0, 0, generations, feed)
    bottle_ml = vessel(season, catalogue, BOTTLE).mass_g("liquid culture")
    bottles = -(-jars[0] // max(1, units_fed(bottle_ml, feed)))
    return Way((held[0],), (), 0, bottles, 1, feed)


def _fewest(rooms: Sequence[int], needed: int) -> list[int]:
    """Places of the first cultures that together do for `needed`, but of none that gives nothing."""
    found: list[int] = []
    for index, room in enumerate(rooms):
        if room > 0:
            found.append(index)
            needed -= room
        if found and needed <= 0:
            return found
    return []


def _by_plates(
    season: Season, catalogue: Catalogue, held: Sequence[Source], jars: Sequence[int], feed: float
) -> Way:
    """Jars from plates, no plate for a part of a jar; fresh ones where it is a slant, old, or too little.

    Where the fresh ones would be too few as well, more is bought of what is bought anyway; from what is in
    hand grain is grown for more generations, and if that does not help, plates are ordered.
    """
    lab = catalogue.lab.culture
    back, most = round(lab.keep_back_plates.likely), lab.plates_per_plate.likely
    needed = [-(-firsts // units_fed(1.0, feed)) for firsts in jars]
    young = [s for s in held if s.stage == "plate" and s.aged_days <= lab.plate_age.likely]
    direct = _fewest([round(start.amount) for start in young], needed[0] + back)
    # The plate kept back is one of the largest lot, which has to give something as well.
    if direct and young[0] is held[0] and young[0].amount > back:
        return Way(tuple(young[i] for i in direct), (), 0, 0, 1, feed)
    makes = [whole_down(start.amount * most) for start in held]
    for generations, plates in enumerate(needed, start=1):
        fewest = _fewest(makes, plates + back)
        if fewest and not (held[0].bought and generations > 1):
            return Way(tuple(held[i] for i in fewest), (), plates, 0, generations, feed)
    stage = held[0].stage if held[0].bought else "plate"
    more = replace(ordered(season, catalogue, stage), amount=whole_up((needed[0] + back) / most))
    return Way((more,), (), needed[0], 0, 1, feed)
