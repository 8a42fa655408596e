"""What a replan changed: moved, new and dropped work, from when to when and why."""

from __future__ import annotations

from collections import Counter

from scheduler.plan import Plan
from scheduler.present.dates import dates_of
from scheduler.present.layout import Column, Lines, paragraph, table

COLUMNS = (
    Column("change"),
    Column("work", soft=True),
    Column("was"),
    Column("now"),
    Column("why", soft=True),
)


def changes(plan: Plan, width: int) -> Lines:
    """How much was kept, then every change; empty where nothing was planned before."""
    if not plan.changes:
        return []
    words = dates_of(plan)
    titles = {task.id: task.title for task in plan.tasks}
    counts = Counter(change.kind for change in plan.changes)
    rows = [
        (
            change.kind,
            titles.get(change.task, change.task),
            words.maybe(change.was, ""),
            words.maybe(change.now, ""),
            change.why,
        )
        for change in plan.changes
        if change.kind != "kept"
    ]
    summary = ", ".join(
        f"{counts[kind]} {kind}" for kind in ("kept", "moved", "new", "dropped") if counts[kind]
    )
    return [*paragraph(summary, width), *table(COLUMNS, rows, width)]
