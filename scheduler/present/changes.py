"""What a replan changed: moved, new and dropped work, from when to when and why, and how much was kept."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from datetime import date

from scheduler.plan import Change, Plan, Task
from scheduler.present.cautions import by_kind
from scheduler.present.dates import Dates, dates_of
from scheduler.present.layout import INDENT, Column, Lines, paragraph, table
from scheduler.progress import in_short

KINDS = ("moved", "new", "dropped")
AHEAD = ("moved", "new")
"""Kinds of change after which the work is still to be done."""
HEADS = {"moved": ("moved from", "to"), "new": ("", "new on"), "dropped": ("dropped from", "")}
"""Headings of the columns of days, before and after."""
MOST_BY_TITLE = 12
"""More tasks than these of one kind of change are told by day, without their titles."""

Days = tuple[date | None, date | None]


def changes(plan: Plan, width: int, before: Plan | None = None) -> Lines:
    """How much was kept, then every change and what to mind; empty where nothing was planned before.

    Tasks that the plan no longer holds have their titles in the plan `before` it.
    """
    if not plan.changes:
        return []
    words = dates_of(plan)
    tasks = {task.id: task for one in (before, plan) if one is not None for task in one.tasks}
    lines = paragraph(counts(plan), width)
    for kind in KINDS:
        some = [change for change in plan.changes if change.kind == kind]
        if some:
            first, second = HEADS[kind]
            columns = (Column(first), Column(second), Column("work", soft=True))
            lines += ["", *table(columns, change_rows(some, tasks, words), width, indent=2 * INDENT)]
    ahead = [tasks[c.task] for c in plan.changes if c.kind in AHEAD and c.task in tasks]
    risks = by_kind(ahead, width, indent=2 * INDENT)
    return [*lines, "", *risks] if risks else lines


def counts(plan: Plan) -> str:
    """How many tasks are kept, moved, new and dropped; empty where nothing was planned before."""
    found = Counter[str](change.kind for change in plan.changes)
    return ", ".join(f"{found[kind]} {kind}" for kind in ("kept", *KINDS) if found[kind])


def change_rows(
    some: Iterable[Change], tasks: Mapping[str, Task], words: Dates
) -> list[str | tuple[str, str, str]]:
    """Changes under the reason that they share, in order of their days."""
    by_reason: dict[str, dict[Days, list[str]]] = defaultdict(lambda: defaultdict(list))
    some = list(some)
    for change in sorted(some, key=lambda change: change.now or change.was or date.max):
        by_reason[change.why][change.was, change.now].append(change.task)
    rows: list[str | tuple[str, str, str]] = []
    for reason, by_days in by_reason.items():
        rows += [f"{reason}:"] if reason else []
        for (was, now), ids in by_days.items():
            day = (words.maybe(was, ""), words.maybe(now, ""))
            titles = [tasks[id_].title if id_ in tasks else id_ for id_ in ids]
            if len(some) > MOST_BY_TITLE:
                titles = [in_kinds(ids, tasks)]
            rows += [(*day, titles[0]), *(("", "", title) for title in titles[1:])]
    return rows


def in_kinds(ids: Iterable[str], tasks: Mapping[str, Task]) -> str:
    """Many tasks in short: ``cook NAM-G1a, NAM-G1b; check SHI-Sa``; one that is not known by its id."""
    by_kind: dict[str, dict[str, None]] = {}
    for id_ in ids:
        task = tasks.get(id_)
        kind, owner = (task.kind.replace("-", " "), _owner(task)) if task else ("", id_)
        by_kind.setdefault(kind, {})[owner] = None
    return "; ".join(f"{kind} {in_short(owners)}".strip() for kind, owners in by_kind.items())


def _owner(task: Task) -> str:
    """What a task is about: its batch or planting; the batches of a load, which has neither."""
    held = task.id.partition(":")[2].partition(":")[0]
    return task.batch or task.planting or held.replace("+", ", ")
