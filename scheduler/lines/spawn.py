"""Finished spawn and the grain that feeds it: what is in hand comes first, the rest is made or bought."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from scheduler.lines import chips, timing
from scheduler.lines.descent import descend
from scheduler.lines.shapes import BatchSpec, Demand
from scheduler.lines.stages import Stages
from scheduler.lines.stock import InHand
from scheduler.lines.vessels import Vessel, vessel
from scheduler.science.quantities import units_fed
from scheduler.science.rounding import whole_up
from scheduler.season.permissions import SAWDUST_SPAWN
from scheduler.season.season import DOWEL_BAG, Planting, Season


def finished(
    stages: Stages, in_hand: Sequence[InHand], planting: Planting, parent_stage: str, demand: Demand
) -> list[BatchSpec]:
    """Batches of finished spawn of one planting."""
    season, catalogue, stage = stages.season, stages.catalogue, planting.route[-1]
    names = (planting.name,)
    spawn_g = demand.spawn_g
    held: list[BatchSpec] = []
    for one in in_hand:
        counts = _counts(stages, one, planting, demand)
        part_g = one.unit_g * counts
        units = min(one.left, whole_up(spawn_g / part_g)) if part_g else 0
        if units and one.there_on <= planting.best[1] and _keeps_until(stages, one) >= planting.best[0]:
            held.append(stages.held(one, units, names, needed=units, usable=counts))
            spawn_g = max(0.0, spawn_g - units * part_g)
    container = vessel(season, catalogue, _filled(season, stage, bought=planting.spawn == "buy"))
    mass_g = container.mass_g(stage)
    need = whole_up(spawn_g / (mass_g * stages.usable(stage)))
    if not need:
        return held
    generation = 1 if stage == "grain" else None
    if planting.spawn == "buy" or planting.route == ("grain",):
        spec = stages.blank(stage, need, container, names, generation=generation)
        stages.note_spares(f"bought spawn, {planting.name}", need, need, 1.0, "bought ready to use", names)
        lead = season.lead.grain if stage == "grain" else season.lead.spawn
        return [*held, stages.there(spec, "bought", lead=lead)]
    jar_g = _grain_g(stages, grain_jar(stages))
    rate = catalogue.lab.inoculation_rate.get(stage)  # type: ignore[call-overload]
    feed = min(rate.likely / 100.0 * mass_g, jar_g) if rate else 0.0
    return held + stages.made(
        stage,
        need,
        container,
        names,
        parent_stage=parent_stage,
        children_a_parent=units_fed(jar_g, feed) if feed else 0,
        generation=generation,
        feed_g=feed,
        keep_back=1 if stage == "grain" else 0,
        label=f"{stage} spawn, {planting.name}",
    )


def _filled(season: Season, stage: str, *, bought: bool) -> str:
    """What finished spawn of a stage is in; dowels are sold in bags of their own, whatever the lab fills."""
    if stage == "dowels":
        return DOWEL_BAG if bought else season.lab.dowels_in
    return season.lab.grain_in if stage == "grain" else season.lab.spawn_in


def _counts(stages: Stages, one: InHand, planting: Planting, demand: Demand) -> float:
    """Share of the mass of what is in hand that counts as finished spawn of a planting."""
    if one.stage == "chips":
        return chips.worth(stages.catalogue, planting, demand)
    last = planting.route[-1]
    same = one.stage == last or {one.stage, last} <= SAWDUST_SPAWN
    return stages.usable(one.stage) if same else 0.0


def from_grain_in_hand(
    stages: Stages, in_hand: Sequence[InHand], children: Sequence[BatchSpec]
) -> tuple[list[BatchSpec], list[BatchSpec]]:
    """Grain in hand as batches, and the children it feeds, whole batches, in their order.

    It has to be there in time, and to keep until a child can be made that is still fresh on a day on which
    its planting may be planted.
    """
    grain: list[BatchSpec] = []
    fed: list[BatchSpec] = []
    for one in in_hand if children else ():
        if one.stage != "grain":
            continue
        jar_g = one.unit_g * stages.usable("grain")
        mine: list[BatchSpec] = []
        for child in children:
            is_free = child.id not in {other.id for other in fed}
            enough = child.feed_g <= jar_g and _jars([*mine, child], jar_g) <= one.left
            if is_free and enough and _serves(stages, one, child):
                mine.append(child)
        if mine:
            need = _jars(mine, jar_g)
            back = int(one.generation == 1 and one.left > need)
            batch = stages.held(one, one.left, _names(mine), needed=need, keep_back=back)
            grain.append(batch)
            fed += descend([batch], mine)
    return grain, fed


def grain(
    stages: Stages,
    children: Sequence[BatchSpec],
    generation: int,
    parent_stage: str,
    keep_back: int,
    feed_g: float,
) -> list[BatchSpec]:
    """Grain batches of one generation that feed `children`; kept-back jars come with the first batch."""
    names = _names(children)
    jar = grain_jar(stages)
    transferred = parent_stage == "grain"
    return stages.made(
        "grain",
        jars_for(stages, children),
        jar,
        names,
        parent_stage=parent_stage,
        children_a_parent=_transfers(stages, jar) if transferred else 0,
        generation=generation,
        feed_g=_transfer_g(stages, jar) if transferred else feed_g,
        keep_back=keep_back,
        label=_grain_label(generation, names),
    )


def bought_grain(stages: Stages, children: Sequence[BatchSpec]) -> list[BatchSpec]:
    """Bought grain spawn that feeds `children`."""
    need, names = jars_for(stages, children), _names(children)
    spec = stages.blank("grain", need, grain_jar(stages), names, generation=1)
    stages.note_spares(f"bought grain, {' and '.join(names)}", need, need, 1.0, "bought ready to use", names)
    spec = replace(spec, transfers=0)
    return [stages.there(spec, "bought", lead=stages.season.lead.grain)]


def grain_jar(stages: Stages) -> Vessel:
    """The container grain is made in."""
    return vessel(stages.season, stages.catalogue, stages.season.lab.grain_in)


def jars_for(stages: Stages, children: Sequence[BatchSpec]) -> int:
    """Jars of grain that feed all of `children`: two at least, where two children exist."""
    count = sum(child.started for child in children)
    return max(_jars(children, _grain_g(stages, grain_jar(stages))), min(2, count))


def first_jars(stages: Stages, children: Sequence[BatchSpec], generations: int, keep_back: int) -> int:
    """First-generation jars that are started where `generations` of grain lead to `children`."""
    jar = grain_jar(stages)
    each = _transfers(stages, jar)
    need = jars_for(stages, children)
    names = _names(children)
    for generation in range(generations, 1, -1):
        label = _grain_label(generation, names)
        started = stages.started("grain", need, jar.name, label=label, children=each)
        need = max(math.ceil(started / each), min(2, started))
    return stages.started("grain", need + keep_back, jar.name, label=_grain_label(1, names))


def _grain_label(generation: int, names: Sequence[str]) -> str:
    return f"grain G{generation}, {' and '.join(names)}"


def _transfer_g(stages: Stages, jar: Vessel) -> float:
    """Grams of grain that start one jar of the next generation."""
    return jar.mass_g("grain") / stages.catalogue.lab.culture.children_per_grain.likely


def _transfers(stages: Stages, jar: Vessel) -> int:
    """Jars of the next generation that one jar starts."""
    return units_fed(_grain_g(stages, jar), _transfer_g(stages, jar))


def _grain_g(stages: Stages, jar: Vessel) -> float:
    """Grams of grain that one jar can pass on."""
    return jar.mass_g("grain") * stages.usable("grain")


def _jars(children: Sequence[BatchSpec], jar_g: float) -> int:
    each = min(units_fed(jar_g, child.feed_g) for child in children)
    return math.ceil(sum(child.started for child in children) / each)


def _names(children: Sequence[BatchSpec]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for child in children for name in child.plantings))


def _keeps_until(stages: Stages, one: InHand) -> date:
    keeps = stages.keeps_days(one.stage)
    return one.there_on + timedelta(days=keeps - one.aged_days)


def _serves(stages: Stages, one: InHand, child: BatchSpec) -> bool:
    """Whether a child can be made from a jar in hand that is ready, and still fresh, when it is planted.

    Planting in the best span is enough. A jar that serves only a planting before or after it ties the season
    more than one that is made: it is left where the season does not fit and spares have to be shed.
    """
    season = stages.season
    planting = next(p for p in season.plantings if p.name == child.plantings[0])
    assert child.growth is not None
    grows = whole_up(timing.likely_days(season, stages.catalogue, stages.species, child.growth))
    keeps = _keeps_until(stages, one)

    def made(first: date, last: date) -> tuple[date, date]:
        return first - timedelta(days=grows + child.fresh_days), last - timedelta(days=grows)

    first, last = made(*planting.best)
    if one.there_on <= last and first <= keeps:
        return True
    days = timing.planting_days(season, stages.catalogue, planting)
    if stages.level != "wished" or not days:
        return False
    first, last = made(days[0], days[-1])
    return bool(timing.bench_days(season, stages.catalogue, max(first, one.there_on), min(last, keeps)))
