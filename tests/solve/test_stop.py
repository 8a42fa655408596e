"""Stopping a search by Ctrl-C: the best answer so far where there is one, and progress until then."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

import pytest

from scheduler.checker.schedule import check_days
from scheduler.solve.params import Budget
from scheduler.solve.search import Found, solve
from tests.solve.seasons import season

REPOSITORY = Path(__file__).parents[2]

SCRIPT = """
from tests.solve.seasons import season
from scheduler.checker.schedule import check_days
from scheduler.solve.search import solve
from scheduler.solve.params import Budget

def watch(tier, seconds, best):
    print(tier, flush=True)

problem = season(16)
outcome = solve(problem, budget=Budget(50.0), watch=watch)
print("stopped", outcome.stopped, check_days(problem, outcome.days), [tier.name for tier in outcome.tiers])
"""


def test_ctrl_c_ends_with_the_best_answer_so_far() -> None:
    """A signal to a process that counts days with work ends it soon, with an answer that keeps all rules."""
    with subprocess.Popen(
        [sys.executable, "-c", SCRIPT],
        cwd=REPOSITORY,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        for line in process.stdout:
            if line == "days\n":
                process.send_signal(signal.SIGINT)
                break
        rest = process.stdout.read()
        assert process.wait() == 0, process.stderr.read()
    assert rest.splitlines()[-1] == "stopped True [] ['plantings', 'ideal', 'margin', 'risk', 'days']"


def test_ctrl_c_before_any_answer_passes_through() -> None:
    """Where there is no answer yet there is nothing to end with."""

    def stop(tier: str, seconds: float, best: int | None) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        solve(season(12, late=72, seed=1), budget=Budget(20.0), watch=stop)


def test_progress_tells_tier_seconds_and_best_value() -> None:
    """Whoever watches sees time go by, and the best value of the tier fall."""
    seen: list[tuple[str, float, int | None]] = []

    def watch(tier: str, seconds: float, best: int | None) -> None:
        seen.append((tier, seconds, best))
        if tier == "days" and best is not None:
            raise KeyboardInterrupt

    problem = season(12)
    outcome = solve(problem, budget=Budget(50.0), watch=watch)
    assert isinstance(outcome, Found)
    assert outcome.stopped
    assert check_days(problem, outcome.days) == []
    assert [seconds for _, seconds, _ in seen] == sorted(seconds for _, seconds, _ in seen)
    tier, _, best = seen[-1]
    assert tier == "days"
    days = next(tier for tier in outcome.tiers if tier.name == "days")
    assert best is not None
    assert days.bound <= days.value <= best


def test_an_error_of_the_watcher_ends_the_search() -> None:
    """A progress display that fails is not passed over, and leaves no search behind."""

    def broken(tier: str, seconds: float, best: int | None) -> None:
        raise OSError("no terminal")

    with pytest.raises(OSError, match="no terminal"):
        solve(season(16), budget=Budget(50.0), watch=broken)
