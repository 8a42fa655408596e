"""Whether tasks and orders can be followed: ids, order, cautions, slips, and what has to be bought."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import asdict

from scheduler.checker.bounds import LEAD_OF_STAGE, RISKY_KINDS, TWO_PERSON_KG
from scheduler.checker.case import Case, Check


def task_ids(case: Case) -> Iterator[str]:
    """No two tasks have the same id."""
    for task_id, times in Counter(task.id for task in case.plan.tasks).items():
        if times > 1:
            yield f"{task_id} is there {times} times"


def after(case: Case) -> Iterator[str]:
    """What a task comes after is a task of the plan and does not lie later."""
    on = {task.id: task.on for task in case.plan.tasks}
    for task in case.plan.tasks:
        for earlier in task.after:
            if earlier not in on:
                yield f"{task.id} comes after {earlier}, which is not there"
            elif on[earlier] > task.on:
                yield f"{task.id} on {task.on} comes after {earlier} on {on[earlier]}"


def belongs(case: Case) -> Iterator[str]:
    """A task's batch and planting are batches and plantings of the plan."""
    for task in case.plan.tasks:
        if task.batch is not None and task.batch not in case.batches:
            yield f"{task.id}: there is no batch {task.batch}"
        if task.planting is not None and task.planting not in case.dated:
            yield f"{task.id}: there is no planting {task.planting}"


def cautions(case: Case) -> Iterator[str]:
    """Where the work can hurt, the task carries a caution; so does hauling what takes two to lift."""
    heavy = {demand.planting for demand in case.sizing.demands if demand.heaviest_piece_kg > TWO_PERSON_KG}
    for task in case.plan.tasks:
        risky = task.kind in RISKY_KINDS or (task.kind == "haul" and task.planting in heavy)
        if risky and not any(caution.strip() for caution in task.cautions):
            yield f"{task.id} ({task.kind}) carries no caution"


def slip(case: Case) -> Iterator[str]:
    """A task slips to a later day, and never to a day away."""
    for task in case.plan.tasks:
        if task.slip_to is not None and (task.slip_to < task.on or task.slip_to in case.away):
            yield f"{task.id} on {task.on} slips to {task.slip_to}"


def order_days(case: Case) -> Iterator[str]:
    """An order is placed one of the season's lead times ahead, and says so where that day has passed."""
    leads = set(asdict(case.season.lead).values())
    for order in case.plan.orders:
        if (order.needed_on - order.order_by).days not in leads:
            yield f"{order.item}: ordered {order.order_by}, needed {order.needed_on}"
        if order.late != (order.order_by < case.season.today):
            yield f"{order.item}: late is {order.late}, ordered {order.order_by}, today {case.season.today}"


def there_in_time(case: Case) -> Iterator[str]:
    """Whatever is ordered at all is there for each task that uses it up."""
    for task in case.plan.tasks:
        for supply in task.supplies:
            arrives = [order.needed_on for order in case.plan.orders if order.item == supply.item]
            if arrives and min(arrives) > task.on:
                yield f"{supply.item} for {task.id} on {task.on} is there on {min(arrives)}"


def bought(case: Case) -> Iterator[str]:
    """Bought culture, grain and spawn have an order with their own lead time, for their plantings."""
    leads = asdict(case.season.lead)
    for batch, spec in case.pairs:
        if spec.state != "bought":
            continue
        lead = leads[LEAD_OF_STAGE[batch.stage]]
        by = min((*case.needed_on(batch), batch.ready_on))
        if not any(
            set(order.for_) & set(batch.plantings)
            and (order.needed_on - order.order_by).days == lead
            and order.needed_on <= by
            for order in case.plan.orders
        ):
            yield f"{batch.id}: no order brings it by {by}"


CHECKS: Mapping[str, Check] = {
    "task-ids": task_ids,
    "after": after,
    "task-belongs": belongs,
    "cautions": cautions,
    "slip": slip,
    "order-day": order_days,
    "ordered-in-time": there_in_time,
    "bought-ordered": bought,
}
