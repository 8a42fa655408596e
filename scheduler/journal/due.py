"""What is open and due on a day: the list that is printed with numbers, and that ``done 2`` counts on."""

from __future__ import annotations

from datetime import date

from scheduler.journal.units import living
from scheduler.plan import Plan, Task
from scheduler.progress import Progress


def due(plan: Plan, progress: Progress, day: date) -> tuple[Task, ...]:
    """Tasks that are not done with a day up to `day`, overdue ones first, in the plan's order within a day.

    What serves only plantings that are planted, or a batch of which nothing lives, is not asked for.
    """
    over = _planted(plan, progress)
    dead = {batch.id for batch in plan.batches if not living(plan, progress, batch.id)}
    dead |= {batch.id for batch in plan.batches if batch.plantings and set(batch.plantings) <= over}
    open_tasks = (
        task
        for task in plan.tasks
        if task.on <= day
        and task.id not in progress.done
        and task.batch not in dead
        and task.planting not in over
    )
    return tuple(sorted(open_tasks, key=lambda task: task.on))


def _planted(plan: Plan, progress: Progress) -> set[str]:
    """Plantings of which no part is left to plant."""
    is_open = {task.planting for task in plan.tasks if task.kind == "plant" and task.id not in progress.done}
    return {planting.name for planting in plan.plantings} - is_open
