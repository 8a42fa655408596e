"""The page of a day, with a tap for all that can be recorded of it."""

from __future__ import annotations

from dataclasses import replace

from scheduler.measures import counted
from scheduler.present.html.frame import Frame, page
from scheduler.present.leftover import there, ways
from scheduler.present.pages import Today
from scheduler.present.shopping import order_row
from scheduler.present.states import Look
from scheduler.present.today import because, first_thing
from scheduler.progress import in_short


def today_page(frame: Frame, today: Today, news: int) -> str:
    """What to do, what is overdue, what waits for a look; `news` entries are in no plan yet."""
    words, units = frame.words, today.units
    orders = [replace(order, late=order.order_by < today.day) for order in today.orders]
    return page(
        "today.html",
        frame.at("/"),
        "Today",
        today=today,
        so_many=_so_many(today),
        first=first_thing(today).split("\n"),
        looks=[(look, because(look, words)) for look in today.checks],
        named=_named,
        orders=[(order, order_row(order, words, units)) for order in orders],
        over=[(there(one, words, units), ways(one, words, units)) for one in today.left],
        news=counted_entries(news) if news else "",
    )


def counted_entries(count: int) -> str:
    """``1 entry``, ``3 entries``."""
    return counted(count, "entry").replace("entrys", "entries")


def _so_many(today: Today) -> str:
    """How much is due, and how much of it is overdue."""
    late = sum(task.is_overdue(today.day) for task in today.due)
    return counted(len(today.due), "task") + (f", {late} overdue" if late else "")


def _named(look: Look) -> str:
    return in_short(look.units) or look.batch
