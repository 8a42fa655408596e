"""Replanning: nothing moves that need not, the next days least of all; against all answers to tiny Problems."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from random import Random

import pytest

from scheduler.checker.schedule import check_days
from scheduler.problem.shapes import Cooker, DayLimit, Days, Lag, Limit, Point, Problem, Rule, Work
from scheduler.solve.params import Budget
from scheduler.solve.replan import FROZEN_DAYS, Kept, replan
from scheduler.solve.search import Refused, impossible, solve
from tests.solve.brute import answers
from tests.solve.golden import golden
from tests.solve.random_problems import HORIZON, tiny

DONE = "done"
Pieces = Mapping[str, Mapping[int, int]]


def replanned(problem: Problem, promised: Days | Pieces, today: int = 0) -> Kept | None:
    """The answer nearest to what was promised."""
    days = promised if isinstance(promised, Days) else Days(promised)
    return replan(problem, days.pieces, days.cooker, today=today, done=DONE, budget=Budget())


def ends_moved(promised: Pieces, found: Pieces) -> tuple[int, int]:
    """How many ends of works moved outwards, and by how many days: reckoned from the words alone.

    A work moves where it begins before its first promised day or ends after its last.
    """
    by = []
    for name, days in promised.items():
        if name in found:
            by += [max(0, min(days) - min(found[name])), max(0, max(found[name]) - max(days))]
    return sum(one > 0 for one in by), sum(by)


# --- against all answers -------------------------------------------------------------------------------------


def disturbed(seed: int, problem: Problem) -> Problem:
    """The same Problem after something went wrong: days are lost, something takes longer, hours are short."""
    random = Random(seed)
    lost = frozenset(random.sample(range(HORIZON + 1), random.choice((1, 2))))
    everything = frozenset(range(HORIZON + 1))
    ill = random.choice([work.name for work in problem.works])

    def changed(work: Work) -> Work:
        if work.name == ill:
            work = replace(work, limits=(*work.limits, Limit("ill", everything - lost)))
        if work.name == "grow" and random.random() < 0.4:
            slow = {day: min(ready + 1, HORIZON) for day, ready in work.tables["ready"].items()}
            work = replace(work, tables={"ready": slow})
        return work

    limits = tuple(
        replace(
            limit,
            capacity={day: max(1, most - random.choice((0, 0, 2))) for day, most in limit.capacity.items()},
        )
        for limit in problem.day_limits
    )
    return replace(problem, works=tuple(changed(work) for work in problem.works), day_limits=limits)


def at_day(problem: Problem, promised: Days, today: int) -> tuple[Problem, set[str]]:
    """The Problem as it stands on a day, and the works of it that are done: those that lie before the day."""
    done = {name for name, days in promised.pieces.items() if max(days) < today}

    def as_it_stands(work: Work) -> Work:
        if work.name in done:
            was = frozenset(promised.pieces[work.name])
            return replace(work, limits=(Limit(DONE, was), *work.limits))
        return replace(work, limits=(Limit("today", frozenset(range(today, HORIZON + 1))), *work.limits))

    return replace(problem, works=tuple(as_it_stands(work) for work in problem.works)), done


@pytest.mark.parametrize("seed", range(80))
def test_as_little_moves_as_in_the_best_of_all_answers(seed: int) -> None:
    """Works that can keep their promise are held where any answer allows it; then the fewest move, then days."""
    first = solve(tiny(seed), budget=Budget())
    if isinstance(first, Refused):
        assert not list(answers(tiny(seed)))
        return
    today = Random(seed).choice((0, 1, 2))
    problem, done = at_day(disturbed(seed, tiny(seed)), first.days, today)
    promised = {
        name: days for name, days in first.days.pieces.items() if name not in done and min(days) >= today
    }
    everything = list(answers(problem))
    found = replanned(problem, Days(promised, first.days.cooker), today)
    if not everything:
        assert found is None
        assert impossible(problem, budget=Budget())
        return
    assert isinstance(found, Kept)
    assert check_days(problem, found.found.days) == []
    held = {name: days for name, days in promised.items() if all_allowed(problem.work(name), days)}

    def holds(answer: Days) -> bool:
        return all(
            set(answer.pieces[name]) <= set(days) and answer.cooker.get(name) == first.days.cooker.get(name)
            for name, days in held.items()
        )

    near = [answer for answer in everything if holds(answer)] or everything
    best = min(ends_moved(promised, answer.pieces) for answer in near)
    assert ends_moved(promised, found.found.days.pieces) == best
    assert near is everything or holds(found.found.days)
    # Over a week everything is one of the next days.
    moved = any(set(found.found.days.pieces[name]) != set(days) for name, days in promised.items())
    assert found.unfrozen == moved


def all_allowed(work: Work, days: Mapping[int, int]) -> bool:
    """Whether the limits and tables of a work allow all of some days."""
    limits = all(day in limit.days for day in days for limit in work.limits)
    return (
        limits
        and all(min(days) in t for t in work.tables.values())
        and all(max(days) in t for t in work.last_tables.values())
    )


@pytest.mark.parametrize("seed", range(40))
def test_where_nothing_went_wrong_nothing_moves(seed: int) -> None:
    """Whatever else a plan could do better, a promise that can be kept is kept, in the same cookers."""
    first = solve(tiny(seed), budget=Budget())
    if isinstance(first, Refused):
        return
    found = replanned(tiny(seed), first.days)
    assert isinstance(found, Kept)
    assert found.found.days.pieces == first.days.pieces
    assert found.found.days.cooker == first.days.cooker
    assert not found.unfrozen


# --- the golden season ---------------------------------------------------------------------------------------


def golden_plan() -> Days:
    """The plan of the golden season."""
    outcome = solve(golden(), budget=Budget())
    assert not isinstance(outcome, Refused)
    return outcome.days


def test_the_golden_season_stays_as_it_is() -> None:
    """With nothing recorded and nothing changed."""
    days = golden_plan()
    found = replanned(golden(), days)
    assert isinstance(found, Kept)
    assert found.found.days.pieces == days.pieces


def test_pieces_stay_on_their_days_unless_the_days_have_no_room() -> None:
    """Planting was promised for two days: it stays on both, as it was shared out, until one of them is short."""
    days = golden_plan()
    (first, four), (second, two) = sorted(days.pieces["plant"].items())
    assert (four, two) == (4, 2)
    (hands,) = golden().day_limits
    for minutes, parts in (
        (80, {first: 4, second: 2}),
        (60, {first: 3, second: 3}),
        (40, {first: 2, second: 4}),
    ):
        short = replace(golden(), day_limits=(replace(hands, capacity={**hands.capacity, first: minutes}),))
        found = replanned(short, days)
        assert isinstance(found, Kept)
        assert set(found.found.days.pieces["plant"]) == {first, second}
        assert found.found.days.pieces["plant"][first] <= parts[first]
        assert minutes < 80 or found.found.days.pieces == days.pieces


def test_a_new_work_comes_early_and_moves_nothing() -> None:
    """A redo was never promised: it lies on the first day that suits, beside everything else in its place."""
    days = golden_plan()
    redo = Work("redo", (Limit("away", frozenset(range(5, 20))),))
    more = replace(
        golden(),
        works=(*golden().works, redo),
        lags=(*golden().lags, Lag("rest", Point("cook"), Point("redo"), 2, None)),
    )
    found = replanned(more, days)
    assert isinstance(found, Kept)
    assert {name: found.found.days.pieces[name] for name in days.pieces} == days.pieces
    assert found.found.days.pieces["redo"] == {max(5, days.first("cook") + 2): 1}


def test_a_day_that_is_lost_moves_what_lay_on_it() -> None:
    """Planting cannot be on its first day any more: felling and the bench stay."""
    days = golden_plan()
    gone = days.first("plant")
    works = tuple(
        replace(work, limits=(*work.limits, Limit("ill", frozenset(range(23)) - {gone})))
        if work.name == "plant"
        else work
        for work in golden().works
    )
    found = replanned(replace(golden(), works=works), days)
    assert isinstance(found, Kept)
    assert {name for name in days.pieces if set(found.found.days.pieces[name]) != set(days.pieces[name])} == {
        "plant"
    }


# --- the next seven days -------------------------------------------------------------------------------------

SOON, LATER = 3, 12


def tied(*last: int) -> Problem:
    """One work promised soon, two later, which have to lie eleven days behind it now, and on no day after `last`."""
    everything = frozenset(range(21))
    limits = [everything, *(frozenset(range(one + 1)) for one in last)]
    names = ("soon", "one", "two")
    return Problem(
        date(2027, 1, 1),
        20,
        tuple(Work(name, (Limit(f"window {name}", days),)) for name, days in zip(names, limits, strict=True)),
        tuple(Lag(f"grows {name}", Point("soon"), Point(name), 11, None) for name in names[1:]),
        rules={f"grows {name}": Rule(f"grows {name}", "lag", owner="nature") for name in names[1:]},
    )


PROMISED = {"soon": {SOON: 1}, "one": {LATER: 1}, "two": {LATER: 1}}


def test_the_next_days_are_held_even_where_more_moves_for_it() -> None:
    """Moving the one work of this week would do; it is promised, so the two of the week after move."""
    found = replanned(tied(20, 20), PROMISED)
    assert isinstance(found, Kept)
    assert found.found.days.pieces == {"soon": {SOON: 1}, "one": {14: 1}, "two": {14: 1}}
    assert not found.unfrozen


def test_the_next_days_move_where_nothing_else_fits() -> None:
    """The later ones cannot lie later: the work of this week moves after all, as little as will do, and it is said."""
    found = replanned(tied(LATER, 20), PROMISED)
    assert isinstance(found, Kept)
    assert found.found.days.pieces == {"soon": {1: 1}, "one": {LATER: 1}, "two": {LATER: 1}}
    assert found.unfrozen


@pytest.mark.parametrize(("today", "frozen"), [(SOON - FROZEN_DAYS + 1, True), (SOON - FROZEN_DAYS, False)])
def test_a_week_is_seven_days(today: int, frozen: bool) -> None:
    """The seventh day from today, today being the first, is frozen; the eighth is not, and the fewest move."""
    shift = 10
    later = {name: {day + shift: 1 for day in days} for name, days in PROMISED.items()}
    problem = replace(
        tied(20, 20),
        horizon=30,
        works=tuple(
            replace(work, limits=(Limit(work.limits[0].rule, frozenset(range(31))),))
            for work in tied(20, 20).works
        ),
    )
    found = replanned(problem, later, today + shift)
    assert isinstance(found, Kept)
    assert (set(found.found.days.pieces["soon"]) == {SOON + shift}) == frozen
    assert not found.unfrozen


def test_what_was_missed_moves_and_frees_nothing() -> None:
    """A work of yesterday that was not done has to move: the rest is held all the same."""
    problem = replace(
        tied(20, 20),
        works=tuple(
            replace(work, limits=(*work.limits, Limit("today", frozenset(range(5, 21)))))
            for work in tied(20, 20).works
        ),
        lags=(),
    )
    found = replanned(problem, {"soon": {4: 1}, "one": {6: 1}, "two": {LATER: 1}}, today=5)
    assert isinstance(found, Kept)
    assert found.found.days.pieces == {"soon": {5: 1}, "one": {6: 1}, "two": {LATER: 1}}
    assert not found.unfrozen


def test_facts_do_not_move() -> None:
    """What is done stays on its day, though another day would spare the promises of all others."""
    problem = tied(20, 20)
    facts = tuple(
        replace(work, limits=(Limit(DONE, frozenset({SOON})), *work.limits)) if work.name == "soon" else work
        for work in problem.works
    )
    found = replanned(replace(problem, works=facts), PROMISED, today=4)
    assert isinstance(found, Kept)
    assert found.found.days.pieces == {"soon": {SOON: 1}, "one": {14: 1}, "two": {14: 1}}


def test_no_way_at_all_is_no_answer() -> None:
    """Neither promises nor the next days can be held, and nothing else fits either, by two looks."""
    assert replanned(tied(8, 20), PROMISED) is None
    assert impossible(tied(8, 20), budget=Budget())


def test_held_works_share_the_load_they_were_promised() -> None:
    """Two pots would do as well; what was promised for the second is cooked in the second."""
    everything = Limit("away", frozenset(range(8)))
    pots = tuple(
        Cooker(name, name, 1, 4, {"a": 4, "b": 4}, {"a": "bags", "b": "bags"}) for name in ("pot 1", "pot 2")
    )
    problem = Problem(
        date(2027, 1, 1),
        7,
        (Work("a", (everything,)), Work("b", (everything,))),
        day_limits=(DayLimit("hands", "hands", dict.fromkeys(range(8), 10), {"a": 1, "b": 1}),),
        cookers=pots,
    )
    for cooker in ({"a": "pot 1", "b": "pot 2"}, {"a": "pot 2", "b": "pot 1"}):
        found = replanned(problem, Days({"a": {2: 1}, "b": {2: 1}}, cooker))
        assert isinstance(found, Kept)
        assert found.found.days.cooker == cooker
