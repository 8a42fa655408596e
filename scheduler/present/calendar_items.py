"""What of a plan goes into a calendar, in words: its tasks and orders, each with its days or hours."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from scheduler.measures import Units, amount, between, duration
from scheduler.plan import Order, Plan, Task
from scheduler.present.shopping import to_buy
from scheduler.workdays import full, weekday

ORDERS = "Order"
"""Category of what is to be ordered; that of a task is its place."""

URGENT, USUAL = 1, 5
"""Priorities of RFC 5545 section 3.8.1.9: high and middle."""

_SHORTEST = timedelta(minutes=5)
"""An entry of less can hardly be seen on the page of a day."""
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]")
_LINE_BREAKS = {0x0D: "\n", 0x85: "\n", 0x2028: "\n", 0x2029: "\n"}

Hours = tuple[datetime, datetime]
"""Begin and end, with the season's time zone."""


@dataclass(frozen=True)
class Item:
    """One piece of work, or one order."""

    name: str
    """What tells it from others for good: it comes from the task, never from its day or wording."""
    first: date
    last: date
    hours: Hours | None
    summary: str
    text: str
    categories: tuple[str, ...]
    """The first is where the work is, or `ORDERS`."""
    priority: int
    tentative: bool = False
    """Whether it happens only if something else does not."""


def items(plan: Plan) -> list[Item]:
    """Every task and every order of a plan."""
    return [*_tasks(plan), *_orders(plan)]


def one_line(text: str) -> str:
    """The text on one line, without control characters."""
    return " ".join(clean(text).split())


def order_name(item: str, work: str) -> str:
    """The name of an order: what is ordered, and the first work it is for."""
    return json.dumps(["order", item, work])


def ordered(name: str) -> str | None:
    """What an order of that name orders; None for the name of a task."""
    if not name.startswith('["order"'):
        return None
    (_, item, _), _ = json.JSONDecoder().raw_decode(name)
    return str(item)


def _tasks(plan: Plan) -> Iterator[Item]:
    titles = {task.id: task.title for task in plan.tasks}
    hours = _hours(plan)
    for task in plan.tasks:
        yield Item(
            name=task.id,
            first=task.on,
            last=task.until if task.ongoing and task.until else task.on,
            hours=hours.get(task.id),
            summary=one_line(task.title),
            text=clean("\n".join(_about_task(plan, task, titles))),
            categories=(task.place.capitalize(), *(["Small"] if task.small else [])),
            priority=USUAL if task.slip_to and task.slip_to > task.on else URGENT,
        )


def _hours(plan: Plan) -> Mapping[str, Hours]:
    """Begin and end by task, on weekdays with a beginning: one task after the other in the plan's order.

    What would end after midnight, as a planting with many hands, has its day alone.
    """
    zone = ZoneInfo(plan.season.timezone)
    begins = {start.weekday: time.fromisoformat(start.at) for start in plan.season.at}
    free: dict[date, datetime] = {}
    found = {}
    for task in plan.tasks:
        # Care has a span of days, and no hour of any of them.
        if task.until is not None or (at := begins.get(weekday(task.on))) is None:
            continue
        # Reckoned in UTC, so that nothing lies in an hour that the clocks leave out.
        start = free.get(task.on) or datetime.combine(task.on, at, zone).astimezone(UTC)
        end = start + max(timedelta(minutes=task.minutes), _SHORTEST)
        if end.astimezone(zone).date() == task.on:
            found[task.id] = (start.astimezone(zone), end.astimezone(zone))
            free[task.on] = end
    return found


def _about_task(plan: Plan, task: Task, titles: Mapping[str, str]) -> Iterator[str]:
    """What the entry says, the most useful line first, as some calendars show no other."""
    longer = task.attended_minutes > task.minutes
    at_home = f"; at home: {duration(task.attended_minutes)}" if longer else ""
    spread = f" ({between(*task.spread)})" if task.spread else ""
    yield f"{task.title}. Hands: {duration(task.minutes)}{spread}{at_home}."
    if task.why:
        yield f"Why: {task.why}"
    for before in task.after:
        yield f"After: {titles.get(before, before)}"
    slip_to = task.slip_to or task.on
    if task.ongoing and task.until:
        yield f"Goes on to {full(task.until)}."
    else:
        yield f"Can wait until {full(slip_to)}." if slip_to > task.on else "Cannot wait."
    if task.supplies:
        units = plan.season.units
        yield "Supplies: " + ", ".join(amount(s.item, s.quantity, s.unit, units) for s in task.supplies)
    if task.tools:
        yield "At hand: " + "; ".join(tool.item for tool in task.tools)
    for caution in task.cautions:
        yield f"Caution: {caution}"
    for place, step in enumerate(task.steps, start=1):
        yield f"{place}. {step}"
    if task.batch:
        yield f"Batch: {task.batch}"
    if task.planting:
        yield f"Planting: {task.planting}"


def _orders(plan: Plan) -> Iterator[Item]:
    """One item for each order, on its last day; a late one on the plan's own day, where it can be seen."""
    seen: Counter[str] = Counter()
    for order in plan.orders:
        name = order_name(order.item, order.work or "/".join(order.for_))
        seen[name] += 1
        what = amount(order.item, order.quantity, order.unit, plan.season.units)
        on = plan.season.today if order.late else order.order_by
        yield Item(
            # In plans of earlier versions an order does not say its work: a second such one is the second.
            name=name if seen[name] == 1 else f"{name} {seen[name]}",
            first=on,
            last=on,
            hours=None,
            summary=one_line(f"Order {'today, late' if order.late else 'by today'}: {what}"),
            text=clean("\n".join(_about_order(order, what, plan.season.units))),
            categories=(ORDERS,),
            priority=URGENT if order.late else USUAL,
        )


def _about_order(order: Order, what: str, units: Units) -> Iterator[str]:
    yield f"Order {what}, needed on {full(order.needed_on)}."
    if order.supplier:
        yield f"From: {order.supplier}. Buy: {to_buy(order, units)}."
    if order.late:
        passed = f"The last day to order was {full(order.order_by)}"
        yield f"{passed}: buy over the counter or ask for a faster delivery."
    if order.for_:
        yield f"For: {', '.join(order.for_)}"


def clean(text: str) -> str:
    """The text without control characters (section 3.1 allows only the tab), every line break a newline."""
    return _CONTROL.sub("", text.replace("\r\n", "\n").translate(_LINE_BREAKS))
