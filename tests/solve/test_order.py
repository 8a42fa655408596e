"""Equal batches in order: no plan is lost by it, and batches that are not equal are left alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from random import Random

import pytest

from scheduler.problem.shapes import (
    Cooker,
    DayCost,
    DayLimit,
    Lag,
    Limit,
    Point,
    Problem,
    Room,
    Stay,
    Term,
    Work,
)
from scheduler.problem.tighten import Windows, tighten
from scheduler.solve.model import Model, Wanted
from scheduler.solve.params import Budget
from scheduler.solve.search import Found, Refused, solve
from tests.solve.brute import answers, cost

HORIZON = 7
BATCHES = (("cook a", "start a"), ("cook b", "start b"))


def batches(random: Random, *, falling: bool = False, flat: bool = False) -> Problem:
    """Two equal batches for one planting; `falling` tables end earlier for a later start."""
    allowed = Limit("away", frozenset(d for d in range(HORIZON + 1) if random.random() < 0.8))
    table = {d: d + random.choice((1, 2)) for d in range(HORIZON - 1)}
    if not falling:
        top = 0
        for d, ready in table.items():
            top = table[d] = max(top, ready)
    works = [
        work
        for cook, start in BATCHES
        for work in (Work(cook, (allowed,)), Work(start, (allowed,), {"ready": table}))
    ]
    works.append(Work("plant", (Limit("window", frozenset(range(3, HORIZON + 1))),)))
    wait, fresh = random.choice((0, 1)), random.choice((1, 3, None))
    lags = [lag for cook, start in BATCHES for lag in _lags(cook, start, wait, fresh)]
    margin, soon = random.choice((1, 2)), random.choice((0, 1))
    terms = [
        term
        for cook, start in BATCHES
        for term in (
            Term(f"margin {start}", 3, 2, margin, Point(start, "ready"), Point("plant")),
            Term(f"soon {start}", 4, 3, -soon, Point(start), Point(cook), flat=flat),
            Term(f"late {start}", 4, 1, -2, Point(start)),
        )
    ]
    minutes = {work.name: 1 for work in works}
    stays = tuple(Stay(Point(start), Point(start, "ready"), 1) for _, start in BATCHES)
    return Problem(
        date(2026, 1, 1),
        HORIZON,
        tuple(works),
        tuple(lags),
        (DayLimit("hands", "hands", dict.fromkeys(range(HORIZON + 1), random.choice((1, 2, 3))), minutes),),
        (
            Cooker(
                "pot",
                "pot",
                random.choice((1, 2)),
                2,
                {"cook a": 2, "cook b": 2},
                {"cook a": "bags", "cook b": "bags"},
            ),
        ),
        (Room("shelf", "shelf", random.choice((1, 2)), stays),),
        terms=tuple(terms),
        day_cost=DayCost(5, frozenset({0, 2}), minutes),
        equals=(BATCHES,),
    )


def _lags(cook: str, start: str, wait: int, fresh: int | None) -> tuple[Lag, ...]:
    return (
        Lag(f"rest {start}", Point(cook), Point(start), wait, 3),
        Lag("ripe", Point(start, "ready"), Point("plant"), 0, fresh),
    )


def ordered_stages(problem: Problem) -> int:
    """How many stages of the two batches are put in order."""
    left = tighten(problem)
    assert isinstance(left, Windows)
    with_order, without = (
        len(Model(problem, left, Wanted(), ordered=o).cp.proto.constraints) for o in (True, False)
    )
    return with_order - without


@pytest.mark.parametrize("seed", range(60))
@pytest.mark.parametrize("kind", [{}, {"falling": True}, {"flat": True}], ids=["rising", "falling", "flat"])
def test_order_loses_no_optimum(seed: int, kind: Mapping[str, bool]) -> None:
    """With the batches in order every tier is as good as the best of all answers."""
    problem = batches(Random(seed), **kind)
    everything = [tuple(cost(problem, days, tier) for tier in (3, 4, 5)) for days in answers(problem)]
    outcome = solve(problem, budget=Budget())
    if not everything:
        assert outcome == Refused(confirmed=True)
        return
    assert isinstance(outcome, Found)
    assert tuple(cost(problem, outcome.days, tier) for tier in (3, 4, 5)) == min(everything)
    assert outcome.days.first("cook a") <= outcome.days.first("cook b")


def test_equal_batches_are_ordered_at_every_stage() -> None:
    """Two batches alike in everything are sorted at both their stages."""
    assert ordered_stages(batches(Random(1))) == 2


def test_only_the_first_stage_is_ordered_where_sorting_might_cost() -> None:
    """A table that falls, or an aim that counts a pair of days once only, leaves the later stages free."""
    assert ordered_stages(batches(Random(1), flat=True)) == 1
    problem = batches(Random(1))
    falling = {d: 5 - d for d in range(4)}
    works = tuple(replace(work, tables={"ready": falling}) if work.tables else work for work in problem.works)
    assert ordered_stages(replace(problem, works=works)) == 1


def changed(problem: Problem, what: str) -> Problem:
    """The two batches made unequal in one thing."""
    child = Work("child", ())
    pot = problem.cookers[0]
    return {
        "children": replace(
            problem,
            works=(*problem.works, child),
            lags=(*problem.lags, Lag("fed", Point("start a", "ready"), Point("child"))),
        ),
        "days": replace(problem, works=(replace(problem.works[0], limits=()), *problem.works[1:])),
        "lag": replace(problem, lags=(*problem.lags, Lag("own", Point("cook a"), Point("start a"), 1, 1))),
        "minutes": replace(
            problem, day_limits=(DayLimit("more", "more", dict.fromkeys(range(8), 9), {"cook b": 1}),)
        ),
        "size": replace(problem, cookers=(replace(pot, shares={"cook a": 2, "cook b": 1}),)),
        "aim": replace(problem, terms=(*problem.terms, Term("own", 4, 1, 0, Point("cook a")))),
        "room": replace(
            problem, rooms=(Room("fridge", "fridge", 9, (Stay(Point("cook a"), Point("plant"), 1),)),)
        ),
        "cost": replace(problem, day_cost=DayCost(5, frozenset(), {"cook a": 1})),
        "each other": replace(
            problem, lags=(*problem.lags, Lag("after", Point("start a"), Point("start b"), 0))
        ),
    }[what]


@pytest.mark.parametrize(
    "what", ["children", "days", "lag", "minutes", "size", "aim", "room", "cost", "each other"]
)
def test_batches_that_differ_are_not_ordered(what: str) -> None:
    """Batches that the season calls equal, but that differ in anything at all, may come in any order."""
    problem = batches(Random(1))
    assert ordered_stages(problem) == 2
    assert ordered_stages(changed(problem, what)) == 0


def test_parents_with_unequal_children_stay_possible() -> None:
    """Two parents with children of their own, the later one first: order would have made this look impossible."""
    first, late = Limit("first", frozenset({1})), Limit("late", frozenset({5}))
    works = (
        Work("a", (), {"ready": {d: d + 1 for d in range(7)}}),
        Work("b", (), {"ready": {d: d + 1 for d in range(7)}}),
        Work("of a", (late,)),
        Work("of b", (first,)),
    )
    lags = (
        Lag("fed", Point("a", "ready"), Point("of a"), 0, 1),
        Lag("fed", Point("b", "ready"), Point("of b"), 0, 1),
    )
    outcome = solve(Problem(date(2026, 1, 1), 7, works, lags, equals=((("a",), ("b",)),)), budget=Budget())
    assert isinstance(outcome, Found)
    assert outcome.days.first("a") > outcome.days.first("b")
