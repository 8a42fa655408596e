"""The chance of what is left: how sure it is that enough of each stage stays good from now on."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from scheduler.lines.culture import CULTURES
from scheduler.lines.shapes import BatchSpec
from scheduler.lines.stages import Stages
from scheduler.plan import Spares
from scheduler.science.quantities import units_fed


@dataclass
class _Group:
    """Batches that together have to give what one stage needs."""

    label: str
    batches: list[BatchSpec] = field(default_factory=list)


def prospects(
    stages: Stages, batches: Sequence[BatchSpec], is_finished: Callable[[BatchSpec], bool]
) -> Iterator[Spares]:
    """Need, units and chance of each stage of which something may still be lost.

    What was found ready is sure; grain of which nothing more is to be made no longer counts.
    """
    by_id = {batch.id: batch for batch in batches}
    used = {parent for batch in batches if batch.is_to_make for parent in batch.parents}
    groups: dict[tuple[object, ...], _Group] = {}
    for batch in batches:
        if batch.is_test or batch.state == "in hand" or not (is_finished(batch) or batch.id in used):
            continue
        if batch.stage in CULTURES and batch.growth is None:
            continue
        key = (batch.stage, batch.generation, batch.plantings, batch.state)
        groups.setdefault(key, _Group(label(batch, finished=is_finished(batch)))).batches.append(batch)
    for group in groups.values():
        need = sum(batch.needed + batch.keep_back for batch in group.batches)
        started = sum(batch.started for batch in group.batches)
        names = group.batches[0].plantings
        yield Spares(
            stages.code,
            group.label,
            need,
            started,
            _chance(stages, group.batches, by_id),
            "losses",
            "",
            names,
        )


def label(batch: BatchSpec, *, finished: bool) -> str:
    """What a batch's stage is called among the spares: ``grain G1, Oak stack``."""
    names = " and ".join(batch.plantings)
    if batch.state == "bought":
        return f"bought {'spawn' if finished else batch.stage}, {names}"
    if finished:
        return f"{batch.stage} spawn, {names}"
    if batch.stage == "grain":
        return f"grain G{batch.generation}, {names}"
    made = {"liquid culture": "culture bottles", "plate": "fresh plates"} if batch.growth else {}
    return f"{made.get(batch.stage, batch.stage)}, {names}"


def _chance(stages: Stages, batches: Sequence[BatchSpec], by_id: Mapping[str, BatchSpec]) -> float:
    """Chance that enough units of batches of one stage stay good."""
    return at_least(stages, batches, by_id, sum(b.needed + b.keep_back for b in batches))


def at_least(
    stages: Stages, batches: Sequence[BatchSpec], by_id: Mapping[str, BatchSpec], units: int
) -> float:
    """Chance that so many units of batches of one stage stay good; what is there, or was found ready, is."""
    open_ = [b for b in batches if b.state == "planned" and b.found_ready_on is None]
    sure = sum(b.started for b in batches if b not in open_)
    need = units - sure
    if need <= 0:
        return 1.0
    started = sum(b.started for b in open_)
    if started < need:
        return 0.0
    first = open_[0]
    parent = next((by_id[name] for name in first.parents if name in by_id), None)
    children = 0
    if parent is not None and parent.stage == "grain" and first.feed_g:
        children = units_fed(parent.unit_mass_g * parent.usable, first.feed_g)
    return stages.chance_of(first.stage, need, started, first.container, children)
