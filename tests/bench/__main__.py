"""One table of how long things take: ``python -m tests.bench``.

Whole processes are given as ratios to the bare solver import measured in the same run, so that a slow
machine does not look like a slow program. Nothing here is a test: no time is asserted anywhere.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
from datetime import date
from pathlib import Path

REPOSITORY = Path(__file__).parents[2]
IMPORT = "import ortools.sat.python.cp_model"
ROUNDS = 7


def seconds(command: list[str]) -> float:
    """Best of a few rounds of one process, in seconds; what it prints goes nowhere.

    Compiled modules are kept between rounds, as they are on a grower's machine.
    """
    surroundings = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    best = float("inf")
    for _ in range(ROUNDS):
        start = time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=surroundings)
        best = min(best, time.perf_counter() - start)
    return best


def processes(folder: Path) -> None:
    """Whole processes as ratios to the bare solver import."""
    bare = seconds([sys.executable, "-c", IMPORT])
    print(f"{'bare solver import':34} {bare:6.2f} s   1.00 x")
    for name, arguments in (
        ("budswell --help", ["--help"]),
        ("budswell check examples/backyard", ["check", str(folder / "backyard")]),
        ("budswell plan examples/backyard", ["plan", str(folder / "backyard")]),
        ("budswell plan examples/market", ["plan", str(folder / "market")]),
        (
            "budswell calendar examples/backyard",
            ["calendar", str(folder / "backyard"), "-o", str(folder / "x.ics")],
        ),
    ):
        took = seconds([sys.executable, "-m", "scheduler.cli", *arguments])
        print(f"{name:34} {took:6.2f} s   {took / bare:.2f} x")


def tiers(folder: Path) -> None:
    """Each tier of each example: value, bound, and whether it is proved."""
    from scheduler.service import planning, seasons

    for name in ("backyard", "market", "south", "cold-room"):
        clock = seasons.Clock(date(2026, 11, 25), "UTC")
        season, catalogue = seasons.read(folder / name, clock, None)
        start = time.perf_counter()
        plan = planning.plan_season(season, catalogue)
        print(f"\n{name}: planned in {time.perf_counter() - start:.2f} s of this process")
        for tier in plan.tiers:
            proved = "proved" if tier.proved else "not proved"
            print(f"  {tier.name:10} value {tier.value:6}   bound {tier.bound:6}   {proved}")


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "examples"
        shutil.copytree(REPOSITORY / "examples", folder)
        processes(folder)
        tiers(folder)


if __name__ == "__main__":
    main()
