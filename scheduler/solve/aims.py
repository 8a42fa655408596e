"""The aims of a Problem as expressions, and what an answer is worth by them."""

from __future__ import annotations

from collections import defaultdict

from scheduler.problem.shapes import DayCost, Days, Problem, Term
from scheduler.solve.rules import Loads
from scheduler.solve.variables import Here, Linear, Variables

DAYS = 5
"""The tier of days with work; it has no terms."""
TIERS = {1: "moved tasks", 2: "moved days", 3: "margin", 4: "risk", DAYS: "days"}
"""Names of the tiers, in the order in which they are met."""


def ideal(model: Variables, aim: Term) -> None:
    """An aim costs nothing."""
    model.require(model.point(aim.plus) - model.point(aim.minus) <= -aim.offset)


def tier(model: Variables, number: int, loads: Loads) -> Linear:
    """What a tier costs in all."""
    if number == DAYS:
        cost = model.problem.day_cost
        return 0 if cost is None else _days_with_work(model, cost, loads)
    return sum([_term(model, aim) for aim in model.problem.terms if aim.tier == number])


def _term(model: Variables, aim: Term) -> Linear:
    """What an aim costs: its weight for each day above zero, or once where it is flat."""
    (early, late), (soon, far) = model.reach(aim.plus), model.reach(aim.minus)
    least, most = aim.offset + early - far, aim.offset + late - soon
    if most <= 0:
        return 0
    if aim.flat and least > 0:
        return aim.weight
    above = aim.offset + model.point(aim.plus) - model.point(aim.minus)
    if least >= 0 and not aim.flat:
        return aim.weight * above
    if aim.flat:
        costs = model.boolean(f"aim {aim.name}")
        model.cp.add(above <= 0).only_enforce_if(~costs)
    else:
        costs = model.between(0, most, f"aim {aim.name}")
        model.cp.add(costs >= above)
    return aim.weight * costs


def _days_with_work(model: Variables, cost: DayCost, loads: Loads) -> Linear:
    """Every day with work costs its price, and its minutes where it is dear."""
    here: dict[int, list[Here]] = defaultdict(list)
    for name in workers(model.problem):
        for day, on in model.on[name].items():
            here[day].append(on)
    parts: list[Linear] = []
    for day, works in sorted(here.items()):
        used: Linear = 1
        if not any(isinstance(on, int) for on in works):
            used = model.boolean(f"used {day}")
            for on in works:
                model.implies(on, used)
        parts.append(cost.each * used)
    for name, minutes in cost.minutes.items():
        parts += [minutes * pieces for day, pieces in model.pieces[name].items() if day in cost.dear]
    for (day, cooker, time_class), count in loads.items():
        if day in cost.dear:
            parts.append(cost.loads.get((cooker, time_class), 0) * count)
    return sum(parts)


def workers(problem: Problem) -> list[str]:
    """Works that make a day a day with work: those that have minutes, and those that are cooked."""
    if problem.day_cost is None:
        return []
    cooked = {name for cooker in problem.cookers for name in cooker.shares}
    return [
        work.name for work in problem.works if work.name in cooked or work.name in problem.day_cost.minutes
    ]


def worth(problem: Problem, days: Days, number: int) -> int:
    """What an answer costs in one tier, counted without a solver."""
    if number == DAYS:
        return 0 if problem.day_cost is None else _worth_of_days(problem, problem.day_cost, days)
    return sum(_worth_of(problem, days, aim) for aim in problem.terms if aim.tier == number)


def _worth_of(problem: Problem, days: Days, aim: Term) -> int:
    plus = 0 if aim.plus is None else days.at(problem, aim.plus)
    minus = 0 if aim.minus is None else days.at(problem, aim.minus)
    above = max(0, aim.offset + plus - minus)
    return aim.weight * (min(1, above) if aim.flat else above)


def _worth_of_days(problem: Problem, cost: DayCost, days: Days) -> int:
    used = {day for name in workers(problem) for day in days.pieces[name]}
    bench = [
        count * minutes
        for name, minutes in cost.minutes.items()
        for day, count in days.pieces[name].items()
        if day in cost.dear
    ]
    cooking = [
        count * cost.loads.get((cooker, time_class), 0)
        for (day, cooker, time_class), count in days.loads.items()
        if day in cost.dear
    ]
    return cost.each * len(used) + sum(bench) + sum(cooking)
