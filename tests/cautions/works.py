"""What a task is, told from the season and the plan without the facts its cautions were chosen by."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from scheduler.plan import Batch, Load, Plan, Task
from scheduler.season.season import Planting, Season, Standing
from scheduler.trade.catalogue import load

CULTURES = ("plate", "slant", "liquid culture")
TWO_PERSONS_KG = 23.0
"""NIOSH, Applications Manual for the Revised Lifting Equation: the load constant, 23 kg or 51 lb."""
WOODS = load().woods


@dataclass(frozen=True)
class Work:
    """A task with what makes it dangerous."""

    task: Task
    vessel: str = ""
    """``pressure cooker``, ``steam drum``, or nothing."""
    load_class: str = ""
    lost: bool = False
    """Whether lost units are in the load."""
    stage: str = ""
    made: bool = False
    """Whether the batch is made here, not in hand or bought."""
    method: str = ""
    species: str = ""
    chips: str = ""
    heaviest_kg: float = 0.0

    @property
    def kind(self) -> str:
        """The kind of the task; what is looked after some weeks ahead has no other kind than that."""
        return f"ahead: {self.task.id.rpartition(':')[2]}" if self.task.is_check_ahead else self.task.kind

    @property
    def is_heavy(self) -> bool:
        """Whether two should lift a piece of it."""
        return self.heaviest_kg > TWO_PERSONS_KG

    @property
    def is_outdoors(self) -> bool:
        """Whether it is about a planting, or what stands."""
        return bool(self.method)


def works(plan: Plan, season: Season) -> Iterator[Work]:
    """Every task of a plan."""
    there: dict[str, Planting | Standing] = {one.name: one for one in season.standing}
    there.update((one.name, one) for one in season.plantings)
    batches = {batch.id: batch for batch in plan.batches}
    for task in plan.tasks:
        if task.is_check_ahead:
            yield Work(task)
        elif task.kind == "cook":
            yield _cooked(task, plan)
        elif task.planting:
            yield _outdoors(task, there[task.planting])
        else:
            yield _at_the_bench(task, batches.get(task.batch or ""))


def _cooked(task: Task, plan: Plan) -> Work:
    """The load is found by its day and by what the task's id says it holds."""
    names = set(task.id.split(":")[1].split("+"))
    loads = [one for one in plan.loads if one.on == task.on and names <= _held(one)]
    assert loads, task.id
    vessels = {one.cooker.rpartition(" ")[0] for one in loads if one.cooker in task.why}
    (vessel,) = vessels
    mine = [one for one in loads if one.cooker in task.why and _is_told(one, task)]
    (load_class,) = {one.class_ for one in mine}
    return Work(task, vessel, load_class, any("/lost" in share.batch for one in mine for share in one.holds))


def _held(load: Load) -> set[str]:
    return {share.batch for share in load.holds}


def _is_told(load: Load, task: Task) -> bool:
    """Whether the title names as many lost units as the load holds."""
    lost = [share.units for share in load.holds if share.batch.endswith("/lost")]
    return all(f"{units} lost " in task.title for units in lost) and bool(lost) == (" lost " in task.title)


def _at_the_bench(task: Task, batch: Batch | None) -> Work:
    if batch is None:
        return Work(task)
    return Work(task, stage=batch.stage, made=batch.state == "planned")


def _outdoors(task: Task, one: Planting | Standing) -> Work:
    """The heaviest piece is a cylinder of green wood."""
    density = WOODS[one.wood].green_density.likely if one.wood else 0.0
    masses = [
        math.pi / 4 * (group.diameter_cm / 100) ** 2 * (group.length_cm or 0.0) / 100 * density
        for group in one.groups
    ]
    chips = (one.chips or "") if isinstance(one, Planting) else ""
    return Work(
        task, method=one.method, species=one.species, chips=chips, heaviest_kg=max(masses, default=0.0)
    )
