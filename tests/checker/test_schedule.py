"""Each rule of a Problem, alone in a Problem of its own: days that may stand, and days that it refuses."""

from collections.abc import Mapping
from datetime import date
from typing import Any

import pytest

from scheduler.checker.schedule import STRUCTURAL, check_days, value
from scheduler.problem.shapes import (
    Apart,
    Cooker,
    DayCost,
    DayLimit,
    Days,
    Lag,
    Limit,
    Point,
    Problem,
    Room,
    Stay,
    Term,
    Work,
)

A, B = Work("a", ()), Work("b", ())
DUG = Work("dug", (), pieces=6, least=2, span=4)
FEW = Work("few", (), pieces=1, least=3)
READY = Work("ready", (), {"ready": {1: 4, 2: 6, 5: 9}})
GOOD = Work("good", (), last_tables={"until": {2: 8, 3: 7, 4: 12}}, pieces=2, span=2, table_rule="soil")


def _problem(*works: Work, **parts: Any) -> Problem:
    return Problem(date(2027, 1, 1), 10, works, **parts)


def _days(cooker: Mapping[str, str] | None = None, loads: Any = None, **work: int | dict[int, int]) -> Days:
    pieces = {name: {day: 1} if isinstance(day, int) else day for name, day in work.items()}
    return Days(pieces, cooker or {}, loads or {})


def _lag(before: Point, after: Point, least: int | None, most: int | None) -> dict[str, Any]:
    return {"lags": (Lag("lag", before, after, least, most),)}


HANDS = {
    "day_limits": (DayLimit("hands", "hours", {2: 90, 3: 80}, {"a": 40, "dug": 20}, {("pot", "wet"): 50}),)
}
POT = Cooker("pot", "one pot", 2, 10, {"a": 6, "b": 5}, {"a": "wet", "b": "wet"})
FOR_B = Cooker("pot", "one pot", 2, 10, {"b": 5}, {"b": "wet"})
OVEN = Cooker("oven", "one oven", 1, 4, {"b": 8}, {"b": "dry"})
COOKED = _problem(A, B, cookers=(POT, OVEN))
SHELF = {
    "rooms": (
        Room(
            "shelf",
            "room",
            5,
            (Stay(Point("a"), Point("b"), 3), Stay(Point("ready"), Point("ready", "ready"), 4)),
        ),
    )
}
IN_POT = {"a": "pot", "b": "pot"}

# rule, what it asks, problem, days that may stand, days that may not
CASES: list[tuple[str, str, Problem, Days, Days]] = [
    ("pieces", "every work has a day", _problem(A, B), _days(a=2, b=2), _days(a=2)),
    ("pieces", "every piece has a day", _problem(DUG), _days(dug={2: 4, 3: 2}), _days(dug={2: 3, 3: 2})),
    ("pieces", "no piece has two days", _problem(DUG), _days(dug={2: 4, 3: 2}), _days(dug={2: 4, 3: 3})),
    ("pieces", "no day holds nothing", _problem(DUG), _days(dug={2: 6}), _days(dug={2: 6, 3: 0})),
    ("pieces", "only works have days", _problem(A), _days(a=2), _days(a=2, b=2)),
    ("least", "enough on each day", _problem(DUG), _days(dug={2: 2, 3: 2, 4: 2}), _days(dug={2: 2, 3: 3, 4: 1})),
    ("span", "days close together", _problem(DUG), _days(dug={2: 3, 6: 3}), _days(dug={2: 3, 7: 3})),
    ("weekend", "allowed days", _problem(Work("a", (Limit("weekend", frozenset({2, 3})),))), _days(a=3), _days(a=4)),
    ("weekend", "each day allowed", _problem(Work("dug", (Limit("weekend", frozenset({2, 3})),), pieces=4, span=9)), _days(dug={2: 2, 3: 2}), _days(dug={2: 2, 4: 2})),
    ("growth", "first day in its table", _problem(READY), _days(ready=5), _days(ready=3)),
    ("soil", "last day in its table", _problem(GOOD), _days(good={1: 1, 3: 1}), _days(good={3: 1, 5: 1})),
    ("lag", "at least so long after", _problem(A, B, **_lag(Point("a"), Point("b"), 2, None)), _days(a=1, b=3), _days(a=1, b=2)),
    ("lag", "at most so long after", _problem(A, B, **_lag(Point("a"), Point("b"), None, 2)), _days(a=1, b=3), _days(a=1, b=4)),
    ("lag", "from a day of a table", _problem(READY, B, **_lag(Point("ready", "ready"), Point("b"), 0, None)), _days(ready=2, b=6), _days(ready=2, b=5)),
    ("lag", "from the last day", _problem(DUG, B, **_lag(Point("dug", "last"), Point("b"), 1, None)), _days(dug={2: 3, 3: 3}, b=4), _days(dug={2: 3, 4: 3}, b=4)),
    ("lag", "to a day that follows from the last", _problem(A, GOOD, **_lag(Point("a"), Point("good", "until"), 0, None)), _days(a=8, good={1: 1, 2: 1}), _days(a=8, good={2: 1, 3: 1})),
    ("horizon", "nothing before day 0", _problem(A), _days(a=0), _days(a=-1)),
    ("horizon", "nothing after the horizon", _problem(A), _days(a=10), _days(a=11)),
    ("horizon", "no day of a table after it", _problem(GOOD), _days(good={1: 1, 2: 1}), _days(good={4: 2})),
    ("hours", "pieces fit the day", _problem(A, DUG, **HANDS), _days(a=2, dug={2: 2, 3: 4}), _days(a=2, dug={2: 3, 3: 3})),
    ("hours", "a day that is not listed has nothing", _problem(A, **HANDS), _days(a=2), _days(a=4)),
    ("hours", "loads fit the day", _problem(A, B, cookers=(FOR_B,), **HANDS), _days({"b": "pot"}, {(2, "pot", "wet"): 1}, a=2, b=2), _days({"b": "pot"}, {(3, "pot", "wet"): 1}, a=3, b=3)),
    ("cooker", "every cooked work in a cooker", COOKED, _days(IN_POT, {(2, "pot", "wet"): 2}, a=2, b=2), _days({"b": "pot"}, {(2, "pot", "wet"): 1}, a=2, b=2)),
    ("cooker", "in one that lists it", COOKED, _days(IN_POT, {(2, "pot", "wet"): 2}, a=2, b=2), _days({"a": "oven", "b": "pot"}, {(2, "pot", "wet"): 1}, a=2, b=2)),
    ("cooker", "nothing else in a cooker", _problem(A), _days(a=2), _days({"a": "pot"}, a=2)),
    ("cooker", "loads in cookers that are there", COOKED, _days(IN_POT, {(2, "pot", "wet"): 2}, a=2, b=2), _days(IN_POT, {(2, "pot", "wet"): 2, (2, "drum", "wet"): 1}, a=2, b=2)),
    ("loads", "loads for what is cooked", COOKED, _days(IN_POT, {(2, "pot", "wet"): 2}, a=2, b=2), _days(IN_POT, {(2, "pot", "wet"): 1}, a=2, b=2)),
    ("loads", "on the day it is cooked", COOKED, _days(IN_POT, {(2, "pot", "wet"): 1, (3, "pot", "wet"): 1}, a=2, b=3), _days(IN_POT, {(2, "pot", "wet"): 1}, a=2, b=3)),
    ("empty-load", "a load holds something", COOKED, _days(IN_POT, {(2, "pot", "wet"): 2}, a=2, b=2), _days(IN_POT, {(2, "pot", "wet"): 2, (3, "pot", "wet"): 1}, a=2, b=2)),
    ("empty-load", "no load more than is filled", COOKED, _days(IN_POT, {(2, "pot", "wet"): 1, (3, "pot", "wet"): 1}, a=2, b=3), _days(IN_POT, {(2, "pot", "wet"): 2, (3, "pot", "wet"): 1}, a=2, b=3)),
    ("empty-load", "no load listed as none", COOKED, _days(IN_POT, {(2, "pot", "wet"): 2}, a=2, b=2), _days(IN_POT, {(2, "pot", "wet"): 2, (3, "pot", "wet"): 0}, a=2, b=2)),
    ("one oven", "so many loads a day", COOKED, _days(IN_POT, {(2, "pot", "wet"): 2}, a=2, b=2), _days({"a": "pot", "b": "oven"}, {(2, "pot", "wet"): 1, (2, "oven", "dry"): 2}, a=2, b=2)),
    ("room", "no more than it holds", _problem(A, B, READY, **SHELF), _days(a=4, b=6, ready=1), _days(a=3, b=6, ready=1)),
    ("room", "stays end after they begin", _problem(A, B, READY, **SHELF), _days(a=4, b=4, ready=1), _days(a=4, b=3, ready=1)),
    ("apart", "never on one day", _problem(A, DUG, aparts=(Apart("apart", frozenset("a"), frozenset({"dug"})),)), _days(a=3, dug={2: 2, 4: 4}), _days(a=4, dug={2: 2, 4: 4})),
]  # fmt: skip
NAMES = [f"{case[0]}: {case[1]}" for case in CASES]


def _rules(problem: Problem, days: Days) -> set[str]:
    return {violation.rule for violation in check_days(problem, days)}


@pytest.mark.parametrize("case", CASES, ids=NAMES)
def test_good_days_stand(case: tuple[str, str, Problem, Days, Days]) -> None:
    """Days that break no rule are not refused, right up to the limit."""
    _, _, problem, good, _ = case
    assert check_days(problem, good) == []


@pytest.mark.parametrize("case", CASES, ids=NAMES)
def test_bad_days_are_refused(case: tuple[str, str, Problem, Days, Days]) -> None:
    """Days with one thing wrong are refused by exactly the rule of that thing."""
    rule, _, problem, _, bad = case
    assert _rules(problem, bad) == {rule}


def test_every_structural_rule_has_a_case() -> None:
    """No rule that needs no name in the problem goes untested."""
    assert set(STRUCTURAL) <= {case[0] for case in CASES}


def test_a_work_of_few_pieces_needs_no_more_than_it_has() -> None:
    """The least a day holds is never more than the work has in all."""
    assert check_days(_problem(FEW), _days(few=2)) == []


def test_a_problem_that_names_a_work_it_lacks_is_an_error() -> None:
    """A fault of the problem is an error, not a violation by the days."""
    problem = _problem(A, **_lag(Point("a"), Point("z"), 0, None))
    with pytest.raises(KeyError):
        check_days(problem, _days(a=1))


TERMS = (
    Term("late", 3, 5, -4, plus=Point("b")),  # 5 x (6 - 4)
    Term("early", 3, 5, 4, minus=Point("b")),  # 4 - 6 is nothing
    Term("margin", 4, 3, 7, plus=Point("ready", "ready"), minus=Point("b")),  # 3 x (7 + 6 - 6)
    Term("stale", 4, 10, -1, plus=Point("dug", "last"), minus=Point("dug"), flat=True),  # 10, however stale
    Term("soak", 4, 10, -3, plus=Point("dug", "last"), minus=Point("dug"), flat=True),  # 3 - 3 is nothing
)
PLACED = _days({"b": "pot"}, {(6, "pot", "wet"): 1}, a=9, b=6, ready=2, dug={2: 4, 5: 2})


def test_value_adds_up_each_tier() -> None:
    """Every aim counts what it is over, or its weight once where it is flat."""
    problem = _problem(A, B, READY, DUG, cookers=(POT,), terms=TERMS)
    assert value(problem, PLACED) == {3: 10, 4: 21 + 10}


def test_value_counts_days_with_work() -> None:
    """Days with listed works or loads cost each the same; on dear days minutes are added."""
    cost = DayCost(60, frozenset({2, 6}), {"dug": 7, "ready": 30}, {("pot", "wet"): 45})
    problem = _problem(A, B, READY, DUG, cookers=(POT,), day_cost=cost)
    # Days 2, 5 (dug) and 6 (a load); day 9 holds only a work that costs nothing.
    assert value(problem, PLACED) == {5: 3 * 60 + 4 * 7 + 30 + 45}


def test_value_of_a_point_without_a_day_is_an_error() -> None:
    """What cannot be read is not worth nothing."""
    with pytest.raises(KeyError):
        value(_problem(A, B, terms=TERMS[:1]), _days(a=1))
