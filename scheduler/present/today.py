"""The page of one day: the one thing to do, what is due, the week ahead, what to order and to look at."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from rich.console import Console
from rich.text import Text

from scheduler.plan import Task
from scheduler.present.cautions import cautions_of, minded
from scheduler.present.dates import Dates
from scheduler.present.layout import Column, Lines, fold, paragraph, section, table, write
from scheduler.present.leftover import left
from scheduler.present.pages import Today
from scheduler.present.shopping import order_table
from scheduler.present.states import Look
from scheduler.present.todo import hours, task_table, waits
from scheduler.progress import in_short
from scheduler.workdays import full

DUE_COLUMNS = (
    Column("no.", right=True),
    Column("work", soft=True),
    Column("can wait until"),
    Column("hands"),
    Column("at home"),
)
LOOK_COLUMNS = (Column("look at", soft=True), Column("because", soft=True), Column("look on"))


def show_today(page: Today, console: Console) -> None:
    """Print the page of a day, the one thing to do first."""
    width, words = console.width, Dates(page.day)
    number = "" if page.plan_no is None else f", plan {page.plan_no}"
    lines: Lines = [Text(line, style="bold") for line in fold(first_thing(page), width)]
    lines += fold(f"{page.season}{number}, {full(page.day)}", width)
    orders = [replace(order, late=order.order_by < page.day) for order in page.orders]
    for title, body in (
        ("To do now", _due(page, words, width)),
        ("The week ahead", task_table(page.week, words, width)),
        ("To order", order_table(orders, words, page.units, width)),
        ("Waits for a look", _looks(page, words, width)),
        ("Left over", left(page.left, words, page.units, width)),
        ("Cautions", cautions_of(page.due, words, width)),
        ("How to record it", _hints(page, width)),
    ):
        lines += section(title, body, width)
    write(lines, console)


def first_thing(page: Today) -> str:
    """The one thing to do: overdue work, what is due today, an order, a look, or else what comes next.

    Of work that can hurt, a second line says what to mind.
    """
    late = [order for order in page.orders if order.order_by <= page.day]
    looks = [look for look in page.checks if look.on <= page.day]
    if page.due:
        task = page.due[0]
        return minded(f"Do today{_since(task, page.day, Dates(page.day))}: {task.title}", task)
    if late:
        return f"Order {'at once' if late[0].order_by < page.day else 'today'}: {late[0].item}"
    if looks:
        return f"Look today at {in_short(looks[0].units) or looks[0].batch}"
    following = [*page.week[:1], *([page.later] if page.later else [])]
    if not following:
        return "Nothing is left to do."
    task = following[0]
    return minded(f"Nothing is due today. The next work is on {full(task.on)}: {task.title}", task)


def _since(task: Task, day: date, words: Dates) -> str:
    return f" (overdue since {words.day(task.on)})" if task.is_overdue(day) else ""


def _due(page: Today, words: Dates, width: int) -> Lines:
    rows = [
        (str(number), _work(task, page.day, words), waits(task, words), *hours(task))
        for number, task in enumerate(page.due, start=1)
    ]
    return table(DUE_COLUMNS, rows, width) or paragraph("Nothing is due.", width)


def _work(task: Task, day: date, words: Dates) -> str:
    """The title, since when it is overdue, and its cautions in short."""
    overdue = f"\nOVERDUE since {words.day(task.on)}" if task.is_overdue(day) else ""
    return minded(task.title + overdue, task)


def _looks(page: Today, words: Dates, width: int) -> Lines:
    rows = [
        (
            in_short(look.units) or look.batch,
            because(look, words),
            "today" if look.on <= page.day else words.day(look.on),
        )
        for look in page.checks
    ]
    return table(LOOK_COLUMNS, rows, width)


def because(look: Look, words: Dates) -> str:
    """Why something waits for a look."""
    if look.kind == "watch":
        return f"in doubt since {words.day(look.since)}: kept apart, not used"
    return f"was to be ready on {words.day(look.since)}; nobody has found it ready yet"


def _hints(page: Today, width: int) -> Lines:
    """One line for each thing that can be said, with what stands on this page."""
    command = f"budswell record {page.path}"
    growing = [task.batch for task in (*page.due, *page.week) if task.batch and task.kind == "check"]
    hints = [("work that is done", f"{command} done {min(2, len(page.due))}")] if page.due else []
    released = next((look.batch for look in page.checks if look.kind == "release"), None)
    doubted = next((look.batch for look in page.checks if look.kind == "watch"), None)
    if released:
        hints.append(("looked ready", f"{command} ready {released}"))
    if doubted:
        hints.append(("looked clean", f"{command} clean {doubted}"))
    if page.orders:
        hints.append(("ordered", f"{command} bought {page.orders[0].item}"))
    lost = doubted or released or next(iter(growing), None)
    if lost:
        hints.append(("a unit lost", f"{command} lost {lost} 1"))
    return table((Column(), Column(soft=True)), hints, width)
