"""How good the plans of the examples are: each tier's value, its bound, and whether it is proved."""

from __future__ import annotations

import time
from datetime import date
from pathlib import Path

from scheduler.service import planning, seasons
from tests.command import PLANNED


def table(folder: Path) -> None:
    """Print every tier of every example; `folder` holds copies of the examples."""
    for name in PLANNED:
        season, catalogue = seasons.read(folder / name, seasons.Clock(date(2026, 11, 25), "UTC"), None)
        start = time.perf_counter()
        plan = planning.plan_season(season, catalogue)
        print(f"\n{name}: planned in {time.perf_counter() - start:.2f} s of this process")
        for tier in plan.tiers:
            proved = "proved" if tier.proved else "not proved"
            print(f"  {tier.name:10} value {tier.value:6}   bound {tier.bound:6}   {proved}", flush=True)
