"""The door to the room: everything that has to be made for a season, at one level of spares."""

from __future__ import annotations

from collections.abc import Mapping

from scheduler.lines import line
from scheduler.lines.demand import demand
from scheduler.lines.shapes import Sizing
from scheduler.lines.spares import NOTHING_SET, Chosen, Level
from scheduler.season.season import Planting, Season
from scheduler.trade.catalogue import Catalogue

Restarts = Mapping[str, Mapping[str, int]]
"""Further tries the calendar allows, by line code and stage."""


def size(
    season: Season,
    catalogue: Catalogue,
    level: Level,
    restarts: Restarts,
    chosen: Chosen = NOTHING_SET,
) -> Sizing:
    """Demands of all plantings and the strain lines that meet them, with the spares that are `chosen`.

    Raises SeasonError where something cannot be made with the lab as described.
    """
    demands = {p.name: demand(p, season, catalogue) for p in season.plantings}
    strains: dict[str, list[Planting]] = {}
    for planting in season.plantings:
        strains.setdefault(planting.code, []).append(planting)
    return Sizing(
        demands=tuple(demands.values()),
        lines=tuple(
            line.build(season, catalogue, plantings, demands, level, restarts.get(code, {}), chosen)
            for code, plantings in strains.items()
        ),
        level=level,
    )
