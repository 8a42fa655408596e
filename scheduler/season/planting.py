"""Resolves one planting: names, code, size, route and the defaults that depend on method and species."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from scheduler import measures
from scheduler.measures import Units
from scheduler.season import permissions, planting_checks
from scheduler.season.findings import Findings
from scheduler.season.names import Names
from scheduler.season.season import LogGroup, Pattern, Planting
from scheduler.season.shapes import PlantingTable, StandingTable
from scheduler.season.strains import HOUSE, Strain, strain_of
from scheduler.season.units import spacing
from scheduler.season.where import Loc
from scheduler.trade.shapes import Method
from scheduler.trade.species import Species

_IN_TANK = ("soaked", "fermented")
"""Ways to prepare chips that take a tank."""


@dataclass(frozen=True)
class Setting:
    """What a planting is judged against."""

    names: Names
    findings: Findings
    today: date
    under_way: bool
    tank_l: float | None
    units: Units
    codes: Mapping[Strain, str]
    spellings: Mapping[Strain, str]
    keep_over: bool = False


def planting(table: PlantingTable, index: int, setting: Setting) -> Planting | None:
    """The planting, or None where too much of it is wrong or, once the season is under way, it is over.

    Every fault is noted on the way.
    """
    loc: Loc = ("planting", index)
    findings, catalogue = setting.findings, setting.names.catalogue
    label = f'planting[{index}] "{table.name or ""}"'
    species = catalogue.species[table.species] if table.species else None
    method = catalogue.methods[table.method] if table.method else None
    if not setting.keep_over:
        planting_checks.over(table, loc, label, setting.today, setting.under_way, findings)
    planting_checks.days(table, loc, setting.today, findings)
    planting_checks.felled(table, method, loc, setting.today, findings)
    if species and method:
        permissions.species_by_method(loc, label, species, method, catalogue, findings)
        route = permissions.usual_route(species, method) if table.route is None else tuple(table.route)
        permissions.route(loc, label, route, species, method, findings)
    if species and table.wood:
        permissions.species_by_wood(loc, label, species, table.wood, setting.names, findings)
    if method:
        planting_checks.size(table, method, loc, setting.units, findings)
        planting_checks.extras(table, method, loc, label, findings)
    strain = strain_of(table)
    if not (species and method and strain and table.name and table.window):
        return None
    if setting.under_way and table.window[1] < setting.today and not setting.keep_over:
        return None
    if table.wood is None:
        findings.assume_for(table.name, "wood", "not named", "whether it suits the species is not checked")
    if table.best is None:
        findings.assume_for(table.name, "best", "the whole window")
    findings.default_for(table.name, "strain", table.strain, HOUSE)
    defaults = catalogue.defaults
    return Planting(
        name=table.name,
        species=species.name,
        strain=setting.spellings[strain],
        code=setting.codes[strain],
        method=method.name,
        wood=table.wood,
        groups=groups(table),
        area_m2=table.area,
        depth_cm=table.depth,
        pattern=_pattern(table, table.name, method, setting),
        cut=_cut(table, table.name, method, setting),
        chips=_chips(table, table.name, method, setting),
        window=table.window,
        best=table.best or table.window,
        priority=findings.default_for(table.name, "priority", table.priority, defaults.priority),
        at_least=table.at_least,
        spawn=findings.default_for(table.name, "spawn", table.spawn, defaults.spawn),
        route=_route(table, table.name, species, method, findings),
        felled=table.felled,
        index=index,
    )


def groups(table: PlantingTable | StandingTable) -> tuple[LogGroup, ...]:
    """The logs, totems or stumps of a table, by size."""
    logs = (LogGroup(one.count, one.diameter, one.length) for one in table.logs or ())
    return (*logs, *(LogGroup(one.count, one.diameter) for one in table.stumps or ()))


def _pattern(table: PlantingTable, name: str, method: Method, setting: Setting) -> Pattern | None:
    if method.name != planting_checks.DRILLED:
        return None
    if table.pattern is not None:
        return Pattern(*table.pattern)
    usual = spacing(setting.names.catalogue.defaults.pattern, "cm")
    setting.findings.assume_for(name, "pattern", measures.spacing(*usual, setting.units))
    return Pattern(*usual)


def _cut(table: PlantingTable, name: str, method: Method, setting: Setting) -> str | None:
    if method.name != planting_checks.SAWN:
        return None
    return setting.findings.default_for(name, "cut", table.cut, setting.names.catalogue.defaults.cut)


def _chips(table: PlantingTable, name: str, method: Method, setting: Setting) -> str | None:
    """How chips are prepared: the usual way where the tank holds them, else wetted in place."""
    if method.wood != "chips":
        return None
    usual = setting.names.catalogue.defaults.chips
    deep = method.figures.get("depth_cm")
    depth_cm = table.depth or (deep.likely if deep else 0.0)
    litres = (table.area or 0.0) * depth_cm * 10
    heap = f"{measures.volume(litres, setting.units)} of chips"
    in_tank = setting.tank_l is not None and litres <= setting.tank_l
    tank = "there is no tank" if setting.tank_l is None else f"the tank does not hold {heap}"
    if table.chips:
        if table.chips in _IN_TANK and not in_tank:
            setting.findings.warn(f'"{name}": its chips are to be {table.chips}, but {tank}')
        return table.chips
    if in_tank:
        return setting.findings.default_for(name, "chips", None, usual, f"the tank holds {heap}")
    return setting.findings.default_for(name, "chips", None, "wetted in place", tank)


def _route(
    table: PlantingTable, name: str, species: Species, method: Method, findings: Findings
) -> tuple[str, ...]:
    if table.route is not None:
        return tuple(table.route)
    route = permissions.usual_route(species, method)
    findings.assume_for(name, "route", " > ".join(route))
    return route
