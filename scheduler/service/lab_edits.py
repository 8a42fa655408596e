"""Changes of lab and tools that could make a season fit: more loads, more cookers, more room, more drills."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from scheduler import measures
from scheduler.season.season import Cooker, Planting, Room, Season
from scheduler.service.edit import Edit, Family, volume_steps
from scheduler.trade.catalogue import Catalogue


def loads(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """More loads a day, or borrowed cookers, with the hours at home they take."""
    cookers = season.lab.cookers

    def with_cookers(changed: tuple[Cooker, ...], home_minutes: int) -> Season:
        home = {
            day: max(minutes, home_minutes) if season.people.minutes.get(day) else minutes
            for day, minutes in season.people.home_minutes.items()
        }
        return replace(
            season,
            lab=replace(season.lab, cookers=changed),
            people=replace(season.people, home_minutes=home),
        )

    if not cookers:
        return
    first = cookers[0]
    edits = []
    for loads in (1, 2, 3):
        more = replace(first, loads_per_day=first.loads_per_day + loads)
        hours = 6 * more.loads_per_day
        edits.append(
            Edit(
                f"{loads} more a day",
                f"Cook {loads} more {'load' if loads == 1 else 'loads'} a day in the {first.kind}: "
                f"somebody at home for {hours} h on cook days.",
                with_cookers((more, *cookers[1:]), hours * 60),
            )
        )
    yield Family("another load", 2, "hours at home", (), tuple(edits))
    borrowed = tuple(
        Edit(
            f"{count} more",
            f"Borrow {count} more {first.kind}{'' if count == 1 else 's'} like yours; "
            "somebody at home for 6 h on cook days.",
            with_cookers((*cookers, *([first] * count)), 360),
        )
        for count in (1, 2, 3)
    )
    yield Family("another cooker", 5, "a borrowed vessel and hours at home", (), borrowed)


def at_home(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """More hours on the premises on the days with hours, for loads that somebody has to attend."""
    edits = []
    for more in range(1, 13):
        home = {
            day: min(24 * 60, minutes + 60 * more) if season.people.minutes.get(day) else minutes
            for day, minutes in season.people.home_minutes.items()
        }
        edits.append(
            Edit(
                f"{more} h a day",
                f"Be at home {more} h longer on the days on which you cook.",
                replace(season, people=replace(season.people, home_minutes=home)),
            )
        )
    yield Family("more hours at home", 2, "hours at home", (), tuple(edits))


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
