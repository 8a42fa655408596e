"""How long it takes to play 20,000 seasons of an example once, and to ask the outlook everything."""

from __future__ import annotations

import itertools
import time
from datetime import date
from pathlib import Path

from scheduler.outlook.findings import look_ahead
from scheduler.outlook.simulate import simulate
from scheduler.service import planning, seasons
from scheduler.service.outlook import course_of
from tests.command import PLANNED

SEASONS = 20_000


def table(folder: Path) -> None:
    """Print a row for each example; `folder` holds copies of the examples. Seconds are those of the processor."""
    print(f"outlook, {SEASONS} seasons   described   played once   everything   chance")
    for name in PLANNED:
        season, catalogue = seasons.read(folder / name, seasons.Clock(date(2026, 11, 25), "UTC"), None)
        made = planning.make_season(season, catalogue)
        times = [time.process_time()]
        course = course_of(season, catalogue, made.plan, made.basis)
        times.append(time.process_time())
        simulate(course, SEASONS, 1)
        times.append(time.process_time())
        found = look_ahead(course, made.plan, seasons=SEASONS, seed=1)
        times.append(time.process_time())
        described, played, asked = (after - before for before, after in itertools.pairwise(times))
        print(
            f"  {name:22} {described:6.2f} s     {played:6.2f} s     {asked:6.2f} s   "
            f"{100 * found.chance:.1f} % +- {100 * found.stderr:.1f}",
            flush=True,
        )
