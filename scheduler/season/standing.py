"""Resolves what stands outdoors from earlier years."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import replace
from datetime import date, timedelta

from scheduler.measures import Units
from scheduler.season import planting_checks
from scheduler.season.findings import Findings
from scheduler.season.names import Names
from scheduler.season.planting import groups
from scheduler.season.season import Standing
from scheduler.season.shapes import PlantingTable, StandingTable
from scheduler.season.strains import HOUSE
from scheduler.season.wrong import Wrong

LastSeason = Callable[[str], tuple[Standing, ...]]
"""What stands of the season at a path beside this one; raises Wrong where none can be read there."""

OLDEST = timedelta(days=15 * 366)
"""Nothing bears longer; an earlier day is a year mistyped."""


def standing(
    tables: list[StandingTable],
    plantings: list[PlantingTable],
    today: date,
    units: Units,
    names: Names,
    findings: Findings,
) -> tuple[Standing, ...]:
    """What stands, each with a name that no planting of this season has."""
    found: list[Standing] = []
    taken = {table.name.casefold(): f"planting[{n}]" for n, table in enumerate(plantings) if table.name}
    for index, table in enumerate(tables):
        loc = ("standing", index)
        if (
            table.name
            and taken.setdefault(table.name.casefold(), f"standing[{index}]") != f"standing[{index}]"
        ):
            findings.fault(
                (*loc, "name"),
                f'"{table.name}", the name of {taken[table.name.casefold()]} too',
                "a name of its own for each planting and for all that stands",
            )
        if table.method:
            method = names.catalogue.methods[table.method]
            planting_checks.size(table, method, loc, units, findings)
        if table.planted and not today - OLDEST < table.planted <= today:
            findings.fault(
                (*loc, "planted"),
                f"{table.planted}",
                f"the day on which it was planted, up to today, {today}",
                "what is still to be planted is a [[planting]]" if table.planted > today else "",
            )
        if not (table.name and table.species and table.method and table.planted):
            continue
        if table.strain is None:
            findings.assume(f"standing[{index}].strain", HOUSE)
        found.append(
            Standing(
                name=table.name,
                species=table.species,
                strain=table.strain or HOUSE,
                method=table.method,
                wood=table.wood,
                groups=groups(table),
                area_m2=table.area,
                planted=table.planted,
            )
        )
    return tuple(found)


def of_last_season(
    path: str | None, read: LastSeason, known: Collection[str], findings: Findings
) -> tuple[Standing, ...]:
    """What stands of last season; a name that is `known` here is told apart by a word."""
    if path is None:
        return ()
    try:
        found = read(path)
    except Wrong as wrong:
        findings.fault(("season", "continues"), wrong.found, wrong.allowed, wrong.hint)
        return ()
    taken = {name.casefold() for name in known}
    return tuple(
        replace(one, name=f"{one.name}, planted {one.planted}") if one.name.casefold() in taken else one
        for one in found
    )
