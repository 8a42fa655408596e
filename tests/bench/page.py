"""How soon a page of the market garden begins to come, from a server that has shown it before.

The time of a whole call on this machine, from the first byte sent to the first one that comes back.
"""

from __future__ import annotations

import http.client
import shutil
import statistics
import time
from datetime import date
from pathlib import Path

from scheduler.service import planning, recording, seasons
from tests.bench.processes import CLOCK
from tests.bench.table import Column, Rows, Run, Table
from tests.february import AT
from tests.page.desk import opened

CALLS = 200
DAY = date(2027, 2, 4)
PAGES = ("/", "/season", "/shopping", "/book", "/batch/SCW-Sa")


def measure(run: Run) -> Rows:
    """A row for each page: the first call after something was recorded, then many warm ones."""
    season = _under_way(Path(shutil.copytree(run.folder / "market", run.folder / "page")))
    rows = {}
    with opened(season, today=DAY) as browser:
        caller = http.client.HTTPConnection(browser.host)
        for path in PAGES:
            recording.record(season, ["clean", "SCW-G1a"], clock=DAY, today=DAY, on=None, force=True, at=AT)
            first = _seconds(caller, path)
            warm = sorted(_seconds(caller, path) for _ in range(CALLS))
            rows[path] = {
                "first_s": first,
                "warm_s": statistics.median(warm),
                "slow_s": warm[int(0.95 * CALLS)],
            }
        caller.close()
    return rows


def _under_way(season: Path) -> Path:
    """The season with a plan of its own, and everything before the day recorded as done."""
    (season / "season.book").unlink(missing_ok=True)
    planning.plan_and_keep(*seasons.read(season, CLOCK, None), kept_at="")
    recording.record(season, ["done", "all"], clock=DAY, today=DAY, on=None, force=True, at=AT)
    return season


def _seconds(caller: http.client.HTTPConnection, path: str) -> float:
    """Until the first byte of the answer."""
    begin = time.perf_counter()
    caller.request("GET", path)
    got = caller.getresponse()
    got.read(1)
    took = time.perf_counter() - begin
    got.read()
    assert got.status == 200, path
    return took


TABLE = Table(
    "The page of the market garden in February: seconds until the first byte",
    (
        Column("first_s", "after an entry", "{:.3f}"),
        Column("warm_s", "shown before: middle", "{:.4f}"),
        Column("slow_s", "95 of 100", "{:.4f}"),
    ),
    measure,
)
