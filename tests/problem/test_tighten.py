"""Narrowing days before the search: nothing that an answer uses is lost, and what cannot be is named."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from scheduler.problem.relax import leave_out, rules_of
from scheduler.problem.shapes import DayLimit, Lag, Limit, Point, Problem, Room, Stay, Term, Work
from scheduler.problem.tighten import Contradiction, Windows, loose, tighten
from tests.solve.brute import answers, cost
from tests.solve.random_problems import tiny

CHAIN = Problem(
    date(2026, 1, 1),
    30,
    (
        Work("cook", (Limit("away", frozenset(range(31)) - {5}),)),
        Work("grow", (), {"ready": {d: d + 10 for d in range(21)}}),
        Work("plant", (Limit("window", frozenset(range(14, 18))),), pieces=6, least=2, span=2),
    ),
    (
        Lag("rest", Point("cook"), Point("grow"), 1, 3),
        Lag("ripe", Point("grow", "ready"), Point("plant"), 0, None),
        Lag("fresh", Point("grow", "ready"), Point("plant", "last"), None, 3),
    ),
)
"""Cook, grow for ten days, plant on at most three days."""


def windows(problem: Problem, met: frozenset[int] = frozenset()) -> Windows:
    """The days that are left; the Problem is one that has some."""
    left = tighten(problem, met=met)
    assert isinstance(left, Windows)
    return left


def test_bounds_run_both_ways_along_a_chain() -> None:
    """The planting window bounds the start, the start bounds the planting, days away are left out."""
    left = windows(CHAIN)
    assert list(left.first["plant"]) == [14, 15, 16, 17]
    assert list(left.first["grow"]) == [1, 2, 3, 4, 5, 6, 7]
    assert list(left.first["cook"]) == [0, 1, 2, 3, 4, 6]
    assert list(left.last["plant"]) == [14, 15, 16, 17]
    assert list(left.every["plant"]) == [14, 15, 16, 17]
    assert left.last["grow"] == left.first["grow"]


def test_a_capacity_that_no_piece_fits_strikes_out_the_day() -> None:
    """A day that cannot hold the fewest pieces of a spread work, or all of a single one, is no day of it."""
    hands = DayLimit(
        "hands", "hands", {d: 3 if d == 15 else 9 for d in range(31) if d != 2}, {"plant": 2, "cook": 4}
    )
    left = windows(replace(CHAIN, day_limits=(hands,)))
    assert list(left.every["plant"]) == [14, 16, 17]
    assert 2 not in left.first["cook"]


def test_a_span_of_the_last_day_bounds_the_first() -> None:
    """Points at the last day pull at the first day no farther than the span."""
    late = replace(CHAIN, lags=(*CHAIN.lags, Lag("late", Point("grow", "ready"), Point("plant", "last"), 3)))
    assert list(windows(late).first["plant"]) == [14, 15, 16, 17]
    early = replace(CHAIN, works=(*CHAIN.works, Work("end", (Limit("end", frozenset({17})),))))
    early = replace(early, lags=(*early.lags, Lag("to end", Point("end"), Point("plant", "last"), 0)))
    assert list(windows(early).first["plant"]) == [15, 16, 17]
    assert list(windows(early).last["plant"]) == [17]


def test_aims_met_in_full_bound_like_lags() -> None:
    """With their tier met, aims of two points, of one and of a table narrow the days; else they do not."""
    aims = (
        Term("margin", 3, 1, 4, Point("grow", "ready"), Point("plant")),
        Term("early", 4, 1, 16, None, Point("plant")),
    )
    problem = replace(CHAIN, terms=aims)
    assert windows(problem).first == windows(CHAIN).first
    assert list(windows(problem, frozenset({4})).first["plant"]) == [16, 17]
    four_days_and_three = tighten(problem, met=frozenset({3}))
    assert isinstance(four_days_and_three, Contradiction)
    assert "fresh" in four_days_and_three.rules


def test_a_contradiction_names_rules_that_suffice() -> None:
    """The rules named leave no answer even without all others; rules of other works are not among them."""
    late = replace(
        CHAIN,
        works=(replace(CHAIN.works[0], limits=(Limit("start", frozenset(range(9, 31))),)), *CHAIN.works[1:]),
    )
    late = replace(late, works=(*late.works, Work("other", (Limit("far", frozenset({30})),))))
    found = tighten(late)
    assert isinstance(found, Contradiction)
    assert {"start", "rest", "ripe", "window"} <= set(found.rules)
    assert "far" not in found.rules
    alone = leave_out(late, set(rules_of(late)) - set(found.rules))
    assert isinstance(tighten(alone), Contradiction)


def test_lags_in_a_circle_that_cannot_hold_come_to_an_end() -> None:
    """A circle of lags whose least distances add up to more than nothing is named, however long the days."""
    works = tuple(Work(name, ()) for name in "abc")
    lags = tuple(
        Lag(f"{a}{b}", Point(a), Point(b), least)
        for a, b, least in (("a", "b", 3), ("b", "c", -1), ("c", "a", -1))
    )
    circle = Problem(date(2026, 1, 1), 2000, works, lags)
    assert tighten(circle) == Contradiction(("ab", "bc", "ca"))
    assert isinstance(loose(circle), Windows)
    assert isinstance(tighten(replace(circle, lags=lags[:2])), Windows)


def test_a_stay_keeps_its_order() -> None:
    """What a room holds leaves after it came."""
    works = (Work("in", (Limit("in", frozenset({4, 5})),)), Work("out", ()))
    problem = Problem(
        date(2026, 1, 1), 9, works, rooms=(Room("shelf", "shelf", 9, (Stay(Point("in"), Point("out"), 1),)),)
    )
    assert list(windows(problem).first["out"]) == [4, 5, 6, 7, 8, 9]


def test_a_work_without_any_day_is_named_at_once() -> None:
    """Limits that share no day, and tables that know none of the days, are a contradiction of their own."""
    never = Work("never", (Limit("one", frozenset({1})), Limit("two", frozenset({2}))))
    assert loose(Problem(date(2026, 1, 1), 9, (never,))) == Contradiction(("one", "two"))
    unknown = Work("unknown", (Limit("one", frozenset({1})),), {"ready": {2: 3}}, table_rule="growth:oyster")
    assert loose(Problem(date(2026, 1, 1), 9, (unknown,))) == Contradiction(("growth:oyster", "one"))
    beyond = Work("beyond", (), {"ready": {2: 10}})
    assert loose(Problem(date(2026, 1, 1), 9, (beyond,))) == Contradiction(("growth",))


def test_an_unknown_point_is_an_error() -> None:
    """A point of a table that the work does not have is not passed over."""
    with pytest.raises(KeyError):
        tighten(replace(CHAIN, lags=(Lag("x", Point("grow", "ripe"), Point("plant")),)))


@pytest.mark.parametrize("seed", range(150))
def test_no_day_of_any_answer_is_struck_out(seed: int) -> None:
    """Every answer lies within the days that are left, with all aims met as well as without."""
    problem = tiny(seed)
    tiers = frozenset({3, 4})
    for met in (frozenset(), tiers):
        keeping = [a for a in answers(problem) if not any(cost(problem, a, tier) for tier in met)]
        left = tighten(problem, met=met)
        if isinstance(left, Contradiction):
            assert not keeping
            continue
        for days in keeping:
            for name in days.pieces:
                assert days.first(name) in left.first[name]
                assert days.last(name) in left.last[name]
                assert set(days.pieces[name]) <= set(left.every[name])


@pytest.mark.parametrize("seed", range(150))
def test_named_rules_of_chance_problems_suffice(seed: int) -> None:
    """What a contradiction names has no answer by itself."""
    problem = tiny(seed)
    found = tighten(problem)
    if isinstance(found, Contradiction):
        others = set(rules_of(problem)) - set(found.rules)
        assert not any(True for _ in answers(leave_out(problem, others)))
    else:
        assert all(found.first.values())
