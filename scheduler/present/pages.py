"""The plain words of the page of one day: what is due, what comes next, what to order and to look at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.measures import Units
from scheduler.plan import Leftover, Order, Plan, Task
from scheduler.present.shopping import enough
from scheduler.present.states import Look, waiting
from scheduler.progress import Progress

WEEK = timedelta(days=7)


@dataclass(frozen=True)
class Today:
    """One day of a season under way."""

    season: str
    plan_no: int | None
    day: date
    due: tuple[Task, ...]
    """Open tasks up to this day, overdue ones first; ``done 2`` means the second."""
    week: tuple[Task, ...]
    """Open tasks of the seven days after it."""
    orders: tuple[Order, ...]
    """Orders not placed yet with a last day up to the end of these seven days, of what is still needed."""
    checks: tuple[Look, ...]
    units: Units = "metric"
    later: Task | None = None
    """The first open task after these seven days."""
    path: str = "SEASON"
    """The season as it is named on the command line."""
    left: tuple[Leftover, ...] = ()
    """Finished spawn that is left over of plantings that are done."""


def page_of(
    plan: Plan,
    progress: Progress,
    day: date,
    due: Sequence[Task],
    path: str = "SEASON",
    left: tuple[Leftover, ...] = (),
) -> Today:
    """The page of a day; `due` are the tasks up to it, in the order in which they are numbered."""
    ahead = [task for task in plan.tasks if task.on > day and task.id not in progress.done]
    week = [task for task in ahead if task.on <= day + WEEK]
    later = sorted((task for task in ahead if task.on > day + WEEK), key=lambda task: task.on)
    orders = [o for o in plan.orders if o.order_by <= day + WEEK and o.needed_on >= day]
    orders = [order for order in orders if not placed(order, plan, progress) and not enough(order)]
    return Today(
        season=plan.season.name,
        plan_no=plan.plan_no,
        day=day,
        due=tuple(due),
        week=tuple(sorted(week, key=lambda task: task.on)),
        orders=tuple(sorted(orders, key=lambda order: order.order_by)),
        checks=waiting(plan, progress, day),
        units=plan.season.units,
        later=later[0] if later else None,
        path=path,
        left=left,
    )


def placed(order: Order, plan: Plan, progress: Progress) -> bool:
    """Whether an order is placed: what was due by then, or the next of its kind where that is news."""
    days = [on for on in (progress.bought.get(order.item), progress.received.get(order.item)) if on]
    if not days:
        return False
    first = min(other.order_by for other in plan.orders if other.item == order.item)
    return order.order_by <= max(days) or (max(days) > plan.season.today and order.order_by == first)
