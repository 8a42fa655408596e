"""Ways to make again what was lost, from the nearest living parent to a culture that is bought."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from scheduler.lines import culture, ladder, spawn
from scheduler.lines.culture import CULTURES, Source
from scheduler.lines.descent import descend
from scheduler.lines.feeding import Larder, fed_by
from scheduler.lines.living import Living
from scheduler.lines.shapes import BatchSpec
from scheduler.lines.stages import Stages
from scheduler.plan import Unit
from scheduler.season.season import Planting


@dataclass(frozen=True)
class Need:
    """Finished spawn that nothing feeds, and what lives of its line."""

    stages: Stages
    living: Living
    larder: Larder
    roots: Sequence[BatchSpec]
    plantings: Mapping[str, Planting]
    found: Sequence[Source]
    """Cultures that turned up and are in no batch yet."""

    def grain(self) -> list[BatchSpec]:
        """Living grain, the earliest generation first."""
        jars = [b for b in self.living.batches.values() if b.stage == "grain"]
        return sorted(jars, key=lambda jar: jar.generation or 1)


Made = list[BatchSpec]
"""New batches, parents first, the roots among them with their parents filled in."""


def _from_spares(need: Need) -> Made | None:
    """Grain that is left over feeds them as they are."""
    return _fed(need, kept=False)


def _from_kept_jars(need: Need) -> Made | None:
    """The jar that was kept back feeds them as they are."""
    return _fed(need, kept=True)


def _fed(need: Need, *, kept: bool) -> Made | None:
    """The roots as they are; where the grain does not feed what is needed of each, without their spares."""
    if any(root.stage == "grain" for root in need.roots):
        return None
    jars = [jar.id for jar in need.grain()]
    for roots in (need.roots, [_without_spares(root) for root in need.roots]):
        larder, made = need.larder.copy(), list[BatchSpec]()
        for root in roots:
            fed = fed_by(root, larder, jars, kept=kept)
            if fed is None or fed.started < root.needed + root.keep_back:
                break
            made.append(fed)
        else:
            return made
    return None


def _without_spares(root: BatchSpec) -> BatchSpec:
    count = root.needed + root.keep_back
    return replace(root, units=root.units[:count], started=count)


def _one_more_generation(need: Need) -> Made | None:
    """Grain is made from the jar that was kept back, and feeds them."""
    most = round(need.stages.catalogue.lab.max_generation.likely)
    if any(root.stage == "grain" for root in need.roots):
        return None
    for generation in range(1, most):
        jars = [jar.id for jar in need.grain() if jar.generation == generation]
        if not jars:
            continue
        larder, made = need.larder.copy(), list[BatchSpec]()
        grain = spawn.grain(need.stages, need.roots, generation + 1, "grain", keep_back=0, feed_g=0.0)
        for batch in grain:
            fed = fed_by(batch, larder, jars, kept=True)
            if fed is None or fed.started < batch.needed:
                break
            made.append(fed)
        else:
            return [*made, *descend(made, need.roots)]
    return None


def _from_culture(need: Need) -> Made | None:
    """What is left of a culture, that which was kept back included, starts the line again, sparingly.

    The youngest goes first: what was grown from another culture keeps longer.
    """
    cultures = [b for b in need.living.batches.values() if b.stage in CULTURES and not b.is_test]
    order = {culture.id: place for place, culture in enumerate(cultures)}
    for held in sorted(cultures, key=lambda culture: (culture.is_to_make, -order[culture.id])):
        left = [unit for unit in held.units if unit.id in need.larder.left]
        left = [unit for unit in left if need.larder.left[unit.id] > 0 or _is_liquid(held)]
        left.sort(key=lambda unit: -need.larder.left[unit.id])
        if not left:
            continue
        if _is_liquid(held):
            left = left[:1]
        made = _up_from(need, _source(need, held, left), sparing=True)
        descending = made and _descending_from(need, held, made)
        if descending is not None:
            return descending
    return None


def _is_liquid(batch: BatchSpec) -> bool:
    return batch.stage == "liquid culture"


def _source(need: Need, held: BatchSpec, left: Sequence[Unit]) -> Source:
    """What is left of a culture, with as much more as the reckoning will keep back of it."""
    there_on = max(held.there_on or need.stages.season.today, need.stages.season.today)
    if _is_liquid(held):
        kept = need.stages.catalogue.lab.culture.keep_back_volume.likely
        amount = need.larder.left[left[0].id] + 2 * kept
    else:
        amount = len(left) + round(need.stages.catalogue.lab.culture.keep_back_plates.likely)
    return Source(held.stage, amount, held.container, there_on, False, 0, tested=True)


def _descending_from(need: Need, held: BatchSpec, made: Made) -> Made | None:
    """The new batches as made from a culture that is known, and not from one of a new name.

    Several units of it feed them in turn, each as long as it has enough, of what is kept back as well. None
    where that is too little for all of them.
    """
    new, *rest = made
    known = {unit.id for unit in new.units}
    larder, used = need.larder.copy(), Counter[str]()
    if _is_liquid(held):
        for unit in larder.left.keys() & {unit.id for unit in held.units}:
            larder.left[unit] += need.stages.catalogue.lab.culture.keep_back_volume.likely

    def fed(batch: BatchSpec, unit: Unit) -> Unit | None:
        if unit.parent not in known:
            return unit
        parent = larder.best([held.id], batch.feed_g, used, own=[held.id], kept=True)
        if parent is None:
            return None
        larder.take(parent, batch.feed_g)
        used[parent] += 1
        return Unit(unit.id, parent)

    found = []
    for batch in rest:
        units = [unit for unit in (fed(batch, unit) for unit in batch.units) if unit]
        if len(units) < batch.started:
            return None
        parents = tuple(held.id if name == new.id else name for name in batch.parents)
        found.append(replace(batch, units=tuple(units), parents=parents))
    return found


def _from_found(need: Need) -> Made | None:
    """A culture that turned up starts the line again."""
    for source in need.found:
        made = _up_from(need, source, sparing=False)
        if made is not None:
            return made
    return None


def _bought(need: Need) -> Made | None:
    """A culture is ordered and starts the line again; grain is, where grain was bought."""
    route = need.plantings[need.roots[0].plantings[0]].route
    if route[0] == "grain" and need.roots[0].stage != "grain":
        grain = spawn.bought_grain(need.stages, need.roots)
        return [*grain, *descend(grain, need.roots)]
    ordered = culture.ordered(need.stages.season, need.stages.catalogue, route[0])
    return _up_from(need, ordered, sparing=False)


def _up_from(need: Need, source: Source, *, sparing: bool) -> Made | None:
    """All from a culture up to the roots; None where it has to be bought after all, or be enlarged first."""
    made, _ = ladder.from_culture(
        need.stages, [source], [list(need.roots)], can_enlarge=False, sparing=sparing
    )
    sources = [batch for batch in made if not batch.parents]
    if source.bought:
        return made
    return made if len(sources) == 1 and sources[0].state == "in hand" else None


WAYS: dict[str, Callable[[Need], Made | None]] = {
    "spare grain": _from_spares,
    "kept-back grain": _from_kept_jars,
    "one more generation": _one_more_generation,
    "culture": _from_culture,
    "found culture": _from_found,
    "bought culture": _bought,
}
"""From the nearest parent to the farthest, by name."""


def rescue(need: Need, way: int) -> tuple[int, Made] | None:
    """The first way, from the one of that number on, that feeds all roots, and its number; None for none."""
    for number, one in list(enumerate(WAYS.values()))[way:]:
        # Each way is tried with the same names: one that comes to nothing takes none away.
        made = one(replace(need, stages=replace(need.stages, taken=need.stages.names(), spares=[])))
        if made is not None:
            return number, made
    return None
