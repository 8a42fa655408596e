"""A search that is watched: when its first answer was there, when each tier was settled, and an end in time."""

from __future__ import annotations

import time
from contextlib import suppress
from dataclasses import dataclass, field

from scheduler.checker.schedule import check_days, value
from scheduler.problem.shapes import Problem
from scheduler.solve.params import Budget
from scheduler.solve.search import Found, Outcome, solve

LOOKING = ("ideal", "plantings", "confirm", "")
"""While these are sought there is no answer yet."""


@dataclass
class Watched:
    """What a search found, and when; None for what it did not come to."""

    first_s: float | None = None
    took_s: float = 0.0
    found: Found | None = None
    verdict: str = "not found"
    """What it came to where nothing was found."""
    ends_s: dict[str, float] = field(default_factory=dict)
    """When each tier was left."""


def watched(problem: Problem, limit_s: float) -> Watched:
    """The search for a Problem, stopped after so many seconds as a grower would stop it.

    Raises AssertionError where the checker does not approve what it found.
    """
    seen = Watched()
    start = time.perf_counter()
    tier = ""

    def watch(now: str, _seconds: float, _best: int | None) -> None:
        nonlocal tier
        passed = time.perf_counter() - start
        if now != tier:
            seen.ends_s[tier] = passed
            tier = now
        if seen.first_s is None and now not in LOOKING:
            seen.first_s = passed
        if passed > limit_s:
            raise KeyboardInterrupt

    outcome: Outcome | None = None
    with suppress(KeyboardInterrupt):
        outcome = solve(problem, budget=Budget(), watch=watch)
    seen.took_s = seen.ends_s[tier] = time.perf_counter() - start
    if isinstance(outcome, Found):
        assert check_days(problem, outcome.days) == []
        seen.found = outcome
        seen.first_s = seen.took_s if seen.first_s is None else seen.first_s
    elif outcome is not None and outcome.confirmed:
        seen.verdict = "refused"
    return seen


def gaps(problem: Problem, found: Found) -> dict[str, int]:
    """By tier, how much more the answer costs than any has to, as far as is known."""
    worth = value(problem, found.days)
    known = {tier.name: tier.bound for tier in found.tiers}
    return {
        name: worth.get(number, 0) - known.get(name, 0)
        for number, name in ((3, "margin"), (4, "risk"), (5, "days"))
    }


def proved_s(seen: Watched) -> dict[str, float | None]:
    """By tier, the seconds after which it was proved; a tier whose aims an ideal answer meets needs no search."""
    if seen.found is None:
        return {}
    return {
        tier.name: seen.ends_s.get(tier.name, seen.first_s) if tier.proved else None
        for tier in seen.found.tiers
    }
