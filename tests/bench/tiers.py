"""How good the plans of the examples are: each tier's value, and its bound where it is not proved."""

from __future__ import annotations

import time
from collections.abc import Iterable

from scheduler.plan import Tier
from scheduler.service import planning, seasons
from tests.bench.processes import CLOCK
from tests.bench.table import Cell, Column, Rows, Run, Table
from tests.command import PLANNED

NAMES = ("ideal", "margin", "risk", "days", "polish")
COLUMNS = tuple(Column(name, name) for name in NAMES)


def measure(run: Run) -> Rows:
    """A row for each example."""
    rows: dict[str, dict[str, Cell]] = {}
    for name in PLANNED:
        season, catalogue = seasons.read(run.folder / name, CLOCK, None)
        start = time.perf_counter()
        plan = planning.plan_season(season, catalogue)
        rows[name] = {"took_s": time.perf_counter() - start, **values(plan.tiers)}
    return rows


def values(tiers: Iterable[Tier]) -> dict[str, Cell]:
    """The value of each tier, with its bound where the two are not the same."""
    return {tier.name: tier.value if tier.proved else f"{tier.value} (bound {tier.bound})" for tier in tiers}


TABLE = Table(
    "The examples, tier by tier: what the plan costs, and at least how much where that is not proved",
    (Column("took_s", "seconds", "{:.2f}"), *COLUMNS),
    measure,
)
