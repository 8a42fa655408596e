"""Moves whole days with work to later ones, before polish settles what lies on which of them.

The fewest days with work can often be had on earlier or on later days, at the same cost; spawn that is made
later waits less. What comes of it is a wish, not yet an answer: the solver decides whether it holds.
"""

from __future__ import annotations

from scheduler.problem.shapes import Days, Problem
from scheduler.problem.usage import Usage
from scheduler.solve.aims import TIERS, workers, worth


def later_days(problem: Problem, days: Days) -> set[int]:
    """Days with work when each that holds only works to be pushed late lies as late as all its works can.

    Everything else stays where it is, and no aim gets worse.
    """
    pushes = [push for group in problem.pushes for push in group]
    late = {push.point.work for push in pushes} - {push.point.work for push in pushes if not push.late}
    busy = workers(problem)
    pieces = {name: dict(on) for name, on in days.pieces.items()}
    usage, cost = Usage(problem, days), _cost(problem, days)
    moved = True
    while moved:
        moved = False
        for day in sorted({day for name in busy for day in pieces[name]}, reverse=True):
            names = [name for name in busy if day in pieces[name]]
            far = usage.slip(*names) if late.issuperset(names) else None
            if far is None:
                continue
            before = {name: usage.take(name) for name in names}
            for name in names:
                usage.put(name, far)
            wish = {**pieces, **{name: {far: sum(on.values())} for name, on in before.items()}}
            if _cost(problem, Days(wish, days.cooker, usage.all_loads())) <= cost:
                pieces, moved = wish, True
                continue
            for name in names:
                usage.take(name)
            for name, on in before.items():
                usage.put_back(name, on)
    return {day for name in busy for day in pieces[name]}


def _cost(problem: Problem, days: Days) -> list[int]:
    """What an answer costs, tier by tier."""
    return [worth(problem, days, number) for number in sorted(TIERS)]
