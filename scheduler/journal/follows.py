"""Which tasks of a plan are done because of what was recorded of their batch or planting."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from datetime import date, timedelta

from scheduler.plan import Plan, Task
from scheduler.progress import NOT_BEGUN, NOTHING_YET, BatchProgress, Kind, PlantingProgress

EVE = ("soak-grain", "wet-pellets", "soak-dowels", "prepare")
INOCULATIONS = ("inoculate", "test-culture", "refresh-culture")
LOST = "/lost"
"""Follows the batch id of lost units in the id of a load."""

CARED: Mapping[str, Kind] = {"turn": "turned", "soak-logs": "soaked", "water": "watered"}
"""Kind of entry that records a kind of care."""
EARLY = timedelta(days=3)
"""So much before its day care may be done and count for it (common practice)."""

_AFTER_FELLING = re.compile(r"(.+):(?:buck|haul)(:\d+)?")


def held(task: Task) -> tuple[str, ...]:
    """Batches that a cook task sterilises; lost units that it only kills are none of them."""
    names = task.id.removeprefix("cook:").partition(":")[0].split("+")
    return tuple(name for name in names if name and not name.endswith(LOST))


def felling_of(task_id: str) -> str | None:
    """Id of the felling that bucking or hauling belongs to; None for any other task."""
    found = _AFTER_FELLING.fullmatch(task_id)
    return f"{found[1]}:fell{found[2] or ''}" if found else None


def without_felling(done: Mapping[str, date]) -> dict[str, date]:
    """The tasks that are done, without bucking and hauling of what is not down yet; by their ids."""
    return {task: done[task] for task in sorted(done) if (fell := felling_of(task)) is None or fell in done}


def tasks_of_lost(batch_id: str, done: Iterable[str]) -> list[str]:
    """Tasks by which earlier lost units of a batch were killed: they are open again when more are lost."""
    return [
        task
        for task in done
        if task == f"{batch_id}:kill-lost" or (task.startswith("cook:") and f"{batch_id}{LOST}" in task)
    ]


def follows(
    plan: Plan, batches: Mapping[str, BatchProgress], plantings: Mapping[str, PlantingProgress]
) -> dict[str, date]:
    """Tasks of the plan that are done by what happened to their batches and plantings, with the day."""
    before_soaking = {name for task in plan.tasks if task.kind == "soak-logs" for name in task.after}

    def day(task: Task) -> date | None:
        if task.kind == "cook":
            days = [_cooked(batches.get(name, NOTHING_YET)) for name in held(task)]
            return max((on for on in days if on), default=None) if all(days) else None
        if task.batch is not None and task.kind in _BY_BATCH:
            return _BY_BATCH[task.kind](batches.get(task.batch, NOTHING_YET), task)
        happened = plantings.get(task.planting or "", NOT_BEGUN)
        if task.is_care:
            return _cared(task, happened)
        if task.kind == "weigh":
            by_soak = happened.soaked_on if task.id in before_soaking else None
            return _weighed(happened, task) or by_soak
        return happened.soaked_on if task.kind == "soak-logs" else None

    return {task.id: on for task in plan.tasks if (on := day(task)) is not None}


def _cared(task: Task, happened: PlantingProgress) -> date | None:
    """A turn, soak, weighing or picking that was recorded in the span of the task, or shortly before it.

    What goes on for its whole span is not over because it was done once.
    """
    if task.ongoing:
        return None
    if task.kind == "weigh":
        days = {on for weights in happened.weights_g.values() for on in weights}
    elif task.kind == "pick":
        days = set(happened.picked_g)
    else:
        days = set(happened.cared.get(CARED.get(task.kind, ""), ()))
    last = task.until or task.slip_to or task.on
    return min((day for day in days if task.on - EARLY <= day <= last), default=None)


def _weighed(happened: PlantingProgress, task: Task) -> date | None:
    """The first weighing that does a task of weighing: one of a few days before its day, or a later one."""
    days = sorted({on for weights in happened.weights_g.values() for on in weights})
    return next((on for on in days if on >= task.on - EARLY), None)


def checks_over(plan: Plan, done: Mapping[str, date]) -> dict[str, date]:
    """Checks ahead that nobody needs any more, with the day on which what they are for began."""
    ahead = {task.id for task in plan.tasks if task.is_check_ahead}
    over: dict[str, date] = {}
    for task in plan.tasks:
        for name in ahead.intersection(task.after) if task.id in done else ():
            over[name] = min(done[task.id], over.get(name, done[task.id]))
    return over


def _cooked(happened: BatchProgress) -> date | None:
    return happened.cooked_on or happened.inoculated_on


def _looked_at(happened: BatchProgress, task: Task) -> date | None:
    """A look on the day of the check or later, or finding the batch ready, is that check."""
    looks = [on for on in (happened.clean_on,) if on and on >= task.on]
    return happened.ready_on or next(iter(looks), None)


_BY_BATCH: Mapping[str, Callable[[BatchProgress, Task], date | None]] = {
    **dict.fromkeys((*EVE, "pasteurise"), lambda happened, task: _cooked(happened)),
    **dict.fromkeys(INOCULATIONS, lambda happened, task: happened.inoculated_on),
    "check": _looked_at,
    "move-to-fridge": lambda happened, task: happened.fridge_on,
}
