"""What one piece of a method takes of finished spawn, in its usual size or in that of the season."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from scheduler import measures
from scheduler.lines.demand import demand
from scheduler.season.permissions import SAWDUST_SPAWN, plantable
from scheduler.season.season import LogGroup, Planting, Season
from scheduler.season.units import quantity
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.shapes import Method, Permission, Piece


@dataclass(frozen=True)
class OnePiece:
    """One log, totem or stump of a method, or a square metre of bed, planted with a species."""

    method: Method
    piece: Piece
    size: str
    """In words, empty for a bed."""
    takes_g: float
    own: bool
    """Whether the season plants the species so."""
    permission: Permission


def ways(season: Season, catalogue: Catalogue, like: Planting) -> list[OnePiece]:
    """One piece of each method in which the finished spawn of a planting may be used, the season's own first.

    A piece is as large as the first one that the season plants by that method, of the same species if it has
    such, else of the usual size. Methods that the species is warned about come last.
    """
    species = catalogue.species[like.species]
    found = []
    for name, method in catalogue.methods.items():
        permission = species.methods.get(name)
        if permission is None or permission.verdict == "refused" or not _takes(like, catalogue, method):
            continue
        alike = [p for p in season.plantings if p.method == name]
        same = [p for p in alike if p.species == like.species]
        model = next(iter([*same, *alike]), None)
        group = model.groups[0] if model and model.groups else usual_group(season, catalogue, method)
        one = replace(
            like,
            method=name,
            groups=(replace(group, count=1),) if group else (),
            area_m2=None if group else 1.0,
            pattern=model.pattern if model else None,
        )
        takes_g = demand(one, season, catalogue).spawn_g
        size = _words(group, season.units) if group else ""
        found.append(OnePiece(method, method.piece, size, takes_g, bool(same), permission))
    return sorted(found, key=lambda way: (not way.own, way.permission.verdict != "fine"))


def usual_group(season: Season, catalogue: Catalogue, method: Method) -> LogGroup | None:
    """One piece of the size that a first season plants; None where a method is measured by area."""
    usual = getattr(catalogue.starting.amount[method.piece], season.units)
    if not usual:
        return None
    across, _, long = re.sub(r"\s+x\s+", "|", usual).partition("|")
    return LogGroup(1, quantity(across, "length", "cm"), quantity(long, "length", "cm") if long else None)


def _takes(like: Planting, catalogue: Catalogue, method: Method) -> bool:
    """Whether a method plants the finished spawn of a planting."""
    last = like.route[-1]
    stages = plantable(catalogue.species[like.species], method)
    return last in stages or (last in SAWDUST_SPAWN and bool(SAWDUST_SPAWN & set(stages)))


def _words(group: LogGroup, units: measures.Units) -> str:
    across = measures.length(group.diameter_cm, units)
    return across if group.length_cm is None else f"{across} x {measures.length(group.length_cm, units)}"
