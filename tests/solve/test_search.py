"""The search on the golden tiny season: tiers, refusals, second looks, and the same answer every time."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from scheduler.errors import SolverDisagreement
from scheduler.plan import Tier
from scheduler.problem.shapes import Days, Lag, Point, Problem, Term
from scheduler.solve import second
from scheduler.solve.look import Answer, Look
from scheduler.solve.params import Budget
from scheduler.solve.search import Found, Refused, impossible, solve
from tests.solve.brute import answers, cost
from tests.solve.golden import golden
from tests.solve.seasons import season

REPOSITORY = Path(__file__).parents[2]


def found(problem: Problem) -> Found:
    """The outcome of a Problem that has an answer."""
    outcome = solve(problem, budget=Budget())
    assert isinstance(outcome, Found)
    return outcome


def test_the_golden_season_is_planned_as_by_hand() -> None:
    """Cook on day 2 and start on day 3 are the only ideal days that are not dear; planting takes two days."""
    outcome = found(golden())
    assert outcome.days.pieces["cook"] == {2: 1}
    assert outcome.days.pieces["start"] == {3: 1}
    assert outcome.days.pieces["plant"] == {14: 4, 16: 2}
    assert outcome.days.cooker == {"cook": "pot"}
    assert outcome.days.loads == {(2, "pot", "bags"): 1}
    assert outcome.tiers == (
        Tier("plantings", 0, 0, True),
        Tier("ideal", 0, 0, True),
        Tier("margin", 0, 0, True),
        Tier("risk", 0, 0, True),
        Tier("days", 5 * 60 + 60, 5 * 60 + 60, True),
        Tier("polish", 0, 0, True),
    )
    assert not outcome.stopped


def test_a_season_that_cannot_be_ideal_is_made_as_good_as_it_gets() -> None:
    """A margin that no day leaves is missed by as little as can be, then the risk, then days with work."""
    problem = golden(margin=12)
    outcome = found(problem)
    best = min(tuple(cost(problem, days, tier) for tier in (3, 4, 5)) for days in answers(problem))
    values = {tier.name: tier.value for tier in outcome.tiers}
    assert (values["margin"], values["risk"], values["days"]) == best
    assert outcome.tiers[1] == Tier("ideal", 1, 1, True)


@pytest.mark.parametrize(
    "problem",
    [golden(shelf=3), golden(window=range(8, 9))],
    ids=["found by the solver", "found by bounds"],
)
def test_what_cannot_be_is_refused_for_certain(problem: Problem) -> None:
    """A shelf too small needs the solver, a window too early only bounds: both are confirmed."""
    assert solve(problem, budget=Budget()) == Refused(confirmed=True)
    assert impossible(problem, budget=Budget())


def test_a_problem_without_aims_has_only_the_tiers_it_needs() -> None:
    """No terms, no days to count and nothing to push: one look, one tier."""
    plain = replace(golden(), terms=(), day_cost=None, pushes=())
    assert found(plain).tiers == (Tier("plantings", 0, 0, True),)


def test_a_last_day_to_be_early_goes_the_same_way() -> None:
    """One term of the risk tier with a single point is a makespan; its optimum is proved."""
    plain = replace(
        golden(), terms=(Term("last", 4, 1, plus=Point("plant", "last")),), day_cost=None, pushes=()
    )
    outcome = found(plain)
    earliest = min(days.last("plant") for days in answers(plain))
    assert outcome.tiers[1:] == (Tier("ideal", 1, 1, True), Tier("risk", earliest, earliest, True))


def test_aims_that_depend_on_no_day_cost_what_they_cost() -> None:
    """A term without points is a constant: it is counted, proved at once, and no ideal answer is found."""
    constant = (Term("lost", 3, 2, 5), Term("none", 3, 9, -5), Term("flat", 3, 4, 5, flat=True))
    outcome = found(replace(golden(), terms=constant))
    assert outcome.tiers[1:3] == (Tier("ideal", 1, 1, True), Tier("margin", 14, 14, True))


def test_promises_come_before_all_other_aims() -> None:
    """Terms of the first two tiers are met before margin and risk, under names of their own."""
    moved = (
        Term("start moved later", 1, 1, -1, Point("start"), flat=True),
        Term("start moved", 2, 1, -1, Point("start")),
        Term("cook moved", 2, 1, 1, None, Point("cook")),
    )
    problem = golden()
    outcome = found(replace(problem, terms=(*problem.terms, *moved)))
    assert [tier.name for tier in outcome.tiers] == [
        "plantings",
        "ideal",
        "moved tasks",
        "moved days",
        "margin",
        "risk",
        "days",
        "polish",
    ]
    assert outcome.days.first("start") == 1
    assert outcome.days.first("cook") == 0
    assert [tier.value for tier in outcome.tiers[2:4]] == [0, 1]


def test_without_time_nothing_is_claimed() -> None:
    """A budget of nothing neither finds nor refuses for certain."""
    assert isinstance(solve(season(3), budget=Budget(0.1)), Found)
    assert solve(season(3), budget=Budget(1e-12)) == Refused(confirmed=False)
    assert not impossible(season(3), budget=Budget(1e-12))
    assert not impossible(season(3), budget=Budget())


def test_an_unfinished_tier_shows_its_gap() -> None:
    """A crowded season in little time has values above its bounds, and says that they are not proved."""
    outcome = solve(season(6, room=0.5), budget=Budget(0.05))
    assert isinstance(outcome, Found)
    days = next(tier for tier in outcome.tiers if tier.name == "days")
    assert days.bound < days.value
    assert not days.proved


def test_two_looks_that_disagree_are_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the second look finds an answer that the first ruled out, nothing is shown but the disagreement."""
    answer = Answer(Days({"cook": {0: 1}}), {})

    def finds(*_: object) -> Look:
        return Look(answer, infeasible=False, settled=True, bound=0, stopped=False)

    monkeypatch.setattr(second, "look", finds)
    for asked in (solve, impossible):
        with pytest.raises(SolverDisagreement) as caught:
            asked(golden(shelf=3), budget=Budget())
        assert "{'cook': {0: 1}}" in caught.value.details[1]


def test_a_term_of_an_unknown_tier_is_an_error() -> None:
    """Tiers have names; a number without one is not passed over."""
    with pytest.raises(KeyError):
        solve(replace(golden(), terms=(Term("x", 9, 1, 1),)), budget=Budget())


def test_a_positive_circle_of_lags_is_refused_for_certain() -> None:
    """Lags that form a circle which cannot hold are refused by bounds, and by the solver that never saw them."""
    problem = golden()
    circle = replace(problem, lags=(*problem.lags, Lag("back", Point("plant"), Point("cook"), 0)))
    assert solve(circle, budget=Budget()) == Refused(confirmed=True)


SCRIPT = """
from tests.solve.seasons import season
from tests.solve.golden import golden
from scheduler.solve.search import solve
from scheduler.solve.explain import explain
from scheduler.solve.params import Budget
for problem in (golden(), season(2, cookers=2, batches=2), season(3, room=0.45)):
    print(solve(problem, budget=Budget(0.1)))
print(explain(golden(shelf=3), Budget()))
"""


def test_two_processes_find_the_same_answer() -> None:
    """The same Problem gives the same answer whatever the order of sets in a process."""
    printed = {
        subprocess.run(
            [sys.executable, "-c", SCRIPT],
            cwd=REPOSITORY,
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            check=True,
            text=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(printed) == 1
    assert printed.pop().count("Found(") == 3
