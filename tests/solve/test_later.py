"""Whole days with work are moved later, where that costs nothing."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from scheduler.problem.shapes import DayCost, Days, Lag, Limit, Point, Problem, Push, Work
from scheduler.solve.later import later_days

GRAIN = Work("grain", (Limit("hours", frozenset({0, 2, 5})),))
LABELS = Work("labels", (Limit("hours", frozenset({0, 2, 5})),))
BAGS = Work("bags", (Limit("hours", frozenset({3, 6, 9})),))
PROBLEM = Problem(
    date(2027, 1, 1),
    9,
    (GRAIN, LABELS, BAGS),
    lags=(Lag("grown", Point("grain"), Point("bags"), 1, 4),),
    day_cost=DayCost(60, frozenset(), {"grain": 10, "labels": 5, "bags": 20}),
    pushes=(tuple(Push(Point(name), late=True) for name in ("bags", "grain", "labels")),),
)
DAYS = Days({"grain": {0: 1}, "labels": {0: 1}, "bags": {3: 1}})


def test_days_move_as_wholes_as_late_as_all_their_works_can() -> None:
    """Bags wait for the grain: first its day goes to 2, then theirs to 6, then 5 and 9; labels stay with the grain."""
    assert later_days(PROBLEM, DAYS) == {5, 9}


def test_a_day_that_holds_other_work_stays() -> None:
    """Where labels are not to be pushed late, neither they nor the grain of the same day are moved."""
    pushes = (tuple(Push(Point(name), late=name != "labels") for name in ("bags", "grain", "labels")),)
    assert later_days(replace(PROBLEM, pushes=pushes), DAYS) == {0, 3}


def test_no_day_moves_to_a_dearer_one() -> None:
    """Day 2 is not a preferred one."""
    cost = DayCost(60, frozenset({2}), {"grain": 10, "labels": 5, "bags": 20})
    assert later_days(replace(PROBLEM, day_cost=cost), DAYS) == {0, 3}
