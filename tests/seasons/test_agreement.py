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
from tests.grower import BED, CULTURE, OAK, TOTEMS, catalogue, season
from tests.seasons.mutated import mutated, snug

COOKER = '\n[[lab.cooker]]\nkind = "{}"\nholds = {{ "quart jar" = {}, "2.3 kg bag" = {}, "plate" = 60, "culture bottle" = 8 }}'
SEASONS = {
    "one stack": season(OAK, stock=(CULTURE,)),
    "totems, two cookers and a drum": season(
        TOTEMS,
        people="hours = { wed = 3, sat = 8, sun = 8 }\nhome = { sat = 20, sun = 20 }",
        lab='media = "own"'
        + COOKER.format("pressure cooker", 7, 3)
        + COOKER.format("pressure cooker", 4, 2)
        + COOKER.format("steam drum", 20, 12),
    ),
    "stack and bed, helpers and a tank": season(
        OAK, BED, help_=("on = 2027-04-24\npeople = 2\nhours = 5",), tools='tank = "900 L"\ndrills = 2'
    ),
    "three plantings": season(OAK, TOTEMS, BED),
}
CHANGES = 132
"""Changed answers of each season; more than five hundred in all."""


@pytest.mark.parametrize("name", SEASONS)
def test_what_the_checker_refuses_the_solver_refuses_and_the_other_way_round(name: str) -> None:
    """An answer changed step by step is accepted by both or by neither, half of them with no room to spare."""
    sizing = size(SEASONS[name], catalogue(), "bare", {})
    loose = compile_season(SEASONS[name], catalogue(), sizing)
    outcome = solve(loose, budget=Budget(0.2))
    assert isinstance(outcome, Found)
    random = Random(name)
    verdicts: Counter[bool] = Counter()
    for problem in (loose, snug(loose, outcome.days)):
        days = outcome.days
        assert fixed(problem, days)
        assert check_days(problem, days) == []
        for _ in range(CHANGES // 2):
            changed = mutated(problem, days, random)
            broken = check_days(problem, changed)
            assert fixed(problem, changed) == (not broken), (broken, changed)
            verdicts[not broken] += 1
            days = days if broken else changed
    assert min(verdicts[True], verdicts[False]) >= CHANGES // 8
