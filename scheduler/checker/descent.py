"""Whether every unit comes from a unit that can be its parent, and enough of them are started."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from scheduler.checker.bounds import CULTURES, LAST_GENERATION, PARENT_STAGES
from scheduler.checker.case import Case, Check
from scheduler.plan import Batch

_A_HAIR = 1e-6


def unit_counts(case: Case) -> Iterator[str]:
    """A batch has the units that were sized, each with its own id, and enough for need and keep-back."""
    ids = Counter(unit.id for batch in case.plan.batches for unit in batch.units)
    for unit, times in ids.items():
        if times > 1:
            yield f"{unit} is there {times} times"
    for batch, spec in case.pairs:
        if batch.units != spec.units or batch.started != spec.started:
            yield f"{batch.id}: not the units that were sized"
        if len(batch.units) != batch.started:
            yield f"{batch.id}: {batch.started} started, {len(batch.units)} units"
        if batch.started < batch.needed + batch.keep_back:
            yield f"{batch.id}: {batch.started} started for {batch.needed} and {batch.keep_back} kept back"


def parents(case: Case) -> Iterator[str]:
    """A unit's parent is of a batch one stage earlier in the same line, and not one that is kept back."""
    for batch, spec in case.pairs:
        if batch.id in case.begun:
            continue
        for unit in batch.units:
            if unit.parent is None:
                if spec.state == "planned":
                    yield f"{unit.id} has no parent"
                continue
            parent = case.batches.get(case.batch_of.get(unit.parent, ""))
            if parent is None:
                yield f"{unit.id}: its parent {unit.parent} is not there"
            elif parent.line != batch.line or parent.id not in spec.parents or not _follows(parent, batch):
                yield f"{unit.id} cannot be made from {unit.parent} ({parent.stage})"
            elif unit.parent in case.kept and not _is_again(case, batch):
                yield f"{unit.id}: its parent {unit.parent} is kept back"


def _is_again(case: Case, batch: Batch) -> bool:
    """Whether a batch is made in a line of which something was lost: that is what was kept back for it."""
    return any(line.code == batch.line and line.gone for line in case.sizing.lines) or any(
        lost.batch.partition("-")[0] == batch.line for lost in case.sizing.lost
    )


def _follows(parent: Batch, child: Batch) -> bool:
    if parent.stage not in PARENT_STAGES.get(child.stage, ()):
        return False
    if child.stage == "grain" and parent.stage == "grain":
        return child.generation == (parent.generation or 0) + 1
    return True


def parent_mass(case: Case) -> Iterator[str]:
    """No unit gives more to its children than it has."""
    feeds: dict[str, float] = {}
    gives: set[str] = set()
    for batch, spec in case.pairs:
        for unit in batch.units:
            if unit.parent is not None:
                feeds[unit.parent] = feeds.get(unit.parent, 0.0) + spec.feed_g
                gives |= {unit.parent} if batch.id not in case.begun else set()
    for unit_id, mass in feeds.items():
        giver = case.specs.get(case.batch_of.get(unit_id, ""))
        mass += giver.passed_on.get(unit_id, 0.0) if giver else 0.0
        if giver is not None and unit_id in gives and mass > giver.unit_mass_g * giver.usable + _A_HAIR:
            yield f"{unit_id} gives {mass:.1f} of {giver.unit_mass_g * giver.usable:.1f}"


def two_parents(case: Case) -> Iterator[str]:
    """A batch is not made from one unit where two could be its parents."""
    for batch, spec in case.pairs:
        used = {unit.parent for unit in batch.units if unit.parent}
        if batch.id in case.begun:
            continue
        free = [
            unit.id
            for parent in spec.parents
            if parent in case.batches
            for unit in case.batches[parent].units
            if unit.id not in case.kept and (unit.id in used or _has_left(case, unit.id, spec.feed_g))
        ]
        if len(batch.units) > 1 and len(used) == 1 and len(free) > 1:
            yield f"{batch.id}: all {len(batch.units)} units from {used.pop()}, {len(free)} could be parents"


def _has_left(case: Case, unit: str, feed_g: float) -> bool:
    """Whether a unit could feed one more beside those made from it: not opened before, and not in doubt."""
    giver = case.specs[case.batch_of[unit]]
    used = unit in giver.passed_on or any(child.id in case.begun for child in case.children.get(unit, ()))
    if giver.stage == "grain" and used:
        return False
    doubtful = unit in case.progress.batch(giver.id).watch
    given = sum(
        case.specs[child.id].feed_g
        for child in case.children.get(unit, ())
        for made in child.units
        if made.parent == unit
    )
    drawn_down = giver.stage == "liquid culture" and bool(case.begun)  # what is left of it is kept back
    return not doubtful and not drawn_down and given + feed_g <= giver.unit_mass_g * giver.usable + _A_HAIR


def generation(case: Case) -> Iterator[str]:
    """Grain has a generation, and none beyond the third."""
    for batch in case.plan.batches:
        if (batch.stage == "grain") != (batch.generation is not None):
            yield f"{batch.id}: {batch.stage} of generation {batch.generation}"
        elif batch.generation is not None and not 1 <= batch.generation <= LAST_GENERATION:
            yield f"{batch.id}: generation {batch.generation}"


def keep_back(case: Case) -> Iterator[str]:
    """Each line that is grown keeps back some culture and a clean first-generation unit, as tasks."""
    for line in case.sizing.lines:
        if line.gone or any(spec.id in case.begun for spec in line.batches):
            continue  # what was kept back of it was kept back before, or is used up
        grown = {parent for spec in line.batches for parent in spec.parents}
        culture = [spec for spec in line.batches if spec.stage in CULTURES and spec.id in grown]
        first = [s for s in line.batches if s.stage == "grain" and s.generation == 1 and s.state == "planned"]
        for what, specs in (("culture", culture), ("first-generation grain", first)):
            kept = {f"{spec.id}:keep-back" for spec in specs} & case.progress.done.keys()
            if specs and not kept and not any(case.tasks("keep-back", batch=spec.id) for spec in specs):
                yield f"{line.code}: no {what} is kept back"
        if first and not any(case.batches[s.id].keep_back for s in first if s.id in case.batches):
            yield f"{line.code}: no unit of first-generation grain is kept back"


def transfers(case: Case) -> Iterator[str]:
    """A batch that is carried on is one transfer further than what it was made from; no other is."""
    for batch, spec in case.pairs:
        names = {case.batch_of.get(unit.parent or "", "") for unit in batch.units} - {""}
        behind = [case.batches[name].transfers for name in sorted(names)]
        known = [number for number in behind if number is not None]
        if not names or batch.id in case.begun:
            continue
        carried_on = batch.stage in (*CULTURES, "grain") and not spec.is_test
        right = max(known) + carried_on if len(known) == len(behind) else None
        if batch.transfers != right:
            yield f"{batch.id}: {batch.transfers} transfers, from {', '.join(sorted(names))} they are {right}"


CHECKS: Mapping[str, Check] = {
    "unit-counts": unit_counts,
    "parents": parents,
    "parent-mass": parent_mass,
    "two-parents": two_parents,
    "generation": generation,
    "keep-back": keep_back,
    "transfers": transfers,
}
