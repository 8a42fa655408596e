"""Changes of the plantings that could make a season fit: later, wider, fewer, other chips or wood, none."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import timedelta

from scheduler import measures
from scheduler.season.season import Pattern, Planting, Season, first_pieces
from scheduler.service.edit import Edit, Family, with_planting, without_plantings
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import full

GIVE_UP = "give up a planting"

LATEST = 90
"""Days by which a window may be opened at its end: beyond that it is another season."""


def later(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """Open the window of a planting at its end, day by day."""
    for planting in subjects:
        edits = []
        for days in range(1, LATEST + 1):
            end = planting.window[1] + timedelta(days=days)
            best = (planting.best[0], max(planting.best[1], end))
            edits.append(
                Edit(
                    measures.counted(days, "day"),
                    f"Plant {planting.name} up to {measures.counted(days, 'day')} later, until {full(end)}.",
                    with_planting(season, planting, window=(planting.window[0], end), best=best),
                )
            )
        yield Family("plant later", 3, "a later first flush", (planting.name,), tuple(edits))


def tank(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """Chips wetted in place instead of in the tank."""
    for planting in subjects:
        if planting.chips in ("soaked", "fermented"):
            yield Family(
                "another preparation",
                1,
                "nothing",
                (planting.name,),
                (
                    Edit(
                        "wetted in place",
                        f"Wet the chips of {planting.name} in place instead of in the tank.",
                        with_planting(season, planting, chips="wetted in place"),
                    ),
                ),
            )


def fresh_wood(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """Wood felled anew instead of what is down already, or on another day than the one that was fixed."""
    for planting in subjects:
        if planting.felled is not None:
            down = planting.felled <= season.today
            edit = Edit(
                "fresh wood" if down else "another day",
                f"Fell fresh wood for {planting.name}."
                if down
                else f"Fell the wood for {planting.name} on another day than {full(planting.felled)}.",
                with_planting(season, planting, felled=None),
            )
            yield Family("fresh wood", 4, "a felling day", (planting.name,), (edit,))


def wider(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """Wider hole spacing, within the published band."""
    for planting in subjects:
        if planting.method != "drilled logs":
            continue
        figures = catalogue.methods[planting.method].figures
        along, around = figures["spacing_along_cm"], figures["spacing_around_cm"]
        now = planting.pattern or Pattern(along.likely, around.likely)
        edits = []
        for step in range(1, 11):
            wider = Pattern(
                _to_tenths(now.along_cm + (along.highest - now.along_cm) * step / 10, season),
                _to_tenths(now.around_cm + (around.highest - now.around_cm) * step / 10, season),
            )
            if wider.along_cm <= now.along_cm and wider.around_cm <= now.around_cm:
                break
            words = measures.spacing(wider.along_cm, wider.around_cm, season.units)
            edits.append(
                Edit(
                    words,
                    f"Drill {planting.name} wider, {words}: fewer holes, less spawn, a slower run.",
                    with_planting(season, planting, pattern=wider),
                )
            )
        yield Family("wider spacing", 3, "a slower run through the wood", (planting.name,), tuple(edits))


def _to_tenths(cm: float, season: Season) -> float:
    """A length that one would write: tenths of a centimetre or of an inch."""
    unit_cm = measures.CM_PER_INCH if season.units == "imperial" else 1.0
    return round(round(cm / unit_cm, 1) * unit_cm, 6)


def fewer(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """Fewer logs or less area, never below `at_least` (half where that is not given)."""
    for planting in subjects:
        edits = []
        if planting.groups:
            total = sum(group.count for group in planting.groups)
            floor = int(planting.at_least or max(1, math.ceil(total / 2)))
            piece = catalogue.methods[planting.method].piece
            for count in range(total - 1, floor - 1, -1):
                edits.append(
                    Edit(
                        f"{measures.counted(total - count, piece)} fewer",
                        f"Do {count} of the {total} {piece}s of {planting.name}.",
                        with_planting(season, planting, groups=first_pieces(planting.groups, count)),
                    )
                )
        elif planting.area_m2:
            floor_m2 = planting.at_least or planting.area_m2 / 2
            for step in range(1, 11):
                area = round(planting.area_m2 - (planting.area_m2 - floor_m2) * step / 10, 2)
                if area >= planting.area_m2:
                    break
                edits.append(
                    Edit(
                        f"{measures.area(planting.area_m2 - area, season.units)} less",
                        f"Lay {measures.area(area, season.units)} of {planting.name}.",
                        with_planting(season, planting, area_m2=area),
                    )
                )
        yield Family("fewer logs or less area", 6, "what stays undone", (planting.name,), tuple(edits))


def give_up(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """One planting given up, the least priority first; then the least ones together."""
    order = sorted(season.plantings, key=lambda p: (-p.priority, -p.index))
    alone = [(planting,) for planting in order] if len(order) > 1 else []
    together = [tuple(order[:count]) for count in range(2, len(order))]
    for place, dropped in enumerate([*alone, *together]):
        names = " and ".join(p.name for p in dropped)
        edit = Edit(names, f"Give up {names} this season.", without_plantings(season, dropped))
        yield Family(GIVE_UP, 9 + place, "a planting", tuple(p.name for p in dropped), (edit,))
