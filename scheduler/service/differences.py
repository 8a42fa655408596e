"""What a new plan changes of the one before it, task by task, each with its reason."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from scheduler.plan import Change, Plan, Task
from scheduler.progress import Progress
from scheduler.workdays import full


def changes(before: Plan, after: Plan, progress: Progress, today: date) -> Iterator[Change]:
    """Every open task of either plan: kept, moved, dropped, or new; what is done is in neither.

    Care of what stands follows its planting day, and is no change of its own.
    """
    was = {task.id: task for task in before.work() if task.id not in progress.done}
    now = {task.id: task for task in after.work()}
    for task in was.values():
        later = now.get(task.id)
        if later is None:
            yield Change(task.id, task.on, None, _dropped(task, after, progress, today), "dropped")
        elif later.on == task.on:
            yield Change(task.id, task.on, task.on, "", "kept")
        else:
            yield Change(task.id, task.on, later.on, _moved(task, before, after, progress, today), "moved")
    for task in now.values():
        if task.id not in was:
            yield Change(task.id, None, task.on, _new(task, before, progress), "new")


def _dropped(task: Task, after: Plan, progress: Progress, today: date) -> str:
    if task.batch is not None and task.batch not in {batch.id for batch in after.batches}:
        return f"{task.batch} is lost" if progress.batch(task.batch).lost else f"{task.batch} is not needed"
    if task.on < today:
        return "its day has passed"
    return "it is not needed any more"


def _moved(task: Task, before: Plan, after: Plan, progress: Progress, today: date) -> str:
    if task.on < today:
        return "it was not recorded as done by its day"
    if task.is_check_ahead:
        return "what it is for has moved"
    promised = next((batch.inoculate_on for batch in before.batches if batch.id == task.batch), None)
    begun = progress.batch(task.batch or "").inoculated_on
    if begun is not None and begun != promised:
        return f"{task.batch} was inoculated on {full(begun)}"
    known = {batch.id for batch in before.batches}
    batch = next((batch for batch in after.batches if batch.id == task.batch), None)
    if batch is not None:
        parents = {(unit.parent or "").partition("/")[0] for unit in batch.units}
        new = sorted(parent for parent in parents if parent and parent not in known)
        if new:
            return f"it is made from {', '.join(new)} now"
        return "it waits for what it is made from, or makes room"
    return "it waits for its spawn, or makes room"


def _new(task: Task, before: Plan, progress: Progress) -> str:
    if task.kind == "kill-lost" or "/lost" in task.id:
        return "lost units are heated through before they are emptied"
    if task.batch is not None and task.batch not in {batch.id for batch in before.batches}:
        if progress.batch(task.batch).inoculated_on is not None:
            return f"{task.batch} was made, and is looked after"
        return "made in the place of what was lost"
    return "it has become necessary"
