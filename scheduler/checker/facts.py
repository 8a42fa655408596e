"""Whether a plan leaves what has happened as it was recorded, and asks for none of it again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from scheduler.checker.case import INOCULATIONS, Case, Check
from scheduler.checker.tasks import EVE_KINDS


def recorded_days(case: Case) -> Iterator[str]:
    """A batch that was inoculated, or found ready, carries the day that was recorded."""
    for batch in case.plan.batches:
        happened = case.progress.batch(batch.id)
        if happened.inoculated_on is not None and batch.inoculate_on != happened.inoculated_on:
            yield f"{batch.id}: inoculated on {happened.inoculated_on}, the plan says {batch.inoculate_on}"
        if happened.ready_on is not None and batch.ready_on != happened.ready_on:
            yield f"{batch.id}: found ready on {happened.ready_on}, the plan says {batch.ready_on}"


def lost_units(case: Case) -> Iterator[str]:
    """What is lost is in no batch any more, and nothing is to be made from it."""
    lost = {unit for happened in case.progress.batches.values() for unit in happened.lost}
    for batch in case.plan.batches:
        for unit in batch.units:
            if unit.id in lost:
                yield f"{unit.id} is lost"
            if unit.parent in lost and batch.id not in case.begun:
                yield f"{unit.id} is made from {unit.parent}, which is lost"


def done_once(case: Case) -> Iterator[str]:
    """Nothing that is done is a task, but for what is begun anew; nothing that grows is begun again."""
    for task in case.plan.tasks:
        spec = case.specs.get(task.batch or "")
        again = task.kind in ("cook", *EVE_KINDS) or (spec is not None and spec.is_to_make)
        if task.id in case.progress.done and (not again or case.progress.done[task.id] >= task.on):
            yield f"{task.id} was done on {case.progress.done[task.id]}"
        if task.batch in case.begun and task.kind in (*INOCULATIONS, "cook", "pasteurise"):
            yield f"{task.id}: {task.batch} grows already"


def pieces_left(case: Case) -> Iterator[str]:
    """No more is felled or planted than is left of a planting."""
    for planting, wish in case.plantings:
        logs = sum(group.count for group in wish.groups)
        lies = case.days.pieces.get(f"{planting.name}:plant", {})
        if logs and sum(lies.values()) != logs:
            yield f"{planting.name}: {sum(lies.values())} of {logs} pieces are planted"


CHECKS: Mapping[str, Check] = {
    "recorded-days": recorded_days,
    "lost-units": lost_units,
    "done-once": done_once,
    "pieces-left": pieces_left,
}
