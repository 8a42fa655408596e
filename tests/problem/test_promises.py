"""What was promised before: which works are held to their days, and what it costs to move the others."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from scheduler.problem.promises import (
    DAYS_MOVED,
    MOVED,
    WEIGHT,
    Promised,
    open_works,
    still_possible,
    with_cookers,
    with_parts,
    with_promises,
)
from scheduler.problem.shapes import Cooker, DayCost, Limit, Point, Problem, Push, Term, Work

DONE = "done"
EVERY_DAY = Limit("away", frozenset(range(31)))


def problem(*works: Work, **more: object) -> Problem:
    """A Problem of some works over thirty days."""
    return Problem(date(2027, 1, 1), 30, works, **more)  # type: ignore[arg-type]


def work(name: str, *limits: Limit, **more: object) -> Work:
    """A work that may lie on any day its limits allow."""
    return Work(name, (EVERY_DAY, *limits), **more)  # type: ignore[arg-type]


def done(name: str, on: int) -> Work:
    """A work that was done on a day."""
    return work(name, Limit(DONE, frozenset({on})))


# --- open ----------------------------------------------------------------------------------------------------


def test_open_is_what_is_neither_done_nor_follows() -> None:
    """Done works are facts; until when a culture is kept follows from others, and is no promise."""
    of = problem(
        done("A:inoculate", 3), work("B:inoculate"), work("A:kept"), work("A:emptied"), work("P:down")
    )
    assert [one.name for one in open_works(of, DONE)] == ["B:inoculate"]


# --- still possible ------------------------------------------------------------------------------------------

GROWS = {"tables": {"ready": {day: day + 10 for day in range(20)}}}
KEPT = {"last_tables": {"fallback": dict.fromkeys(range(20), 30)}}


@pytest.mark.parametrize(
    ("one", "days", "possible"),
    [
        (work("w"), {8: 1}, True),
        (work("w"), {7: 1}, True),
        (work("w"), {6: 1}, False),
        (work("w"), {}, False),
        (work("w", Limit("thaw", frozenset(range(9, 31)))), {8: 1}, False),
        (work("w", Limit("thaw", frozenset(range(9, 31)))), {9: 1}, True),
        (work("w", **GROWS), {19: 1}, True),
        (work("w", **GROWS), {20: 1}, False),
        (work("w", pieces=60, least=5, span=3), {8: 30, 10: 30}, True),
        (work("w", pieces=38, least=5, span=3), {8: 30, 10: 30}, False),
        (work("w", pieces=60, least=5, span=3), {10: 30}, False),
        (work("w", Limit("away", frozenset(range(10))), pieces=60, span=3), {8: 30, 10: 30}, False),
        (work("w", pieces=60, span=3, **KEPT), {18: 30, 19: 30}, True),
        (work("w", pieces=60, span=3, **KEPT), {18: 30, 20: 30}, False),
    ],
    ids=[
        "ahead",
        "today",
        "over",
        "never promised",
        "not allowed any more",
        "allowed",
        "of known growth",
        "of unknown growth",
        "all pieces",
        "fewer pieces than before",
        "pieces missing",
        "one of two days not allowed",
        "of known end",
        "of unknown end",
    ],
)
def test_a_promise_is_kept_where_it_still_can_be(one: Work, days: dict[int, int], possible: bool) -> None:
    """All its days lie ahead, hold all its pieces, and are allowed: on day 7."""
    found = still_possible(problem(one), {"w": days}, 7, DONE)
    assert found == ({"w": frozenset(days)} if possible else {})


def test_done_works_are_not_promised_again() -> None:
    """Not even where they were done on the day that was promised."""
    assert still_possible(problem(done("w", 8)), {"w": {8: 1}}, 7, DONE) == {}


def test_a_promise_of_a_work_that_is_no_more_is_forgotten() -> None:
    """Tasks of a dead batch hold nothing."""
    assert still_possible(problem(work("w")), {"dead": {8: 1}, "w": {9: 1}}, 7, DONE) == {"w": frozenset({9})}


# --- what moving costs ---------------------------------------------------------------------------------------


def price(asked: Problem, name: str, first: int, last: int | None = None) -> tuple[int, int]:
    """What it costs in moved works and in moved days to do a work from one day to another."""
    at = {Point(name): first, Point(name, "last"): first if last is None else last}
    costs = {MOVED: 0, DAYS_MOVED: 0}
    for term in asked.terms:
        if term.tier in costs:
            above = term.offset + (at[term.plus] if term.plus else 0) - (at[term.minus] if term.minus else 0)
            costs[term.tier] += term.weight * (above > 0 if term.flat else max(0, above))
    return costs[MOVED], costs[DAYS_MOVED]


@pytest.mark.parametrize(("on", "moved", "days"), [(8, 0, 0), (9, 1, 1), (15, 1, 7), (7, 1, 1), (3, 1, 5)])
def test_moving_costs_one_and_then_its_days(on: int, moved: int, days: int) -> None:
    """A work of one day, promised for day 8: it counts as moved once, however far, and its days come second."""
    asked = with_promises(problem(work("w")), {"w": {8: 1}}, (), DONE)
    assert price(asked, "w", on) == (moved * WEIGHT, days * WEIGHT)


def test_a_work_within_its_promised_days_has_not_moved() -> None:
    """Promised from day 8 to 10: all between is no move, beyond either end is."""
    of = problem(work("w", pieces=60, span=5))
    asked = with_promises(of, {"w": {8: 30, 10: 30}}, (), DONE)
    assert price(asked, "w", 8, 10) == price(asked, "w", 9, 10) == price(asked, "w", 8, 9) == (0, 0)
    assert price(asked, "w", 8, 11) == price(asked, "w", 7, 10) == (WEIGHT, WEIGHT)
    assert price(asked, "w", 7, 11) == (2 * WEIGHT, 2 * WEIGHT)


def test_moving_comes_before_every_other_aim() -> None:
    """Aims of the season come behind, days with work are no aim, and nothing promised is polished."""
    aim = Term("margin", 3, 5, 2, Point("w"), None)
    of = problem(
        work("w"),
        work("new"),
        terms=(aim,),
        day_cost=DayCost(60, frozenset(), {}),
        pushes=((Push(Point("w"), True), Push(Point("new"), True)),),
        equals=((("w",), ("new",)),),
    )
    asked = with_promises(of, {"w": {8: 1}}, (), DONE)
    assert aim in asked.terms
    assert all(term.tier < aim.tier for term in asked.terms if term is not aim)
    assert MOVED < DAYS_MOVED < aim.tier
    assert asked.day_cost is None
    assert asked.equals == ()
    assert asked.pushes == ((Push(Point("new"), late=False),),), "what is new comes early"


def test_what_is_held_done_or_new_costs_nothing() -> None:
    """Held works cannot move, done ones have happened, and new ones were promised to nobody."""
    of = problem(work("held"), done("done", 3), work("new"), work("w"))
    promised: Promised = {"held": {8: 1}, "done": {4: 1}, "w": {9: 1}}
    asked = with_promises(of, promised, {"held"}, DONE)
    named = {point.work for term in asked.terms for point in (term.plus, term.minus) if point}
    assert named == {"w"}
    assert [push.point.work for group in asked.pushes for push in group] == ["new"]


def test_without_anything_new_nothing_is_polished() -> None:
    """An empty group of pushes is no group."""
    assert with_promises(problem(work("w")), {"w": {8: 1}}, (), DONE).pushes == ()


# --- cookers -------------------------------------------------------------------------------------------------


def test_a_held_work_stays_in_its_cooker() -> None:
    """Two pots: what is held goes where it was promised, what is not may go into either."""
    shares, classes = {"a": 2, "b": 2, "c": 2}, dict.fromkeys("abc", "bags")
    pots = tuple(Cooker(name, name, 1, 4, shares, classes) for name in ("pot 1", "pot 2"))
    of = problem(work("a"), work("b"), work("c"), cookers=pots)
    found = with_cookers(of, {"a": "pot 1", "b": "pot 2"}, {"a", "c"})
    assert [set(pot.shares) for pot in found.cookers] == [{"a", "b", "c"}, {"b", "c"}]
    assert [set(pot.classes) for pot in found.cookers] == [{"a", "b", "c"}, {"b", "c"}]
    assert with_cookers(of, {"a": "pot 1"}, ()) == of
    assert replace(found, cookers=of.cookers) == of


def test_a_work_of_several_days_is_held_to_its_pieces() -> None:
    """30 and 30 logs, on two days: no answer has 20 and 40, nor all of them on one day."""
    of = problem(work("w", pieces=60, least=5, span=3), work("other", pieces=60, span=3))
    (limit,) = with_parts(of, {"w": {8: 30, 10: 30}, "other": {8: 60}}, {"w"}).day_limits
    assert limit.capacity == {8: 30, 10: 30}, "a day that is left out offers nothing"
    assert limit.per_piece == {"w": 1}
    assert with_parts(of, {"w": {8: 60}}, ()) == of
