"""What has to be done: the work of the next two weeks."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from scheduler import measures
from scheduler.plan import Plan, Task
from scheduler.present.cautions import minded_once
from scheduler.present.dates import Dates, dates_of
from scheduler.present.layout import Column, Lines, paragraph, table

TWO_WEEKS = timedelta(days=13)
"""From the first to the last of fourteen days."""
TASK_COLUMNS = (
    Column("day"),
    Column("work", soft=True),
    Column("can wait until"),
    Column("hands"),
    Column("at home"),
)


def next_tasks(plan: Plan) -> list[Task]:
    """The work of two weeks from today, or from the first task on where these two weeks hold none."""
    ahead = sorted((task for task in plan.tasks if task.on >= plan.season.today), key=lambda task: task.on)
    soon = [task for task in ahead if task.on <= plan.season.today + TWO_WEEKS]
    return soon or [task for task in ahead if task.on <= ahead[0].on + TWO_WEEKS]


def two_weeks(plan: Plan, width: int) -> Lines:
    """The next work with how long each piece of it can wait and how much time it takes."""
    return task_table(next_tasks(plan), dates_of(plan), width) or paragraph("No work is left.", width)


def task_table(tasks: Iterable[Task], words: Dates, width: int) -> Lines:
    """Tasks in order of their days, each day named once, with what to mind; empty where there are none."""
    tasks = list(tasks)
    rows = []
    before: date | None = None
    for task, title in zip(tasks, minded_once(tasks), strict=True):
        day = "" if task.on == before else words.day(task.on)
        rows.append((day, title, waits(task, words), *hours(task)))
        before = task.on
    return table(TASK_COLUMNS, rows, width)


def waits(task: Task, words: Dates) -> str:
    """Until when a task can wait from today on, or goes on."""
    if task.ongoing and task.until is not None:
        return f"goes on to {words.day(task.until)}"
    if task.slip_to is not None and task.slip_to > words.today:
        return words.day(task.slip_to)
    return "cannot wait"


def hours(task: Task) -> tuple[str, str]:
    """How long a task keeps the hands busy, and how long somebody has to be at home where that is longer."""
    longer = task.attended_minutes > task.minutes
    return measures.duration(task.minutes), measures.duration(task.attended_minutes) if longer else ""
