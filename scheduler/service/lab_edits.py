"""Changes of rooms and tools that could make a season fit: more shelf, fridge or tank, more drills."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from scheduler import measures
from scheduler.season.season import Planting, Room, Season
from scheduler.service.edit import Edit, Family, volume_steps
from scheduler.trade.catalogue import Catalogue


def drills(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """More drills: they are borrowed, and somebody has to hold them."""
    there = season.tools.drills
    edits = []
    for more in (1, 2, 3, 4):
        first = "another" if there else "one"
        words = f"{first} drill" if more == 1 else f"{more} {'more ' if there else ''}drills"
        tools = replace(season.tools, drills=there + more)
        edits.append(Edit(words, f"Borrow {words}.", replace(season, tools=tools)))
    yield Family("another drill", 2, "a borrowed drill", (), tuple(edits))


def shelf(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """A larger shelf."""
    yield _more_room(season, "shelf", season.lab.shelf)


def fridge(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """A larger fridge."""
    yield _more_room(season, "fridge", season.lab.fridge)


def _more_room(season: Season, name: str, room: Room) -> Family:
    edits = []
    steps = (5, 10, 20, 30, 40, 60, 80, 120, 160, 240, 320, 480)
    for step in steps if room.holds else volume_steps(steps, season.units):
        if room.holds is None:
            bigger = replace(room, volume_l=(room.volume_l or 0) + step)
            amount = measures.volume(step, season.units)
        else:
            share = 1 + step / 100
            bigger = replace(room, holds={c: math.ceil(n * share) for c, n in room.holds.items()})
            amount = f"{step} %"
        lab = replace(season.lab, **{name: bigger})  # type: ignore[arg-type]
        edits.append(Edit(amount, f"Find {amount} more room for the {name}.", replace(season, lab=lab)))
    return Family(f"more {name}", 2, "room in the house", (), tuple(edits))


def larger_tank(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """A larger soaking tank."""
    edits = []
    for litres in volume_steps((100, 200, 300, 500, 800, 1200, 2000, 3000), season.units):
        bigger = replace(season.tools, tank_l=(season.tools.tank_l or 0) + litres)
        words = measures.volume(litres, season.units)
        edits.append(Edit(words, f"Find {words} more of soaking tank.", replace(season, tools=bigger)))
    yield Family("larger tank", 3, "a vessel to soak in", (), tuple(edits))
