"""What state a batch is in by what was recorded of it, which of its units live, and what waits for a look."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from scheduler.plan import Batch, Plan
from scheduler.progress import LOOK_AGAIN, BatchProgress, Progress

State = Literal["planned", "heat-treated", "growing", "watch", "ready", "used", "lost"]

CULTURES = ("plate", "slant", "liquid culture")


@dataclass(frozen=True)
class Look:
    """Something that waits for a look: units in doubt, or a batch that nobody has found ready yet."""

    batch: str
    kind: Literal["watch", "release"]
    since: date
    """Day from which it has been in doubt, or on which it was to be ready."""
    on: date
    """Day of the look; for a batch that is to be released, the day on which this is asked."""
    units: tuple[str, ...] = ()
    """The units in doubt."""


def recorded_of(batch: Batch, plan: Plan, progress: Progress) -> BatchProgress:
    """What is recorded of a batch. One that is bought had come when something was made of it, or planted."""
    found = progress.batch(batch.id)
    if batch.state != "bought" or found.received_on is not None:
        return found
    units = {unit.id for unit in batch.units}
    children = [other for other in plan.batches if any(unit.parent in units for unit in other.units)]
    used = [progress.batch(child.id).inoculated_on for child in children]
    if not children:
        planted = [progress.planting(name).planted for name in batch.plantings]
        used += [day for days in planted for day in days if day >= min(batch.use_on, default=date.max)]
    return replace(found, received_on=min((day for day in used if day), default=None))


def units_of(batch: Batch, happened: BatchProgress) -> tuple[str, ...]:
    """Ids of all units of a batch, the lost and the used ones among them, by their numbers."""
    planned = [unit.id for unit in batch.units]
    if happened.inoculated_on is not None and happened.started is not None:
        last = max(map(_number, planned), default=0)
        planned = [unit for unit in planned if _number(unit) <= happened.started]
        planned += [f"{batch.id}/{number}" for number in range(last + 1, happened.started + 1)]
    return tuple(sorted({*planned, *happened.lost, *happened.used}, key=lambda unit: (_number(unit), unit)))


def _number(unit: str) -> int:
    number = unit.rpartition("/")[2]
    return int(number) if number.isdecimal() else 0


def living(batch: Batch, happened: BatchProgress, spent: Collection[str] = ()) -> tuple[str, ...]:
    """Units that are neither lost nor used up."""
    gone = {*happened.lost, *happened.used, *spent}
    return tuple(unit for unit in units_of(batch, happened) if unit not in gone)


def children_of(plan: Plan) -> dict[str, list[str]]:
    """Ids of the units made, or to be made, from each unit."""
    children: dict[str, list[str]] = defaultdict(list)
    for batch in plan.batches:
        for unit in batch.units:
            if unit.parent is not None:
                children[unit.parent].append(unit.id)
    return dict(children)


def spent(plan: Plan, progress: Progress) -> frozenset[str]:
    """Units of which nothing is left because all that is made from them is made, or planted.

    Cultures are not among them: a little of each is kept back.
    """
    made = {unit.id for b in plan.batches if progress.batch(b.id).inoculated_on for unit in b.units}
    children = children_of(plan)
    through = {parent for parent, units in children.items() if made.issuperset(units)}
    parents = {unit.rpartition("/")[0] for unit in children}
    done = planted(plan, progress)
    found: set[str] = set()
    for batch in plan.batches:
        ids = units_of(batch, progress.batch(batch.id))
        if batch.id in parents:
            found |= through.intersection(ids) if batch.stage not in CULTURES else set()
        elif batch.stage == "plate":  # a test, which is over with what was made from its culture
            found.update(ids if through.issuperset(unit.parent for unit in batch.units) else ())
        elif batch.plantings and done.issuperset(batch.plantings):
            found.update(ids)
    return frozenset(found)


def planted(plan: Plan, progress: Progress) -> frozenset[str]:
    """Plantings that are wholly planted: begun, and with no planting task left."""
    left = {task.planting for task in plan.tasks if task.kind == "plant" and task.id not in progress.done}
    return frozenset(name for name, one in progress.plantings.items() if one.planted and name not in left)


def state_of(batch: Batch, happened: BatchProgress, day: date, spent: Collection[str] = ()) -> State:
    """The state of a batch on a day; `spent` are units that are used up beside those recorded as used."""
    all_units = units_of(batch, happened)
    left = living(batch, happened, spent)
    if all_units and happened.lost.keys() >= set(all_units):
        return "lost"
    if all_units and not left:
        return "used"
    if any(unit in happened.watch for unit in left):
        return "watch"
    if _is_ready(batch, happened, day):
        return "ready"
    if happened.inoculated_on is not None or batch.state == "in hand":
        return "growing"
    return "planned" if happened.cooked_on is None else "heat-treated"


def _is_ready(batch: Batch, happened: BatchProgress, day: date) -> bool:
    """Found ready, or clean on its ready day or later; what was not made here is ready once it is there."""
    if happened.ready_on is not None:
        return True
    if batch.state == "planned":
        return happened.clean_on is not None and happened.clean_on >= batch.ready_on
    return batch.ready_on <= day if batch.state == "in hand" else happened.received_on is not None


def waiting(plan: Plan, progress: Progress, day: date) -> tuple[Look, ...]:
    """What waits for a look on a day: units in doubt, and batches whose ready day has come, by day."""
    used_up = spent(plan, progress)
    looks = [look for name, one in progress.batches.items() for look in _doubts(name, one)]
    for batch in plan.batches:
        happened = recorded_of(batch, plan, progress)
        if batch.ready_on <= day and state_of(batch, happened, day, used_up) == "growing":
            looks.append(Look(batch.id, "release", batch.ready_on, day))
    return tuple(sorted(looks, key=lambda look: (look.on, look.since, look.batch)))


def _doubts(batch: str, happened: BatchProgress) -> Iterator[Look]:
    by_day: dict[date, list[str]] = defaultdict(list)
    for unit, since in _by_number(happened.watch):
        by_day[since].append(unit)
    for since, units in by_day.items():
        yield Look(batch, "watch", since, since + LOOK_AGAIN, tuple(units))


def _by_number(units: Mapping[str, date]) -> list[tuple[str, date]]:
    return sorted(units.items(), key=lambda pair: (_number(pair[0]), pair[0]))
