"""Pieces of a planting: how many a task of the plan stands for, and how many are left to fell or to plant.

The plan says amounts in words; they are read from there. A bed counts one piece for each square metre begun.
"""

from __future__ import annotations

import math
import re
from typing import Literal

from scheduler.journal.context import Context
from scheduler.measures import SQUARE_FEET_PER_M2
from scheduler.plan import Plan, PlantingPlan, Task
from scheduler.progress import Recorded

Yard = Literal["felled", "planted"]

_KINDS: dict[Yard, tuple[str, ...]] = {"planted": ("plant",), "felled": ("fell", "haul")}
"""Kinds of task that stand for felling and planting; wood that is delivered is only hauled."""
_AMOUNT = re.compile(r"(\d+(?:\.\d+)?) ([a-z][a-z0-9 ]*)")


def planting_plan(plan: Plan, name: str) -> PlantingPlan | None:
    """The planting of the plan; None for one that the plan does not know."""
    return next((planting for planting in plan.plantings if planting.name == name), None)


def pieces(planting: PlantingPlan) -> int:
    """Pieces that were left to plant when the plan was made."""
    return max(1, math.ceil(_amount(planting.size)))


def pieces_of_area(planting: PlantingPlan, area_m2: float) -> int:
    """Pieces of a bed that an area stands for."""
    return max(1, round(pieces(planting) * area_m2 / _amount(planting.size)))


def is_bed(planting: PlantingPlan) -> bool:
    """Whether a planting is measured by its area."""
    return planting.size.endswith(("m2", "sq ft"))


def of_part(plan: Plan, task: Task) -> int:
    """Pieces that a task of felling or planting stands for."""
    planting = planting_plan(plan, task.planting or "")
    if planting is None:
        return 0
    return round(pieces(planting) * _amount(task.title) / _amount(planting.size))


def parts(plan: Plan, name: str, kind: Yard) -> tuple[Task, ...]:
    """The plan's tasks that fell or plant a planting, in order."""
    mine = [task for task in plan.tasks if task.planting == name]
    for task_kind in _KINDS[kind]:
        found = tuple(task for task in mine if task.kind == task_kind)
        if found:
            return found
    return ()


def ends(task: Task) -> tuple[str, ...]:
    """Ids that are done with a part; what is delivered counts as felled."""
    if task.kind == "haul":
        return task.id.replace(":haul", ":fell"), task.id
    return (task.id,)


def left(context: Context, name: str, kind: Yard) -> int | None:
    """Pieces still to be felled or planted; None for a planting that the plan does not know."""
    if planting_plan(context.plan, name) is None:
        return None
    return sum(of_part(context.plan, task) for task in parts(context.plan, name, kind)) - _since(
        context, name, kind
    )


def beside_parts(context: Context, name: str, kind: Yard) -> int:
    """Pieces felled or planted since the plan was made that are no whole part of it yet."""
    whole = [task for task in parts(context.plan, name, kind) if task.id in context.progress.done]
    return max(0, _since(context, name, kind) - sum(of_part(context.plan, task) for task in whole))


def parts_ended(context: Context, name: str, kind: Yard, count: int) -> tuple[str, ...]:
    """Ids of the parts that are done once `count` more pieces are, in their order."""
    ended: list[str] = []
    reached = beside_parts(context, name, kind) + count
    for task in parts(context.plan, name, kind):
        if task.id in context.progress.done:
            continue
        reached -= of_part(context.plan, task)
        if reached < 0:
            break
        ended += ends(task)
    return tuple(ended)


def _since(context: Context, name: str, kind: Yard) -> int:
    """Pieces recorded since the plan was made; fewer than none where an entry it knew was taken back."""

    def count(entries: tuple[Recorded, ...]) -> int:
        return sum(
            one.entry.count or 0 for one in entries if (one.entry.kind, one.entry.subject) == (kind, name)
        )

    known = tuple(one for one in context.recorded if one.entry_no in context.seen)
    return count(context.standing) - count(known)


def _amount(text: str) -> float:
    """The amount in a size or title: pieces, or square metres to three figures, as they are written."""
    found = _AMOUNT.search(text)
    if found is None:
        return 1.0
    value = float(found[1])
    if found[2].startswith("sq ft"):
        return float(f"{value / SQUARE_FEET_PER_M2:.3g}")
    return value
