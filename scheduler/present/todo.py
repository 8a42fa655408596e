"""What has to be done: the shopping list, the work of the next two weeks, and the cautions."""

from __future__ import annotations

from collections import Counter, defaultdict
from datetime import date, timedelta

from scheduler import measures
from scheduler.plan import Plan, Task
from scheduler.present.dates import Dates, dates_of
from scheduler.present.layout import Column, Lines, paragraph, table

TWO_WEEKS = timedelta(days=13)
"""From the first to the last of fourteen days."""
ORDER_COLUMNS = (
    Column("order by"),
    Column("what", soft=True),
    Column("how much", soft=True),
    Column("needed on"),
    Column("for", soft=True),
)
TASK_COLUMNS = (
    Column("day"),
    Column("work", soft=True),
    Column("can wait until"),
    Column("hands"),
    Column("at home"),
)
FEW_TASKS = 3
"""Up to so many tasks of a caution are named one by one."""


def shopping(plan: Plan, width: int) -> Lines:
    """What to order by when, late orders marked."""
    words = dates_of(plan)
    rows = [
        (
            words.day(order.order_by) + "\nLATE" * order.late,
            order.item,
            measures.quantity(order.quantity, order.unit, plan.season.units),
            words.day(order.needed_on),
            "; ".join(order.for_),
        )
        for order in sorted(plan.orders, key=lambda order: order.order_by)
    ]
    if not rows:
        return paragraph("Nothing has to be bought.", width)
    lines = table(ORDER_COLUMNS, rows, width)
    if any(order.late for order in plan.orders):
        lines += paragraph(
            "LATE: the day has passed; buy over the counter or ask for a faster delivery.", width
        )
    return lines


def next_tasks(plan: Plan) -> list[Task]:
    """The work of two weeks from today, or from the first task on where these two weeks hold none."""
    ahead = sorted((task for task in plan.tasks if task.on >= plan.season.today), key=lambda task: task.on)
    soon = [task for task in ahead if task.on <= plan.season.today + TWO_WEEKS]
    return soon or [task for task in ahead if task.on <= ahead[0].on + TWO_WEEKS]


def two_weeks(plan: Plan, width: int) -> Lines:
    """The next work with how long each piece of it can wait and how much time it takes."""
    tasks = next_tasks(plan)
    if not tasks:
        return paragraph("No work is left.", width)
    words = dates_of(plan)
    rows = []
    before: date | None = None
    for task in tasks:
        rows.append(_task_row(task, words, "" if task.on == before else words.day(task.on)))
        before = task.on
    return table(TASK_COLUMNS, rows, width)


def _task_row(task: Task, words: Dates, day: str) -> tuple[str, ...]:
    longer = task.attended_minutes > task.minutes
    return (
        day,
        task.title,
        words.maybe(task.slip_to, "cannot wait"),
        measures.duration(task.minutes),
        measures.duration(task.attended_minutes) if longer else "",
    )


def cautions(plan: Plan, width: int) -> Lines:
    """Every caution once, with the tasks it belongs to."""
    words = dates_of(plan)
    belonging: dict[str, list[Task]] = defaultdict(list)
    for task in plan.tasks:
        for caution in task.cautions:
            belonging[caution].append(task)
    lines: Lines = []
    for caution, tasks in belonging.items():
        lines += paragraph(caution, width, mark="- ")
        lines += paragraph(_named(tasks, words), width, mark="at: ", indent=4)
    return lines


def _named(tasks: list[Task], words: Dates) -> str:
    """Few tasks by title and day, many by kind, how often, and the first day."""
    if len(tasks) <= FEW_TASKS:
        return "; ".join(f"{task.title}, {words.day(task.on)}" for task in tasks)
    kinds = Counter(task.kind for task in tasks)
    counts = ", ".join(f"{kind.replace('-', ' ')} ({count})" for kind, count in kinds.items())
    return f"{counts}; first on {words.day(min(task.on for task in tasks))}"
