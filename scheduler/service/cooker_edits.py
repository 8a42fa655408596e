"""Changes of how the lab heat-treats: more loads, borrowed vessels, or boiling water in a tub.

Each names the hours for which somebody then has to be at home: those of the longest load, at the height of
the site.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from scheduler import measures
from scheduler.errors import SeasonError
from scheduler.lines.sizing import size
from scheduler.lines.vessels import treatment, treatments
from scheduler.problem.rooms import cooker_name, load_minutes
from scheduler.season.permissions import SAWDUST_SPAWN, plantable
from scheduler.season.season import Cooker, Planting, Season
from scheduler.service.edit import Edit, Family, with_planting
from scheduler.service.hours_edits import with_home
from scheduler.trade.catalogue import Catalogue

DAY = 24 * 60
BORROWED = "another cooker"
DRUM = "steam drum"
LOADS_A_DRUM = 1
"""A drum takes most of a day for one load."""


def another_load(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """More loads a day in a cooker of the lab, with the hours at home they take."""
    attended = _attended(season, catalogue)
    for place, cooker in enumerate(season.lab.cookers):
        minutes = attended.get(cooker_name(place, cooker))
        edits = []
        for more in (1, 2, 3) if minutes else ():
            loads = cooker.loads_per_day + more
            others = season.lab.cookers
            cookers = (*others[:place], replace(cooker, loads_per_day=loads), *others[place + 1 :])
            hours = _hours((minutes or 0) * loads)
            words = measures.counted(more, "more load")
            name = _called(season, place)
            edits.append(
                Edit(
                    f"{more} more a day in the {name}",
                    f"Cook {words} a day in the {name}: somebody at home for {hours} h on cook days.",
                    _with_cookers(season, cookers, hours),
                )
            )
        yield Family("another load", 2, "hours at home", (), tuple(edits))


def another_cooker(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """Borrowed cookers like one of the lab: first with the hours of one load, then with those of all."""
    attended = _attended(season, catalogue)
    cookers = season.lab.cookers
    all_day = sum(
        cooker.loads_per_day * attended.get(cooker_name(place, cooker), 0)
        for place, cooker in enumerate(cookers)
    )
    for place, cooker in enumerate(cookers):
        minutes = attended.get(cooker_name(place, cooker))
        if not minutes or cooker in cookers[:place]:
            continue
        each = cooker.loads_per_day * minutes
        steps = dict.fromkeys([(1, _hours(minutes)), *((n, _hours(all_day + n * each)) for n in (1, 2, 3))])
        like = f"your {_called(season, place)}" if len(cookers) > 1 else "yours"
        edits = tuple(
            Edit(
                f"{count} more, with {hours} h at home",
                f"Borrow {measures.counted(count, f'more {cooker.kind}')} like {like}; "
                f"somebody at home for {hours} h on cook days.",
                _with_cookers(season, (*cookers, *[cooker] * count), hours),
            )
            for count, hours in steps
        )
        yield Family(BORROWED, 5, "a borrowed vessel and hours at home", (), edits)


def steam_drum(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """A borrowed drum in which bags are steamed, where the lab has none."""
    box_name = season.lab.spawn_in
    box = catalogue.lab.container.get(box_name)
    if box is None or box.drum_holds is None or any(one.kind == DRUM for one in season.lab.cookers):
        return
    holds = {box_name: round(box.drum_holds.likely)}
    drum = Cooker(DRUM, LOADS_A_DRUM, None, None, holds)
    cookers = (*season.lab.cookers, drum)
    with_drum = replace(season, lab=replace(season.lab, cookers=cookers))
    minutes = _attended(with_drum, catalogue).get(cooker_name(len(cookers) - 1, drum))
    if minutes:
        hours = _hours(minutes)
        edit = Edit(
            f"a {DRUM}, with {hours} h at home",
            f"Borrow a {DRUM} that holds {holds[box_name]} x {box_name} and steam them; "
            f"somebody at home for {hours} h on the day it is used.",
            _with_cookers(season, cookers, hours),
        )
        yield Family("another treatment", 5, "a borrowed drum and a day at home", (), (edit,))


def tub(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """Pellets without bran under boiling water in a tub, where everything made in bags may be treated so."""
    container = season.lab.spawn_in
    box = catalogue.lab.container.get(container)
    made = [p for p in season.plantings if p.spawn != "buy" and p.route[-1] != "grain"]
    in_cooker = any(container in cooker.holds for cooker in season.lab.cookers)
    if box is None or box.tub_holds is None or not in_cooker or container == season.lab.grain_in:
        return
    if not made or not all(_takes_a_tub(planting, catalogue) for planting in made):
        return
    changed = season
    for planting in made:
        changed = with_planting(changed, planting, route=(*planting.route[:-1], "pellet"))
    cookers = tuple(
        replace(one, holds={name: n for name, n in one.holds.items() if name != container})
        for one in season.lab.cookers
    )
    if not all(one.holds for one in cookers):
        return
    names = " and ".join(planting.name for planting in made)
    lost = measures.chance(treatment(catalogue, "tub", "bags", container).extra_loss.likely)
    edit = Edit(
        "an insulated tub",
        f"Treat the pellets for {names} with boiling water in an insulated tub instead of a cooker.",
        replace(changed, lab=replace(season.lab, cookers=cookers)),
    )
    price = f"a tub, and about {lost} more of the bags lost"
    yield Family("another treatment", 2, price, tuple(planting.name for planting in made), (edit,))


def _takes_a_tub(planting: Planting, catalogue: Catalogue) -> bool:
    """Whether a planting's spawn is, or may as well be, pellets that boiling water is enough for."""
    species, method = catalogue.species[planting.species], catalogue.methods[planting.method]
    return (
        planting.route[-1] in SAWDUST_SPAWN
        and "pellet" in plantable(species, method)
        and "tub" in treatments(catalogue, planting.species, "pellet")
    )


def _attended(season: Season, catalogue: Catalogue) -> dict[str, int]:
    """Minutes for which somebody is at home beside the longest load of each cooker that is used."""
    try:
        sizing = size(season, catalogue, "bare", {})
    except SeasonError:
        return {}
    longest: dict[str, int] = {}
    for (name, _), (_, attended) in load_minutes(season, catalogue, sizing).items():
        longest[name] = max(longest.get(name, 0), attended)
    return longest


def _hours(minutes: int) -> int:
    """Whole hours, at most a day."""
    return math.ceil(min(DAY, minutes) / 60)


def _called(season: Season, place: int) -> str:
    """A cooker's kind, with its number where the lab has several."""
    cookers = season.lab.cookers
    return cooker_name(place, cookers[place]) if len(cookers) > 1 else cookers[place].kind


def _with_cookers(season: Season, cookers: tuple[Cooker, ...], hours: int) -> Season:
    """The season with other cookers, and somebody at home for so long on the days with hours."""
    changed = replace(season, lab=replace(season.lab, cookers=cookers))
    return with_home(changed, lambda now: max(now, 60 * hours))
