"""What must hold of a plan that was found for a season, looked at without the code that wrote it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from rich.cells import cell_len

from scheduler import document
from scheduler.plan import Plan
from scheduler.present.calendar_check import faults
from scheduler.present.terminal import show_plan
from tests.present.exports import calendar
from tests.present.screen import shown
from tests.seasons.slips import Found, slips

RISKY = ("cook", "pasteurise", "inoculate", "test-culture", "refresh-culture", "fell", "buck", "soak-logs")
"""Kinds of task with heat, flame, blades, chain saws or deep water."""

BOUGHT_AS = {"wood chips": "fresh hardwood chips"}
"""Supplies of a task that are ordered under another name."""

NEVER_ORDERED = ("water", "finished spawn")


def wrong(found: Found) -> list[str]:
    """Everything that is wrong with a plan."""
    plan = found.plan
    return [
        *_document(plan),
        *_calendar(plan),
        *_screen(plan),
        *_orders(plan),
        *_tasks(plan),
        *_batches(plan),
        *slips(found),
    ]


def _document(plan: Plan) -> Iterator[str]:
    if document.from_json(document.to_json(plan)) != plan:
        yield "the document is not read back as the same plan"


def _calendar(plan: Plan) -> Iterator[str]:
    data = calendar(replace(plan, plan_no=1))
    yield from (f"calendar: {fault}" for fault in faults(data))
    if data.count(b"BEGIN:VEVENT") != len(plan.tasks) + len(plan.orders):
        yield "calendar: not one event for each task and order"


def _screen(plan: Plan) -> Iterator[str]:
    for width in (80, 120):
        for line in shown(show_plan, replace(plan, plan_no=1), width=width).splitlines():
            if cell_len(line) > width:
                yield f"screen: {cell_len(line)} of {width} columns: {line}"


def _orders(plan: Plan) -> Iterator[str]:
    """Whatever is bought, or used up by a task, has been ordered: enough of it, in time."""
    yield from (f"orders: {order.item} is late in a new plan" for order in plan.orders if order.late)
    for batch in plan.batches:
        what = [
            order
            for order in plan.orders
            if batch.species in order.item and set(order.for_) & set(batch.plantings)
        ]
        if batch.state == "bought" and not any(order.needed_on <= batch.use_on[0] for order in what):
            yield f"orders: {batch.id} is bought, but nothing brings it"
    used: dict[str, float] = {}
    first: dict[str, date] = {}
    for task in plan.tasks:
        for supply in task.supplies:
            item = BOUGHT_AS.get(supply.item, supply.item)
            if item not in NEVER_ORDERED and not item.startswith(("of ", "ready ")):
                used[item] = used.get(item, 0.0) + supply.quantity
                first[item] = min(first.get(item, task.on), task.on)
    for item, quantity in used.items():
        orders = [order for order in plan.orders if order.item == item]
        if sum(order.quantity for order in orders) < quantity - 0.5:
            yield f"orders: {quantity:g} of {item} are used, {sum(o.quantity for o in orders):g} ordered"
        elif min(order.needed_on for order in orders) > first[item]:
            yield f"orders: {item} is used on {first[item]} and comes later"


def _tasks(plan: Plan) -> Iterator[str]:
    on = {task.id: task.on for task in plan.tasks}
    if len(on) < len(plan.tasks):
        yield "tasks: two of one id"
    for task in plan.tasks:
        if task.kind in RISKY and not task.cautions:
            yield f"tasks: {task.id} carries no caution"
        yield from (
            f"tasks: {task.id} comes after {other}"
            for other in task.after
            if on.get(other, date.max) > task.on
        )
        if task.slip_to is not None and task.slip_to <= task.on:
            yield f"tasks: {task.id} on {task.on} slips to {task.slip_to}"


def _batches(plan: Plan) -> Iterator[str]:
    units = [unit.id for batch in plan.batches for unit in batch.units]
    if len(set(units)) < len(units):
        yield "batches: two units of one id"
    for batch in plan.batches:
        if batch.redo_by and batch.inoculate_on and batch.redo_by < batch.inoculate_on:
            yield f"batches: {batch.id} made on {batch.inoculate_on}, made again by {batch.redo_by}"
        if any(day < batch.ready_on for day in batch.use_on):
            yield f"batches: {batch.id} is used before {batch.ready_on}"
