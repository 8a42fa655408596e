"""How long it takes to play 20,000 seasons of an example once, and to ask the outlook everything."""

from __future__ import annotations

import itertools
import time

from scheduler.outlook.findings import look_ahead
from scheduler.outlook.simulate import simulate
from scheduler.service import planning, seasons
from scheduler.service.outlook import course_of
from tests.bench.processes import CLOCK
from tests.bench.table import Cell, Column, Rows, Run, Table
from tests.command import PLANNED

SEASONS = 20_000
COLUMNS = (
    Column("described_s", "described", "{:.2f}"),
    Column("played_s", "played once", "{:.2f}"),
    Column("asked_s", "everything", "{:.2f}"),
    Column("chance", "chance"),
)


def measure(run: Run) -> Rows:
    """A row for each example."""
    rows: dict[str, dict[str, Cell]] = {}
    for name in PLANNED:
        season, catalogue = seasons.read(run.folder / name, CLOCK, None)
        made = planning.make_season(season, catalogue)
        times = [time.process_time()]
        course = course_of(season, catalogue, made.plan, made.basis)
        times.append(time.process_time())
        simulate(course, SEASONS, 1)
        times.append(time.process_time())
        found = look_ahead(course, made.plan, seasons=SEASONS, seed=1)
        times.append(time.process_time())
        took = [after - before for before, after in itertools.pairwise(times)]
        rows[name] = {column.key: seconds for column, seconds in zip(COLUMNS, took, strict=False)}
        rows[name]["chance"] = f"{100 * found.chance:.1f} % +- {100 * found.stderr:.1f}"
    return rows


TABLE = Table(f"The outlook over {SEASONS} seasons, in seconds of the processor", COLUMNS, measure)
