"""How long a club's 200 backyard seasons take on one core and on two, and again when they are known."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys

from tests.bench.processes import COMMAND
from tests.bench.table import Column, Rows, Run, Table
from tests.club import write_club

SEASONS, FEW = 200, 20
WATCH = """
import json, resource, subprocess, sys, time
start = time.perf_counter()
subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, check=True)
took, used = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
measured = {"took_s": took, "processor_s": used.ru_utime + used.ru_stime, "largest_mb": used.ru_maxrss / 1024}
print(json.dumps(measured))
"""
"""Runs a command from a small process: what a large one has in memory would count as its child's."""


def measure(run: Run) -> Rows:
    """Seconds by the clock and of the processor, and the memory of the largest process, for each run."""
    write_club(run.folder / "club", FEW if run.quick else SEASONS)
    call = [*COMMAND, "plan-many", str(run.folder / "club"), "-o", str(run.folder / "club.csv")]
    rows = {}
    for name, options in (
        ("on one core", ["--jobs", "1", "--anew"]),
        ("on two cores", ["--jobs", "2", "--anew"]),
        ("again, nothing changed", ["--jobs", "2"]),
    ):
        rows[name] = _measured([*call, *options])
    shutil.rmtree(run.folder / "club")
    return rows


def _measured(call: list[str]) -> dict[str, float]:
    ended = subprocess.run([sys.executable, "-c", WATCH, *call], stdout=subprocess.PIPE, check=True)
    found: dict[str, float] = json.loads(ended.stdout)
    return found


TABLE = Table(
    f"A club's {SEASONS} seasons like the backyard ({FEW} in a quick run)",
    (
        Column("took_s", "seconds", "{:.1f}"),
        Column("processor_s", "of the processor", "{:.1f}"),
        Column("largest_mb", "MB of the largest process", "{:.0f}"),
    ),
    measure,
)
