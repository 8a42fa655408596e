"""The usual days of a place known only by its latitude or climate, in the season that can still be met.

No more than a start: they are those of a large region, and are marked so where they are written.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from itertools import pairwise
from typing import Literal

from scheduler.plan import Period
from scheduler.season.permissions import usual_route
from scheduler.season.units import quantity
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.shapes import Figure
from scheduler.trade.species import Species
from scheduler.trade.starting import Climate

SiteDate = Literal["leaf_turn", "bud_swell", "ground_thaws", "last_frost"]
_HALF_YEAR = 182
"""Days by which the southern half of the world is behind."""
_YEAR = 365


def is_south(where: str) -> bool:
    """Whether an answer (a latitude, or a climate with ``, south``) lies south of the equator."""
    return where.startswith("-") or where.endswith(", south")


def day_of_year(key: str, where: str, catalogue: Catalogue) -> int:
    """The usual day of the year (1 to 365) of a site date at a latitude or in a climate."""
    climates = catalogue.starting.climates
    name = where.removesuffix(", south")
    if name in climates:
        found = getattr(climates[name], key).likely
    else:
        found = _between(key, abs(float(where)), [one for one in climates.values() if one.by_latitude])
    return _on_the_calendar(round(found) + (_HALF_YEAR if is_south(where) else 0))


def usual(key: str, said: Mapping[str, str], catalogue: Catalogue, today: date) -> date:
    """A site date of the season that can still be met; dates that were said draw the others to them."""
    where = said["where"]
    if key == "leaf_turn":
        return _leaf_turn(said, catalogue, today)
    if key == "bud_swell":
        return _next(day_of_year(key, where, catalogue), date.fromisoformat(said["leaf_turn"]))
    return _nearest(day_of_year(key, where, catalogue), date.fromisoformat(said["bud_swell"]))


def window(said: Mapping[str, str], catalogue: Catalogue) -> Period:
    """The usual planting window: logs from bud swell on, stumps and beds from the last frost on."""
    piece = catalogue.methods[said["method"]].piece
    span = catalogue.starting.window[piece]
    since = date.fromisoformat(said["bud_swell" if piece in ("log", "totem") else "last_frost"])
    return (
        since + timedelta(days=round(span.opens.likely)),
        since + timedelta(days=round(span.closes.likely)),
    )


def season_of(day: date, said: Mapping[str, str]) -> str:
    """Spring, summer, autumn or winter, by the month and the half of the world."""
    month = (day.month + (6 if is_south(said["where"]) else 0)) % 12
    return ("winter", "spring", "summer", "autumn")[month // 3]


def days_needed(said: Mapping[str, str], catalogue: Catalogue) -> int:
    """Days from an order of culture to planting, every stage at its slowest, with the usual slack."""
    species, lab = catalogue.species[said["species"]], catalogue.lab
    route = usual_route(species, catalogue.methods[said["method"]])
    stages = sum(_slowest(species, stage) for stage in route[1:])
    rest = species.rest.likely
    culture = quantity(catalogue.defaults.lead["culture"], "time", "day") + lab.culture.test_days.highest
    return round(culture + max(stages, rest) + catalogue.starting.slack.likely)


def _slowest(species: Species, stage: str) -> float:
    """Days that a stage takes where it is slow, consolidation included."""
    if stage == "grain":
        days = max(figure.highest for figure in species.days.grain.values())
    else:
        slow: Figure = getattr(species.days, stage.replace(" ", "_"))
        days = slow.highest
    more: dict[str, float] = {name: one.highest for name, one in species.consolidation.items()}
    return days + more.get(stage, 0.0)


def _leaf_turn(said: Mapping[str, str], catalogue: Catalogue, today: date) -> date:
    """The leaf turn of the first season with time for the spawn, and for felling where it is due."""
    where, starting = said["where"], catalogue.starting
    needed = timedelta(days=days_needed(said, catalogue))
    dormant = timedelta(days=starting.dormant.likely)
    fells = "bud_swell" in catalogue.methods[said["method"]].needs
    turn = _nearest(day_of_year("leaf_turn", where, catalogue), today - timedelta(days=_YEAR))
    while True:
        swell = _next(day_of_year("bud_swell", where, catalogue), turn)
        frost = _nearest(day_of_year("last_frost", where, catalogue), swell)
        dates = {**said, "bud_swell": swell.isoformat(), "last_frost": frost.isoformat()}
        _, last = window(dates, catalogue)
        if last - today >= needed and (not fells or swell - today >= dormant):
            return turn
        turn = _next(day_of_year("leaf_turn", where, catalogue), turn)


def _between(key: str, degrees: float, climates: list[Climate]) -> float:
    """The day between those of the climates on either side; beyond the outermost it stays as there."""
    line = sorted((one.latitude.likely, getattr(one, key).likely) for one in climates)
    for (low, early), (high, late) in pairwise(line):
        if degrees <= high:
            share = max(0.0, (degrees - low) / (high - low))
            return float(early + share * (late - early))
    return float(line[-1][1])


def _on_the_calendar(number: int) -> int:
    return (number - 1) % _YEAR + 1


def _in_year(number: int, year: int) -> date:
    return date(year, 1, 1) + timedelta(days=number - 1)


def _next(number: int, after: date) -> date:
    """The first such day of the year that lies after a day."""
    found = (_in_year(number, year) for year in range(after.year, after.year + 3))
    return next(day for day in found if day > after)


def _nearest(number: int, to: date) -> date:
    """The one nearest to a day, of this year, the one before and the one after."""
    return min(
        (_in_year(number, year) for year in range(to.year - 1, to.year + 2)), key=lambda day: abs(day - to)
    )
