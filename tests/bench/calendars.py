"""How long a calendar file of very many tasks takes, with its ledger, its check and its place on the disk."""

from __future__ import annotations

import shutil
import time
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

from scheduler.book.store import Book
from scheduler.plan import Plan
from scheduler.service import calendars, planning, seasons
from tests.bench.table import Column, Rows, Run, Table
from tests.present.exports import when

TASKS = 5000
DAY = date(2026, 11, 28)


def measure(run: Run) -> Rows:
    """A row for each export."""
    season = Path(shutil.copytree(run.folder / "backyard", run.folder / "very many"))
    (season / "season.book").unlink(missing_ok=True)
    read, catalogue = seasons.read(season, seasons.Clock(DAY, "UTC"), None)
    plan = _very_many(planning.plan_season(read, catalogue))
    with Book.open(season / "season.book", create=True) as book:
        plan = replace(plan, plan_no=book.keep(plan, read.text, "", "{}"))
    file = run.folder / "many.ics"
    moved = replace(plan, tasks=tuple(replace(one, on=one.on + timedelta(days=1)) for one in plan.tasks))
    rows = {}
    for name, of in (("the first time", plan), ("unchanged", plan), ("every task moved", moved)):
        start = time.process_time()
        calendars.write(read, of, calendars.Wishes(events=file), when(DAY))
        rows[name] = {"took_s": time.process_time() - start, "mb": file.stat().st_size / 1e6}
    return rows


def _very_many(plan: Plan) -> Plan:
    """The plan with its tasks again and again, each time under other names."""
    tasks = [
        replace(task, id=f"{task.id}:{turn}", after=tuple(f"{name}:{turn}" for name in task.after))
        for turn in range(TASKS // len(plan.tasks) + 1)
        for task in plan.tasks
    ]
    return replace(plan, tasks=tuple(tasks[:TASKS]), orders=())


TABLE = Table(
    f"A calendar file of {TASKS} tasks, with its ledger and its check, in seconds of the processor",
    (Column("took_s", "seconds", "{:.2f}"), Column("mb", "MB", "{:.2f}")),
    measure,
)
