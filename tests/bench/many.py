"""How long a club's 200 backyard seasons take on one core and on two, and again when they are known."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

from tests.bench.processes import COMMAND
from tests.club import write_club

SEASONS = 200
WATCH = """
import json, resource, subprocess, sys, time
start = time.perf_counter()
subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, check=True)
took, used = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
measured = {"s": took, "processor_s": used.ru_utime + used.ru_stime, "largest_mb": used.ru_maxrss / 1024}
print(json.dumps(measured))
"""
"""Runs a command from a small process: what a large one has in memory would count as its child's."""


def rows(folder: Path, seasons: int = SEASONS) -> dict[str, dict[str, float]]:
    """Seconds by the clock and of the processor, and the memory of the largest process in MB, for each run.

    `folder` is where the club is written to.
    """
    write_club(folder / "club", seasons)
    call = [*COMMAND, "plan-many", str(folder / "club"), "-o", str(folder / "club.csv")]
    found = {}
    for name, options in (
        ("on one core", ["--jobs", "1", "--anew"]),
        ("on two cores", ["--jobs", "2", "--anew"]),
        ("again, nothing changed", ["--jobs", "2"]),
    ):
        found[name] = _measured([*call, *options])
    shutil.rmtree(folder / "club")
    return found


def _measured(call: list[str]) -> dict[str, float]:
    ended = subprocess.run([sys.executable, "-c", WATCH, *call], stdout=subprocess.PIPE, check=True)
    found: dict[str, float] = json.loads(ended.stdout)
    return found


def table(folder: Path) -> None:
    """Print a row for each run."""
    print(f"{SEASONS} backyard seasons            clock     processor   largest process")
    for name, measured in rows(folder).items():
        print(
            f"  {name:24} {measured['s']:8.1f} s   {measured['processor_s']:8.1f} s   "
            f"{measured['largest_mb']:10.0f} MB",
            flush=True,
        )
