"""Whether an answer to a Problem may stand, and what it is worth: from the Problem's own words alone."""

from __future__ import annotations

from collections import Counter

from scheduler.checker import capacity, works
from scheduler.checker.violation import Violation
from scheduler.checker.works import day_of
from scheduler.problem.shapes import DayCost, Days, Point, Problem, Term

DAY_COST_TIER = 5

STRUCTURAL = ("pieces", "least", "span", "cooker", "loads", "empty-load", "horizon")
"""Rules that hold in every problem and so have no name of their own in it."""

_CHECKS = (
    works.pieces,
    works.limits,
    works.tables,
    works.spread,
    works.lags,
    works.horizon,
    capacity.day_limits,
    capacity.assigned,
    capacity.loads,
    capacity.rooms,
    capacity.aparts,
)


def check_days(problem: Problem, days: Days) -> list[Violation]:
    """Names every rule of the problem that the answer breaks; an empty list means that it may stand.

    Raises KeyError where the problem itself names a work or a table that it does not have.
    """
    return [violation for check in _CHECKS for violation in check(problem, days)]


def value(problem: Problem, days: Days) -> dict[int, int]:
    """Adds up each tier's aims for an answer that may stand, the cost of days with work in tier 5.

    Raises KeyError where a point of an aim has no day.
    """
    tiers: Counter[int] = Counter()
    for term in problem.terms:
        tiers[term.tier] += _worth(problem, days, term)
    if problem.day_cost is not None:
        tiers[DAY_COST_TIER] += _days_with_work(problem.day_cost, days)
    return dict(sorted(tiers.items()))


def _worth(problem: Problem, days: Days, term: Term) -> int:
    amount = term.offset
    if term.plus is not None:
        amount += _surely(problem, days, term.plus)
    if term.minus is not None:
        amount -= _surely(problem, days, term.minus)
    if amount <= 0:
        return 0
    return term.weight if term.flat else term.weight * amount


def _surely(problem: Problem, days: Days, point: Point) -> int:
    day = day_of(problem, days, point)
    if day is None:
        raise KeyError(f"{point.work}.{point.at}")
    return day


def _days_with_work(cost: DayCost, days: Days) -> int:
    used = {day for name in cost.minutes for day in days.pieces.get(name, {})}
    used |= {day for (day, _, _), count in days.loads.items() if count}
    worked = sum(
        done * minutes
        for name, minutes in cost.minutes.items()
        for day, done in days.pieces.get(name, {}).items()
        if day in cost.dear
    )
    cooked = sum(
        count * cost.loads.get((cooker, time_class), 0)
        for (day, cooker, time_class), count in days.loads.items()
        if day in cost.dear
    )
    return cost.each * len(used) + worked + cooked
