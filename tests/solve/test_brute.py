"""The search against trying all answers, on tiny Problems made by chance."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from scheduler.checker.schedule import check_days, value
from scheduler.problem.relax import leave_out, rules_of
from scheduler.problem.shapes import Days, Problem
from scheduler.solve.explain import explain
from scheduler.solve.fixed import fixed
from scheduler.solve.params import Budget
from scheduler.solve.search import Found, Refused, solve
from tests.solve.brute import answers, cost, day
from tests.solve.random_problems import tiny

SEEDS = range(120)


def pushed(problem: Problem, days: Days) -> tuple[int, ...]:
    """How far an answer is from every push at its end, in order: the least is the best."""
    pushes = [push for group in problem.pushes for push in group]
    return tuple((-1 if push.late else 1) * day(problem, days.pieces, push.point) for push in pushes)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_tier_is_as_good_as_the_best_of_all_answers(seed: int) -> None:
    """Each tier in its turn costs what the best answer costs, and a Problem without answers is refused."""
    problem = tiny(seed)
    everything = list(answers(problem))
    outcome = solve(problem, budget=Budget())
    if not everything:
        assert outcome == Refused(confirmed=True)
        return
    assert isinstance(outcome, Found)
    found = tuple(cost(problem, outcome.days, tier) for tier in (3, 4, 5))
    assert found == min(tuple(cost(problem, days, tier) for tier in (3, 4, 5)) for days in everything)
    assert check_days(problem, outcome.days) == []
    told = {tier.name: tier for tier in outcome.tiers}
    by_name = {3: "margin", 4: "risk", 5: "days"}
    assert {by_name[tier]: amount for tier, amount in value(problem, outcome.days).items()} == {
        name: told[name].value for name in by_name.values() if name in told
    }
    assert all(tier.proved and tier.value == tier.bound for tier in outcome.tiers)
    if problem.terms:
        assert told["ideal"].value == int(found[:2] != (0, 0))


@pytest.mark.parametrize("seed", SEEDS)
def test_polish_pushes_each_point_as_far_as_any_equal_answer(seed: int) -> None:
    """Of all answers that cost the same, the first in the order of the pushes is found."""
    problem = replace(tiny(seed), day_cost=None)
    best = [(tuple(cost(problem, a, tier) for tier in (3, 4)), pushed(problem, a)) for a in answers(problem)]
    outcome = solve(problem, budget=Budget())
    assert isinstance(outcome, Found) == bool(best)
    if isinstance(outcome, Found):
        costs = tuple(cost(problem, outcome.days, tier) for tier in (3, 4))
        assert (costs, pushed(problem, outcome.days)) == min(best)


@pytest.mark.parametrize("seed", range(25))
def test_the_solver_accepts_what_keeps_all_rules_and_nothing_else(seed: int) -> None:
    """An exact answer is accepted just when it is among all answers; the checker says the same."""
    random = Random(seed)
    problem = tiny(seed)
    allowed = [(days.pieces, days.cooker) for days in answers(problem)]
    trials = random.sample(list(answers(leave_out(problem, {*rules_of(problem)}))), 12)
    trials += random.sample(list(answers(problem)), min(3, len(allowed)))
    for days in trials:
        keeps = (days.pieces, days.cooker) in allowed
        assert fixed(problem, days) == keeps
        assert (check_days(problem, days) == []) == (keeps or stays_backwards(problem, days))


def stays_backwards(problem: Problem, days: Days) -> bool:
    """Whether a stay ends before it starts, and nothing else is wrong."""
    return (
        any(
            day(problem, days.pieces, stay.start) > day(problem, days.pieces, stay.end)
            for room in problem.rooms
            for stay in room.stays
        )
        and check_days(problem, days) == []
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_an_explanation_clashes_and_can_spare_no_rule(seed: int) -> None:
    """The rules named have no answer together, and have one as soon as any of them is left out."""
    problem = tiny(seed)
    named = set(explain(problem, Budget()))
    others = set(rules_of(problem)) - named
    if any(True for _ in answers(problem)):
        assert named == set()
        return
    assert not any(True for _ in answers(leave_out(problem, others)))
    for rule in named:
        assert any(True for _ in answers(leave_out(problem, others | {rule})))


def test_tiny_problems_are_of_both_kinds() -> None:
    """The seeds hold Problems with and without answers, with loads, spread works and late pushes."""
    counts = [sum(1 for _ in answers(tiny(seed))) for seed in SEEDS]
    assert 30 < counts.count(0) < 90
    assert any(len(days.pieces["plant"]) > 1 for seed in SEEDS for days in answers(tiny(seed)))
    assert max(counts) > 100
