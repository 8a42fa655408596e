"""Each kind of rule both ways: it refuses an answer that breaks it alone, and lets it pass when left out."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from scheduler.problem.relax import leave_out
from scheduler.problem.shapes import (
    Apart,
    Cooker,
    DayLimit,
    Days,
    Lag,
    Limit,
    Point,
    Problem,
    Room,
    Stay,
    Work,
)
from scheduler.solve.fixed import fixed
from scheduler.solve.params import Budget
from scheduler.solve.search import Found, Refused, solve

WEEK = range(8)
FREE = Problem(
    date(2026, 1, 1),
    7,
    (
        Work("cook", ()),
        Work("mash", ()),
        Work("grow", (), {"ready": {d: d + 2 + d % 2 for d in range(5)}}),
        Work("plant", (), pieces=4, least=2, span=3),
    ),
)
"""Four works that may lie on any day: what each case below adds is the only rule."""

POT = Cooker("pot", "rule", 1, 4, {"cook": 3, "mash": 2}, {"cook": "bags", "mash": "bags"})
HANDS = DayLimit("hands", "rule", {d: 5 for d in WEEK if d != 6}, {"cook": 3, "mash": 3, "plant": 1})
SHELF = Room(
    "shelf",
    "rule",
    2,
    (Stay(Point("cook"), Point("grow", "ready"), 1), Stay(Point("mash"), Point("plant", "last"), 2)),
)


def at(
    cook: int,
    mash: int,
    grow: int,
    plant: dict[int, int],
    *,
    cooker: dict[str, str] | None = None,
    loads: dict[tuple[int, str, str], int] | None = None,
) -> Days:
    """An answer with each work on its days."""
    return Days(
        {"cook": {cook: 1}, "mash": {mash: 1}, "grow": {grow: 1}, "plant": plant}, cooker or {}, loads or {}
    )


IN_POT = {"cook": "pot", "mash": "pot"}
CASES: dict[str, tuple[Problem, Days, Days]] = {
    "limit": (
        replace(FREE, works=(Work("cook", (Limit("rule", frozenset({2, 3})),)), *FREE.works[1:])),
        at(3, 0, 0, {4: 4}),
        at(4, 0, 0, {4: 4}),
    ),
    "limit of every day of a spread work": (
        replace(
            FREE,
            works=(*FREE.works[:3], replace(FREE.works[3], limits=(Limit("rule", frozenset({1, 3, 4})),))),
        ),
        at(0, 0, 0, {1: 2, 3: 2}),
        at(0, 0, 0, {1: 2, 2: 2}),
    ),
    "least lag": (
        replace(FREE, lags=(Lag("rule", Point("grow", "ready"), Point("plant"), 1, None),)),
        at(0, 0, 1, {5: 4}),
        at(0, 0, 1, {4: 4}),
    ),
    "most lag": (
        replace(FREE, lags=(Lag("rule", Point("cook"), Point("plant", "last"), None, 2),)),
        at(2, 0, 0, {2: 2, 4: 2}),
        at(2, 0, 0, {2: 2, 5: 2}),
    ),
    "day limit of works": (
        replace(FREE, day_limits=(HANDS,)),
        at(0, 1, 0, {1: 2, 2: 2}),
        at(0, 1, 0, {1: 4}),
    ),
    "day without an offer": (replace(FREE, day_limits=(HANDS,)), at(0, 1, 0, {5: 4}), at(0, 1, 0, {6: 4})),
    "loads a day": (
        replace(FREE, cookers=(POT,)),
        at(0, 1, 0, {2: 4}, cooker=IN_POT, loads={(0, "pot", "bags"): 1, (1, "pot", "bags"): 1}),
        at(1, 1, 0, {2: 4}, cooker=IN_POT, loads={(1, "pot", "bags"): 2}),
    ),
    "loads of two classes": (
        replace(FREE, cookers=(replace(POT, share=9, classes={"cook": "bags", "mash": "grain"}),)),
        at(0, 1, 0, {2: 4}, cooker=IN_POT, loads={(0, "pot", "bags"): 1, (1, "pot", "grain"): 1}),
        at(1, 1, 0, {2: 4}, cooker=IN_POT, loads={(1, "pot", "bags"): 1, (1, "pot", "grain"): 1}),
    ),
    "day limit of loads": (
        replace(
            FREE,
            cookers=(replace(POT, rule="other", loads_per_day=3),),
            day_limits=(DayLimit("home", "rule", dict.fromkeys(WEEK, 300), {}, {("pot", "bags"): 200}),),
        ),
        at(0, 1, 0, {2: 4}, cooker=IN_POT, loads={(0, "pot", "bags"): 1, (1, "pot", "bags"): 1}),
        at(1, 1, 0, {2: 4}, cooker=IN_POT, loads={(1, "pot", "bags"): 2}),
    ),
    "room": (
        replace(FREE, rooms=(SHELF,)),
        at(0, 3, 0, {4: 4}),
        at(0, 3, 1, {4: 4}),
    ),
    "stay that ends before it starts": (
        replace(FREE, rooms=(SHELF,)),
        at(1, 2, 0, {2: 4}),
        at(3, 3, 0, {3: 4}),
    ),
    "apart": (
        replace(FREE, aparts=(Apart("rule", frozenset({"cook", "mash"}), frozenset({"plant"})),)),
        at(1, 1, 0, {2: 2, 4: 2}),
        at(4, 1, 0, {2: 2, 4: 2}),
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_a_rule_refuses_what_breaks_it(name: str) -> None:
    """An answer that keeps the rule is accepted, one that breaks it is not."""
    problem, keeps, breaks = CASES[name]
    assert fixed(problem, keeps)
    assert not fixed(problem, breaks)


@pytest.mark.parametrize("name", CASES)
def test_a_rule_that_is_left_out_says_nothing(name: str) -> None:
    """Without the rule both answers are accepted."""
    problem, keeps, breaks = CASES[name]
    assert fixed(leave_out(problem, {"rule"}), keeps)
    assert fixed(leave_out(problem, {"rule"}), breaks)


@pytest.mark.parametrize("name", CASES)
def test_a_rule_makes_a_problem_impossible(name: str) -> None:
    """Held to the days that break a rule, a Problem is refused for certain, and possible without the rule."""
    problem, _, breaks = CASES[name]
    works = tuple(
        replace(work, limits=(*work.limits, Limit("held", frozenset(breaks.pieces[work.name]))))
        for work in problem.works
    )
    lengths = tuple(
        Lag("held", Point(name), Point(name, "last"), breaks.last(name) - breaks.first(name))
        for name in breaks.pieces
    )
    held = replace(problem, works=works, lags=(*problem.lags, *lengths))
    assert solve(held, budget=Budget()) == Refused(confirmed=True)
    assert isinstance(solve(leave_out(held, {"rule"}), budget=Budget()), Found)


@pytest.mark.parametrize(
    ("wrong", "days"),
    [
        ("start without a ready day", at(0, 0, 6, {4: 4})),
        ("pieces missing", at(0, 0, 0, {4: 3})),
        ("too few pieces on a day", at(0, 0, 0, {3: 1, 4: 3})),
        ("days too far apart", at(0, 0, 0, {1: 2, 5: 2})),
        ("day after the horizon", at(8, 0, 0, {4: 4})),
        ("two days for one piece", Days({**at(0, 0, 0, {4: 4}).pieces, "cook": {0: 1, 1: 1}})),
        ("a work without days", Days({**at(0, 0, 0, {4: 4}).pieces, "cook": {}})),
        ("a work is missing", Days({"cook": {0: 1}})),
        ("in a cooker that is not there", at(0, 0, 0, {4: 4}, cooker={"cook": "pot"})),
    ],
)
def test_what_holds_in_every_problem(wrong: str, days: Days) -> None:
    """Tables, pieces and spans are no rules that can be left out: a broken one is never accepted."""
    assert fixed(FREE, at(0, 0, 0, {4: 4})), wrong
    assert not fixed(FREE, days)


@pytest.mark.parametrize(
    ("wrong", "days"),
    [
        ("no cooker", at(0, 1, 0, {2: 4}, loads={(0, "pot", "bags"): 1, (1, "pot", "bags"): 1})),
        ("no loads", at(0, 1, 0, {2: 4}, cooker=IN_POT)),
        (
            "an empty load",
            at(0, 1, 0, {2: 4}, cooker=IN_POT, loads={(0, "pot", "bags"): 1, (1, "pot", "bags"): 2}),
        ),
        ("a load too few", at(1, 1, 0, {2: 4}, cooker=IN_POT, loads={(1, "pot", "bags"): 1})),
        (
            "a load on another day",
            at(1, 1, 0, {2: 4}, cooker=IN_POT, loads={(1, "pot", "bags"): 2, (2, "pot", "bags"): 1}),
        ),
    ],
)
def test_loads_hold_what_is_cooked(wrong: str, days: Days) -> None:
    """Exactly the loads that are needed are accepted, also where a cooker may have many."""
    problem = replace(FREE, cookers=(replace(POT, loads_per_day=5),))
    good = at(1, 1, 0, {2: 4}, cooker=IN_POT, loads={(1, "pot", "bags"): 2})
    assert fixed(problem, good), wrong
    assert not fixed(problem, days)


def test_a_stay_of_no_days_takes_no_room() -> None:
    """What comes and goes on the same day may be larger than the room."""
    problem = replace(FREE, rooms=(Room("shelf", "rule", 1, (Stay(Point("cook"), Point("mash"), 5),)),))
    assert fixed(problem, at(2, 2, 0, {4: 4}))
    assert not fixed(problem, at(2, 3, 0, {4: 4}))


def test_a_cooked_work_takes_the_cooker_that_is_free() -> None:
    """Two works of two classes on the only common day are cooked in two cookers."""
    pots = tuple(
        replace(POT, name=name, rule=name, share=9, classes={"cook": "bags", "mash": "grain"})
        for name in ("big", "small")
    )
    same = frozenset({3})
    works = (Work("cook", (Limit("day", same),)), Work("mash", (Limit("day", same),)), *FREE.works[2:])
    outcome = solve(replace(FREE, works=works, cookers=pots), budget=Budget())
    assert isinstance(outcome, Found)
    assert sorted(outcome.days.cooker.values()) == ["big", "small"]
    assert set(outcome.days.loads.values()) == {1}
    assert solve(replace(FREE, works=works, cookers=pots[:1]), budget=Budget()) == Refused(confirmed=True)
