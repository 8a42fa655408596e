"""What is open and due on a day: the list that is printed with numbers, and that ``done 2`` counts on."""

from __future__ import annotations

from datetime import date

from scheduler.journal.units import living
from scheduler.plan import Plan, Task
from scheduler.progress import Progress


def due(plan: Plan, progress: Progress, day: date) -> tuple[Task, ...]:
    """Tasks that are not done with a day up to `day`, overdue ones first, in the plan's order within a day.

    What goes on for weeks comes last. What serves only plantings that are planted, or a batch of which
    nothing lives, is not asked for; nor is care of what does not stand yet, or whose span is over.
    """
    still = _to_plant(plan, progress)
    over = {planting.name for planting in plan.plantings} - still
    dead = {batch.id for batch in plan.batches if not living(plan, progress, batch.id)}
    dead |= {batch.id for batch in plan.batches if batch.plantings and set(batch.plantings) <= over}
    open_tasks = (
        task
        for task in plan.tasks
        if task.on <= day
        and task.id not in progress.done
        and task.batch not in dead
        and (task.planting not in still if task.is_care else task.planting not in over)
        and (task.until is None or day <= task.until)
    )
    return tuple(sorted(open_tasks, key=lambda task: (task.ongoing, task.on)))


def _to_plant(plan: Plan, progress: Progress) -> set[str | None]:
    """Plantings of which some part is left to plant."""
    return {task.planting for task in plan.tasks if task.kind == "plant" and task.id not in progress.done}
