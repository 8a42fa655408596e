"""Whole seasons made up by hypothesis: a plan that the checker approves, or a refusal; never anything else."""

from __future__ import annotations

from collections import Counter
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from scheduler.checker.stands import check_plan
from scheduler.checker.violation import Violation
from scheduler.errors import SeasonError
from scheduler.lines.shapes import Sizing
from scheduler.plan import Plan
from scheduler.problem.shapes import Days, Problem
from scheduler.progress import Progress
from scheduler.season.load import load_season
from scheduler.season.season import Season
from scheduler.service import attempt
from scheduler.solve.params import Budget
from tests.seasons.followed import Found, wrong
from tests.seasons.written import CATALOGUE, METHODS, season_files

EXAMPLES = 100
"""Seasons that begin with each of the six methods."""

APPROVED = 51
"""Plans of each of the six methods that the checker judges at least: more than three hundred in all."""

STEADY = settings(
    max_examples=EXAMPLES,
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


class Seen:
    """Stands in for the checker, and remembers each answer that was shown to it."""

    def __init__(self) -> None:
        self.found: list[Found] = []

    def __call__(
        self, plan: Plan, days: Days, season: Season, sizing: Sizing, problem: Problem, progress: Progress
    ) -> list[Violation]:
        """What the checker says."""
        self.found.append(Found(plan, days, problem))
        return check_plan(plan, days, season, sizing, problem, progress)

    def of(self, plan: Plan) -> Found:
        """The answer that a plan was written from."""
        return next(found for found in self.found if found.plan is plan)


def ended(path: Path, text: str) -> str:
    """How a season ends; an approved plan has to stand whatever else looks at it."""
    path.write_text(text, encoding="utf-8")
    seen = Seen()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(attempt, "check_plan", seen)
        try:
            season = load_season(path, CATALOGUE, clock=date(2026, 11, 25), system_timezone="UTC")
            outcome = attempt.attempt(season, CATALOGUE, budget=Budget(0.05))
        except SeasonError as faulty:
            assert all(fault.where and fault.found and fault.allowed for fault in faulty.faults)
            return "faulty"
    if isinstance(outcome, Plan):
        assert wrong(seen.of(outcome)) == []
        return "planned"
    return "refused" if outcome.confirmed else "refused, not confirmed"


@pytest.mark.parametrize("method", METHODS)
def test_a_season_is_planned_and_approved_or_refused(
    method: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The checker approves what is found; as a document, a calendar, on the screen and by its last days it holds."""
    tally: Counter[str] = Counter()

    @STEADY
    @given(season_files(method))
    def season(text: str) -> None:
        tally[ended(tmp_path / "season.toml", text)] += 1

    season()
    with capsys.disabled():
        print(f"\n{method}: {', '.join(f'{count} {how}' for how, count in tally.most_common())}")
    assert tally.total() >= EXAMPLES
    assert tally["faulty"] <= tally.total() // 5
    assert tally["planned"] >= APPROVED
    assert tally["refused"] >= 2
    assert tally["refused, not confirmed"] <= tally.total() // 20
