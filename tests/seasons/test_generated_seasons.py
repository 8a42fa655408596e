"""Whole seasons made up by hypothesis: a plan that the checker approves, or a refusal; never anything else."""

from __future__ import annotations

from collections import Counter
from datetime import date
from functools import lru_cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from scheduler.assemble.plan import assemble
from scheduler.checker.stands import check_plan
from scheduler.errors import SeasonError
from scheduler.lines.sizing import size
from scheduler.problem.compile import compile_season
from scheduler.season.load import load_season
from scheduler.season.season import Season
from scheduler.service.planning import _with_either
from scheduler.solve.params import Budget
from scheduler.solve.search import Found, solve
from scheduler.trade.catalogue import Catalogue, load
from tests.seasons import followed
from tests.seasons.written import season_files

METHODS = ("drilled logs", "wedge-cut logs", "log raft", "totem", "stump", "chip bed")
EXAMPLES = 110
PLANNED = 45
"""Seasons of each method, and how many of them at least are planned; more than three hundred in all."""

STEADY = settings(
    max_examples=EXAMPLES,
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
)


@lru_cache(maxsize=1)
def catalogue() -> Catalogue:
    """The catalogue, read once."""
    return load()


def read(folder: Path, text: str) -> Season | None:
    """The season of a text, None where the text is truly faulty."""
    path = folder / "season.toml"
    path.write_text(text, encoding="utf-8")
    try:
        return load_season(path, catalogue(), clock=date(2026, 11, 25), system_timezone="UTC")
    except SeasonError:
        return None


@pytest.mark.parametrize("method", METHODS)
def test_a_season_is_planned_and_approved_or_refused(method: str, tmp_path: Path) -> None:
    """What is found stands before the checker, as a document, a calendar, and on the screen."""
    ended: Counter[str] = Counter()

    @STEADY
    @given(season_files(method))
    def planned(text: str) -> None:
        season = read(tmp_path, text)
        if season is None:
            ended["faulty"] += 1
            return
        season = _with_either(season, "make")
        try:
            sizing = size(season, catalogue(), "halfway", {})
        except SeasonError:
            ended["cannot be made"] += 1
            return
        problem = compile_season(season, catalogue(), sizing)
        outcome = solve(problem, budget=Budget(0.1))
        if not isinstance(outcome, Found):
            ended["refused"] += 1
            return
        ended["planned"] += 1
        plan, days = assemble(
            season,
            catalogue(),
            sizing,
            problem,
            outcome.days,
            status="planned",
            tiers=outcome.tiers,
            inputs_sha="0" * 64,
            made_with="test",
        )
        assert check_plan(plan, days, season, sizing, problem) == []
        assert followed.wrong(followed.Found(plan, days, problem)) == []

    planned()
    print(f"{method}: {dict(ended)}")
    assert ended["planned"] >= PLANNED
    assert ended["faulty"] + ended["cannot be made"] <= sum(ended.values()) // 5
