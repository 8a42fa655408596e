"""Solver and checker on the same compiled seasons: what one refuses, the other refuses."""

from __future__ import annotations

from collections import Counter
from random import Random

import pytest

from scheduler.checker.schedule import check_days
from scheduler.lines.sizing import size
from scheduler.problem.compile import compile_season
from scheduler.solve.fixed import fixed
from scheduler.solve.params import Budget
from scheduler.solve.search import Found, solve
from tests.grower import BED, OAK, TOTEMS, catalogue, season
from tests.seasons.mutated import mutated, snug

SEASONS = {
    "one stack": season(OAK),
    "stack and bed": season(OAK, BED),
    "three plantings": season(OAK, TOTEMS, BED),
    "helpers and a tank": season(
        OAK,
        BED,
        help_=("on = 2027-04-24\npeople = 2\nhours = 5",),
        tools='tank = "900 L"\ndrills = 2',
    ),
}
CHANGES = 150


@pytest.mark.parametrize("name", SEASONS)
def test_what_the_checker_refuses_the_solver_refuses_and_the_other_way_round(name: str) -> None:
    """An answer changed at random is accepted by both or by neither, with rooms and hours full to the brim."""
    made = SEASONS[name]
    problem = compile_season(made, catalogue(), size(made, catalogue(), "bare", {}))
    outcome = solve(problem, budget=Budget(0.2))
    assert isinstance(outcome, Found)
    problem = snug(problem, outcome.days)
    assert check_days(problem, outcome.days) == []
    assert fixed(problem, outcome.days)
    random = Random(name)
    verdicts: Counter[bool] = Counter()
    for _ in range(CHANGES):
        days = mutated(problem, outcome.days, random)
        stands = check_days(problem, days) == []
        assert fixed(problem, days) == stands, days
        verdicts[stands] += 1
    assert verdicts[False] >= CHANGES // 2
