"""A plan as an iCalendar file: each task and each order day is one all-day event.

Written for subscribing. The identity of an event comes from the season and the task, never from its day or
wording, so a moved task moves in every calendar that follows the file. RFC numbers stand where a rule is not
obvious. An equal plan gives equal bytes.
"""

from __future__ import annotations

import json
import unicodedata
from collections import Counter
from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime, time, timedelta
from uuid import UUID, uuid5

from icalendar import Calendar, Event, vDuration, vText

from scheduler.errors import Fault, UsageError
from scheduler.measures import Units, amount, between, duration
from scheduler.plan import Order, Plan, Task
from scheduler.present.shopping import to_buy
from scheduler.workdays import full

NAMESPACE = UUID("3d0c8a5e-6f2b-5d41-9c7a-b1e4f0a29d66")
"""Under which the ids of all events are made. Never changed: calendars would show every event twice."""

PRODID = "-//Budswell//Season calendar//EN"
REFRESH = timedelta(hours=6)
_LINE_BREAKS = {0x0D: "\n", 0x85: "\n", 0x2028: "\n", 0x2029: "\n"}


def calendar(plan: Plan) -> bytes:
    """The plan's tasks and orders as an iCalendar file (RFC 5545, RFC 7986), ready to be written or served.

    Raises UsageError where the plan has neither, since a calendar without an event is not a calendar and
    makes subscribers empty theirs.
    """
    events = [*_tasks(plan), *_orders(plan)]
    if not events:
        found = "the plan has no work and nothing to order"
        raise UsageError(Fault(plan.season.name, found, "a plan with at least one task"))
    stopped = ", of a search that was interrupted" if plan.status == "stopped" else ""
    season = one_line(plan.season.name)
    return file_of(events, name=season, description=f"Work and order days of {season}{stopped}")


def file_of(events: Iterable[Event], *, name: str, description: str, color: str = "olivedrab") -> bytes:
    """Events as a file that can be subscribed to."""
    result = Calendar()
    result.add("prodid", PRODID)
    result.add("version", "2.0")
    result.add("calscale", "GREGORIAN")
    for key in ("name", "x-wr-calname"):
        result.add(key, vText(name))  # text in RFC 7986, which the library would not escape by itself
    result.add("description", description)
    result.add("color", color)
    # The library leaves out VALUE, which RFC 7986 section 5.7 requires.
    result.add("refresh-interval", REFRESH, parameters={"VALUE": "DURATION"})
    result.add("x-published-ttl", vDuration(REFRESH))
    for event in sorted(events, key=lambda event: str(event["UID"])):
        result.add_component(event)
    return bytes(result.to_ical())


def _tasks(plan: Plan) -> Iterator[Event]:
    titles = {task.id: task.title for task in plan.tasks}
    for task in plan.tasks:
        yield event_of(
            plan,
            identity=task.id,
            on=task.on,
            summary=task.title,
            lines=_about_task(plan, task, titles),
            categories=[task.place.capitalize(), *(["Small"] if task.small else [])],
        )


def _about_task(plan: Plan, task: Task, titles: dict[str, str]) -> Iterator[str]:
    """What the event says, the most useful line first, as some calendars show no other."""
    longer = task.attended_minutes > task.minutes
    at_home = f"; at home: {duration(task.attended_minutes)}" if longer else ""
    spread = f" ({between(*task.spread)})" if task.spread else ""
    yield f"{task.title}. Hands: {duration(task.minutes)}{spread}{at_home}."
    if task.why:
        yield f"Why: {task.why}"
    for before in task.after:
        yield f"After: {titles.get(before, before)}"
    slip_to = task.slip_to or task.on
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


def _orders(plan: Plan) -> Iterator[Event]:
    """One event for each order, on its last day; a late one on the plan's own day, where it can be seen."""
    seen: Counter[str] = Counter()
    for order in plan.orders:
        # An order has no id: what is ordered, and for what, names it; a second such order is the second.
        name = json.dumps(["order", order.item, *order.for_])
        seen[name] += 1
        what = amount(order.item, order.quantity, order.unit, plan.season.units)
        yield event_of(
            plan,
            identity=f"{name} {seen[name]}",
            on=plan.season.today if order.late else order.order_by,
            summary=f"Order {'today, late' if order.late else 'by today'}: {what}",
            lines=_about_order(order, what, plan.season.units),
            categories=["Order"],
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


def event_of(
    plan: Plan,
    *,
    identity: str,
    on: date,
    summary: str,
    lines: Iterable[str],
    categories: list[str],
    status: str = "CONFIRMED",
) -> Event:
    """One all-day event; `identity` is what it is, of this season, whatever its day and wording."""
    event = Event()
    event.add("uid", str(uuid5(NAMESPACE, json.dumps([plan.season.id, identity, "VEVENT"]))))
    # Without METHOD, DTSTAMP is when the data was last revised (section 3.8.7.2), not when it was written.
    revised = datetime.combine(plan.season.today, time(), UTC)
    for name in ("dtstamp", "created", "last-modified"):
        event.add(name, revised)
    event.add("sequence", 0)
    event.add("dtstart", on)
    # The end is the day after, exclusive (section 3.6.1), and written out because some programs need it.
    event.add("dtend", on + timedelta(days=1))
    event.add("summary", one_line(summary))
    event.add("description", _clean("\n".join(lines)))
    event.add("categories", categories)
    event.add("status", status)
    # A day with work on it is not a day on which nothing else can be arranged.
    event.add("transp", "TRANSPARENT")
    event.add("x-microsoft-cdo-busystatus", "FREE")
    return event


def one_line(text: str) -> str:
    """A text without line breaks and control characters."""
    return " ".join(_clean(text).split())


def _clean(text: str) -> str:
    """The text without control characters (section 3.1 allows only the tab), every line break a newline."""
    text = text.replace("\r\n", "\n").translate(_LINE_BREAKS)
    return "".join(char for char in text if char in "\t\n" or unicodedata.category(char) not in ("Cc", "Cs"))
