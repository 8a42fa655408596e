"""Whether tasks and orders can be followed: ids, order, cautions, slips, and what has to be bought."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import asdict
from datetime import date, timedelta

from scheduler.checker.bounds import (
    FIRST_CHECK_DAYS,
    LAST_SHAKE_DAYS,
    LEAD_OF_STAGE,
    RISKY_KINDS,
    TWO_PERSON_KG,
)
from scheduler.checker.case import Case, Check
from scheduler.plan import Task
from scheduler.workdays import ONE_DAY

EVE_KINDS = ("soak-grain", "wet-pellets", "soak-dowels", "prepare", "take-out")
"""Done on the evening before something else, and so at the last moment already."""
ROUNDED = 1e-3
"""Share of an order that rounding its numbers may take off what its packs hold."""


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
    """A task's batch and planting are batches and plantings of the plan, or stand already."""
    standing = {one.name for one in case.season.standing}
    for task in case.plan.tasks:
        if task.batch is not None and task.batch not in case.batches:
            yield f"{task.id}: there is no batch {task.batch}"
        if task.planting is not None and task.planting not in case.dated and task.planting not in standing:
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
        if task.slip_to is not None and (task.slip_to <= task.on or task.slip_to in case.away):
            yield f"{task.id} on {task.on} slips to {task.slip_to}"


def slip_after(case: Case) -> Iterator[str]:
    """A small task waits no longer than what comes after it: work stays, small tasks may wait themselves."""
    tasks = {task.id: task for task in case.plan.tasks}
    for later in case.plan.tasks:
        last = (later.slip_to or later.on) if later.small else later.on
        for earlier in filter(None, map(tasks.get, later.after)):
            if earlier.small and earlier.slip_to is not None and earlier.slip_to > last:
                yield f"{earlier.id} slips to {earlier.slip_to}, {later.id} waits until {last}"


def slip_band(case: Case) -> Iterator[str]:
    """A small task waits within its band: it is of no use later, or what it is for is over."""
    for task in case.plan.tasks:
        last = _last_day(case, task)
        if task.slip_to is not None and last is not None and task.slip_to > last:
            yield f"{task.id} slips to {task.slip_to}, its band ends on {last}"


def _last_day(case: Case, task: Task) -> date | None:
    """End of a small task's band; None where nothing is known of one."""
    if task.kind == "prepare" and task.batch is None:
        return _ahead_until(case, task)
    if task.kind in EVE_KINDS:
        return task.on
    if task.kind in ("weigh", "soak-logs"):
        planting = case.dated.get(task.planting or "")
        return min(planting.plant_on) - ONE_DAY if planting and planting.plant_on else None
    batch = case.batches.get(task.batch or "")
    if batch is None or batch.inoculate_on is None:
        return None
    begun = batch.id in case.begun
    if begun and task.on == case.season.today:
        return None  # it may be late already: then it is due at once
    used = min(case.needed_on(batch), default=batch.ready_on)
    if task.kind == "shake" and not case.needed_on(batch):
        return batch.ready_on  # it is left over: nothing waits for it to recover
    if task.kind == "shake":
        return min(used - LAST_SHAKE_DAYS * ONE_DAY, batch.ready_on)
    is_first = task.on == min(batch.check_on, default=None) and not begun
    if task.kind == "check" and task.on < batch.ready_on and is_first:
        return batch.inoculate_on + FIRST_CHECK_DAYS[1] * ONE_DAY
    return used if task.kind in ("keep-back", "move-to-fridge") else None


def _ahead_until(case: Case, task: Task) -> date:
    """The day before the first work that a check ahead is for."""
    first = min((later.on for later in case.plan.tasks if task.id in later.after), default=task.on)
    return max(task.on, first - ONE_DAY)


def order_days(case: Case) -> Iterator[str]:
    """An order is placed one of the season's lead times ahead, and says so where that day has passed."""
    leads = set(asdict(case.season.lead).values())
    for order in case.plan.orders:
        if (order.needed_on - order.order_by).days not in leads:
            yield f"{order.item}: ordered {order.order_by}, needed {order.needed_on}"
        if order.late != (order.order_by < case.season.today):
            yield f"{order.item}: late is {order.late}, ordered {order.order_by}, today {case.season.today}"


def packs_cover(case: Case) -> Iterator[str]:
    """What is rounded up to packs is enough: packs and what earlier ones leave over hold what is ordered."""
    for order in case.plan.orders:
        held = sum(pack.count * pack.holds for pack in order.packs) + order.left_over
        if (order.packs or order.left_over) and held < order.quantity * (1 - ROUNDED):
            yield f"{order.item}: {order.quantity:g} {order.unit} ordered, packs and rests hold {held:g}"


def can_be_there(case: Case) -> Iterator[str]:
    """Ordered on the plan's own day, grain, media, supplies, chips and logs are there when they are used."""
    for what, work, lead, first in _first_uses(case):
        if work in case.sizing.supplied:
            continue
        could = case.season.today + timedelta(days=lead)
        if first < could:
            yield f"{what} is needed on {first} and cannot be there before {could}"


def _first_uses(case: Case) -> Iterator[tuple[str, str, int, date]]:
    """What is bought for which work, its lead time, and the day on which it has to be there."""
    lead = case.season.lead
    for batch, spec in case.pairs:
        if batch.id in case.begun or spec.cooked_on is not None:
            continue
        if batch.cook_on is not None:
            days = lead.grain if batch.stage == "grain" else lead.supplies
            eve = timedelta(days=0 if spec.treatment == "tub" else 1)
            yield f"what {batch.id} is made of", f"{batch.id}:cook", days, batch.cook_on - eve
        elif batch.inoculate_on is not None:
            yield f"the medium of {batch.id}", f"{batch.id}:inoculate", lead.supplies, batch.inoculate_on
    for planting, wish in case.plantings:
        name = planting.name
        if planting.plant_on and name in case.demands and case.demands[name].supplies:
            yield f"what {name} takes", f"{name}:plant", lead.supplies, min(planting.plant_on)
        for task in case.tasks("prepare-chips", planting=name):
            yield f"the chips for {name}", f"{name}:prepare-chips", lead.chips, task.on
        if case.season.people.felling == "bought" and not case.is_down(wish) and planting.fell_on:
            yield f"the wood for {name}", f"{name}:fell", lead.supplies, min(planting.fell_on)


def there_in_time(case: Case) -> Iterator[str]:
    """Whatever is ordered at all is there for each task that uses it up."""
    for task in case.plan.tasks:
        for supply in task.supplies:
            if supply.item in case.progress.bought or supply.item in case.progress.received:
                continue
            arrives = [order.needed_on for order in case.plan.orders if order.item == supply.item]
            if arrives and min(arrives) > task.on:
                yield f"{supply.item} for {task.id} on {task.on} is there on {min(arrives)}"


def bought(case: Case) -> Iterator[str]:
    """Bought culture, grain and spawn have an order with their own lead time, for their plantings."""
    leads = asdict(case.season.lead)
    for batch, spec in case.pairs:
        if spec.state != "bought" or spec.ordered_on is not None:
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
    "slip-after": slip_after,
    "slip-band": slip_band,
    "order-day": order_days,
    "order-packs": packs_cover,
    "lead-times": can_be_there,
    "ordered-in-time": there_in_time,
    "bought-ordered": bought,
}
