"""What must hold of a plan that was found for a season, looked at without the code that wrote it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from rich.cells import cell_len

from scheduler import document
from scheduler.checker.schedule import check_days
from scheduler.plan import Plan, Task
from scheduler.present.calendar import calendar
from scheduler.present.calendar_check import faults
from scheduler.present.terminal import show_plan
from scheduler.problem.shapes import Days, Point, Problem
from tests.present.screen import shown

RISKY = ("cook", "pasteurise", "inoculate", "test-culture", "refresh-culture", "fell", "buck", "soak-logs")
"""Kinds of task with heat, flame, blades, chain saws or deep water."""

WORK_OF = {
    "test-culture": "inoculate",
    "refresh-culture": "inoculate",
    "pasteurise": "cook",
    "buck": "fell",
    "haul": "fell",
}
"""The work of the Problem that a task of another kind belongs to."""

BOUGHT_AS = {"wood chips": "fresh hardwood chips"}
"""Supplies of a task that are ordered under another name."""

NEVER_ORDERED = ("water", "finished spawn")

DAYS_LATER = 4
"""Allowed days after the last one that a task may wait for, each of which has to break a rule."""


@dataclass(frozen=True)
class Found:
    """A plan with the answer it was written from."""

    plan: Plan
    days: Days
    problem: Problem


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
        *_slips(found),
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


def _slips(found: Found) -> Iterator[str]:
    """A task may wait until the day it says, all others as they are, and not for a day more."""
    for task in found.plan.tasks:
        works = [work for work in works_of(task) if work in found.days.pieces]
        if not works or any(len(found.days.pieces[work]) > 1 for work in works):
            continue
        last = (task.slip_to or task.on) - found.problem.origin
        if task.slip_to and (broken := check_days(found.problem, moved(found, works, last.days))):
            yield f"slip: {task.id} to {task.slip_to}: {broken[0].rule}, {broken[0].what}"
        allowed = frozenset.intersection(
            *(one.days for work in works for one in found.problem.work(work).limits)
        )
        for day in sorted(later for later in allowed if later > last.days)[:DAYS_LATER]:
            if not check_days(found.problem, moved(found, works, day)):
                yield f"slip: {task.id} to {task.slip_to}, but {found.problem.origin + timedelta(days=day)} would do"


def works_of(task: Task) -> tuple[str, ...]:
    """The works of the Problem that a task stands for; none for small work."""
    kind = WORK_OF.get(task.kind, task.kind)
    if task.kind == "cook":
        held = task.id.removeprefix("cook:").partition(":")[0].split("+")
        return tuple(f"{batch}:cook" for batch in held)
    return (f"{task.batch or task.planting}:{kind}",)


def moved(found: Found, works: Sequence[str], day: int) -> Days:
    """The same answer with some works on another day; what follows them without being work follows."""
    pieces = {name: dict(on) for name, on in found.days.pieces.items()}
    for work in works:
        pieces[work] = {day: sum(pieces[work].values())}
    return settled(found.problem, Days(pieces, found.days.cooker))


def settled(problem: Problem, days: Days) -> Days:
    """The answer with its loads counted anew, and works that nothing binds as early as others let them be."""
    pieces = {name: dict(on) for name, on in days.pieces.items()}
    for work in problem.works:
        if not (work.limits or work.tables or work.last_tables):
            behind = [lag for lag in problem.lags if lag.after == Point(work.name)]
            ends = [_at(problem, pieces, lag.before) + (lag.least or 0) for lag in behind]
            pieces[work.name] = {max(ends, default=0): 1}
    parts: dict[tuple[int, str, str], int] = {}
    cookers = {cooker.name: cooker for cooker in problem.cookers}
    for work_name, name in days.cooker.items():
        cooker = cookers[name]
        key = (min(pieces[work_name]), name, cooker.classes[work_name])
        parts[key] = parts.get(key, 0) + cooker.shares[work_name]
    return Days(pieces, days.cooker, {key: -(-part // cookers[key[1]].share) for key, part in parts.items()})


def _at(problem: Problem, pieces: Mapping[str, Mapping[int, int]], point: Point) -> int:
    work = problem.work(point.work)
    first, last = min(pieces[work.name]), max(pieces[work.name])
    if point.at in ("first", "last"):
        return first if point.at == "first" else last
    # Where a table does not know the day, some rule is broken anyway.
    return (
        work.tables[point.at].get(first, 0)
        if point.at in work.tables
        else work.last_tables[point.at].get(last, 0)
    )
