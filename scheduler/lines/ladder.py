"""From one culture up to all that is grown from it: tests, fresh plates, bottles, grain by generation."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from scheduler.lines import culture, spawn
from scheduler.lines.descent import descend
from scheduler.lines.shapes import BatchSpec, Growth
from scheduler.lines.stages import Stages
from scheduler.lines.vessels import cooking, vessel
from scheduler.science.rounding import whole_down

Roots = Sequence[Sequence[BatchSpec]]
"""Batches without parents yet, those that share grain together: finished spawn, or grain to be planted."""


def from_culture(
    stages: Stages, held: Sequence[culture.Source], roots: Roots, *, can_enlarge: bool, sparing: bool = False
) -> tuple[list[BatchSpec], list[str]]:
    """Everything that ends in `roots`, parents first, and what a person should know about it.

    `held` are cultures of one stage, largest first. `can_enlarge` says whether the calendar leaves the
    time to enlarge the culture first; a `sparing` ladder gives jars as little as will do and keeps none back.
    """
    # Grain that is itself planted is made as first generation straight from the culture.
    tops = [b for group in roots for b in group if b.stage == "grain"]
    fed = [group for group in roots if group[0].stage != "grain"]
    back = 0 if sparing else 1
    names = tuple(dict.fromkeys(name for group in roots for b in group for name in b.plantings))
    way = _way(stages, held, fed, sum(b.started for b in tops), can_enlarge, back, names)
    rungs, feeders, notes = _culture(stages, way, names)
    if way.sources[0].bought and not held[0].bought:
        notes.append(
            f"{stages.code}: the {held[0].stage} in hand is too little for the jars; plates are ordered."
        )
    # levels[0] is grain of the first generation, levels[n] what is made from grain of generation n.
    levels: list[list[BatchSpec]] = [[] for _ in range(way.generations + 1)]
    for index, children in enumerate(fed):
        below = list(children)
        for generation in range(way.generations, 0, -1):
            first = generation == 1
            jars = spawn.grain(
                stages,
                below,
                generation,
                way.sources[0].stage if first else "grain",
                keep_back=back if first and index == 0 else 0,
                feed_g=way.feed,
            )
            levels[generation] += descend(jars, below)
            below = jars
        levels[0] += below
    levels[0] = descend(feeders, [*levels[0], *(replace(b, feed_g=way.feed) for b in tops)], way.rooms)
    if way.generations >= stages.catalogue.lab.warn_generation.likely:
        notes.append(f"{stages.code}: three grain generations; mould is easily missed in the third.")
    return [*rungs, *(b for level in levels for b in level)], notes


def _way(
    stages: Stages,
    held: Sequence[culture.Source],
    fed: Roots,
    tops: int,
    can_enlarge: bool,
    back: int,
    names: Sequence[str],
) -> culture.Way:
    """The way from the cultures to the first jars, of which so many are kept back."""
    most = round(stages.catalogue.lab.max_generation.likely) if fed else 1
    jars = [
        tops
        + sum(
            spawn.first_jars(stages, children, generations, back if index == 0 else 0)
            for index, children in enumerate(fed)
        )
        for generations in range(1, most + 1)
    ]
    way = culture.way(
        stages.season,
        stages.catalogue,
        held,
        jars=jars,
        jar_g=spawn.grain_jar(stages).mass_g("grain"),
        can_enlarge=can_enlarge,
        sparing=not back,
    )
    start = way.sources[0]
    if not (way.enlarge_bottles and start.bought):
        return way
    # One culture for each of the bottles that would be begun, so that one of them may be lost.
    each = max(1, _bottles_from(stages, start))
    most = each * round(stages.catalogue.lab.culture.most_syringes.likely)
    bottles = stages.started(
        "liquid culture", way.enlarge_bottles, culture.BOTTLE, label=_bottle_label(names), most=most
    )
    return replace(way, sources=(replace(start, vessels=-(-bottles // each)),))


def _culture(
    stages: Stages, way: culture.Way, names: tuple[str, ...]
) -> tuple[list[BatchSpec], list[BatchSpec], list[str]]:
    """The cultures and what is done with them, parents first; the batches that feed the first jars."""
    lab, stage = stages.catalogue.lab.culture, way.sources[0].stage
    keep_back = round(lab.keep_back_plates.likely)
    is_fed = not (stage == "liquid culture" or way.refresh_plates)
    held = [
        _there(stages, start, names, keep_back if is_fed and index == 0 else 0)
        for index, start in enumerate(way.sources)
    ]
    rungs = list(held)
    for batch, start in zip(held, way.sources, strict=True):
        if not start.tested:
            rungs += descend([batch], [_test(stages, start, names)])
    if way.refresh_plates:
        fresh = stages.made(
            "plate",
            way.refresh_plates,
            vessel(stages.season, stages.catalogue, "plate"),
            names,
            parent_stage=stage,
            children_a_parent=whole_down(lab.plates_per_plate.likely),
            feed_g=1.0 / lab.plates_per_plate.likely,
            keep_back=keep_back,
            most=whole_down(sum(batch.started for batch in held) * lab.plates_per_plate.likely),
            bench="refresh-culture",
            label=f"fresh plates, {' and '.join(names)}",
        )
        feeders = descend(held, fresh)
        return [*rungs, *feeders], feeders, []
    if way.enlarge_bottles:
        feeders = descend(held, _bottles(stages, way, names))
        note = f"{stages.code}: the culture is too small for the jars and is enlarged first."
        return [*rungs, *feeders], feeders, [note]
    return rungs, held, []


def _there(stages: Stages, start: culture.Source, names: tuple[str, ...], keep_back: int) -> BatchSpec:
    season, catalogue = stages.season, stages.catalogue
    liquid = start.stage == "liquid culture"
    units = start.vessels if liquid else max(1, round(start.amount))
    held = stages.blank(start.stage, units, vessel(season, catalogue, start.container), names)
    held = replace(held, keep_back=keep_back, needed=units - keep_back, transfers=start.transfers)
    if liquid:
        held = replace(held, unit_mass_g=start.amount)
    lead = (start.there_on - season.today).days
    return stages.there(held, "bought" if start.bought else "in hand", lead=lead, aged=start.aged_days)


def _test(stages: Stages, start: culture.Source, names: tuple[str, ...]) -> BatchSpec:
    """The plates on which an untested culture is read, every vessel of it."""
    season, catalogue = stages.season, stages.catalogue
    lab = catalogue.lab.culture
    days, count = lab.test_days, round(lab.test_plates.likely)
    plates = stages.blank(
        "plate",
        count * start.vessels,
        vessel(season, catalogue, "plate"),
        names,
        growth=Growth(days.lowest, days.likely, days.highest, days.likely, 0.0),
        how=cooking(season, catalogue, stages.species, "plate", "plate"),
        feed_g=lab.test_volume.likely / count,
        bench="test-culture",
    )
    return replace(plates, is_test=True)


def _bottles(stages: Stages, way: culture.Way, names: tuple[str, ...]) -> list[BatchSpec]:
    """Bottles of liquid culture, as many as what is not kept back can start."""
    start = way.sources[0]
    bottle = vessel(stages.season, stages.catalogue, culture.BOTTLE)
    made = stages.made(
        "liquid culture",
        way.enlarge_bottles,
        bottle,
        names,
        parent_stage=start.stage,
        children_a_parent=0,
        most=start.vessels * _bottles_from(stages, start),
        label=_bottle_label(names),
    )
    usual = bottle.mass_g("liquid culture") / stages.catalogue.lab.culture.enlarge.likely
    each = -(-sum(b.started for b in made) // start.vessels)
    return [replace(b, feed_g=min(usual, _spendable(stages, start) / each)) for b in made]


def _bottle_label(names: Sequence[str]) -> str:
    return f"culture bottles, {' and '.join(names)}"


def _bottles_from(stages: Stages, start: culture.Source) -> int:
    """Bottles that one vessel of a liquid culture can start."""
    bottle_ml = vessel(stages.season, stages.catalogue, culture.BOTTLE).mass_g("liquid culture")
    return whole_down(_spendable(stages, start) * stages.catalogue.lab.culture.enlarge.highest / bottle_ml)


def _spendable(stages: Stages, start: culture.Source) -> float:
    """mL of one vessel of a liquid culture that are neither kept back nor tested."""
    return start.amount - culture.kept_ml(stages.catalogue, start)
