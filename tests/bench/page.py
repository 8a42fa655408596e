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

from scheduler.service import recording
from tests.bench.processes import IN_FEBRUARY, under_way
from tests.february import AT
from tests.page.desk import opened

CALLS = 200
PAGES = ("/", "/season", "/shopping", "/book", "/batch/SCW-Sa")


def table(folder: Path) -> None:
    """Print a row for each page: the first call after something was recorded, then many warm ones."""
    season = under_way(Path(shutil.copytree(folder / "market", folder / "page")))
    day = date.fromisoformat(IN_FEBRUARY)
    with opened(season, today=day) as browser:
        caller = http.client.HTTPConnection(browser.host)
        print("page, market in February        first  warm, middle    95 of 100")
        for path in PAGES:
            recording.record(season, ["clean", "SCW-G1a"], clock=day, today=day, on=None, force=True, at=AT)
            first = _seconds(caller, path)
            warm = sorted(_seconds(caller, path) for _ in range(CALLS))
            middle, slow = statistics.median(warm), warm[int(0.95 * CALLS)]
            print(f"  {path:26} {1000 * first:6.0f} ms  {1000 * middle:9.1f} ms {1000 * slow:9.1f} ms")
        caller.close()


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
