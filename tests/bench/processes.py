"""How long whole processes take, as ratios to the bare solver import measured in the same run.

So a slow machine does not look like a slow program.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path

from scheduler.service import planning, recording, seasons

IMPORT = [sys.executable, "-c", "import ortools.sat.python.cp_model"]
COMMAND = [sys.executable, "-m", "scheduler.cli"]
ROUNDS = 7
IN_FEBRUARY = "2027-02-04"
LOST = "SCW-Sa 2"
"""What is lost of the market garden on that day, when all was done as planned before it."""


def table(folder: Path) -> None:
    """Print a row for each command; `folder` holds copies of the examples."""
    bare = seconds([IMPORT])
    _row("bare solver import", bare, bare)
    backyard, market = str(folder / "backyard"), str(folder / "market")
    for name, arguments in (
        ("budswell --help", ["--help"]),
        ("budswell check examples/backyard", ["check", backyard]),
        ("budswell plan examples/backyard", ["plan", backyard]),
        ("budswell plan examples/market", ["plan", market]),
        ("budswell calendar examples/backyard", ["calendar", backyard, "-o", str(folder / "x.ics")]),
    ):
        _row(name, seconds([[*COMMAND, *arguments]]), bare)
    season = under_way(Path(shutil.copytree(market, folder / "under way")))
    book = season / "season.book"
    planned, lost = book.with_suffix(".planned"), book.with_suffix(".lost")
    record = [*COMMAND, "record", str(season), "lost", *LOST.split(), "--today", IN_FEBRUARY]
    replan = [*COMMAND, "replan", str(season), "--today", IN_FEBRUARY]
    shutil.copy(book, planned)
    subprocess.run(record, check=True, stdout=subprocess.DEVNULL)
    shutil.copy(book, lost)
    for name, commands, kept in (
        ("record, market in February", [record], planned),
        ("replan, market in February", [replan], lost),
        ("record and replan, the same", [record, replan], planned),
    ):
        _row(name, seconds(commands, before=partial(shutil.copy, kept, book)), bare)


def under_way(season: Path) -> Path:
    """The season with a plan, and everything before the day of the loss recorded as done."""
    clock = seasons.Clock(date(2026, 11, 25), "UTC")
    (season / "season.book").unlink(missing_ok=True)
    planning.plan_and_keep(*seasons.read(season, clock, None), kept_at="")
    today = date.fromisoformat(IN_FEBRUARY)
    recording.record(season, ["done", "all"], clock=today, today=today, on=None, force=True, at="")
    return season


def seconds(commands: list[list[str]], before: Callable[[], object] = lambda: None) -> float:
    """Best of a few rounds of some processes one after the other, in seconds; what they print goes nowhere.

    Compiled modules are kept between rounds, as they are on a grower's machine.
    """
    surroundings = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    best = float("inf")
    for _ in range(ROUNDS):
        before()
        start = time.perf_counter()
        for command in commands:
            subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=surroundings)
        best = min(best, time.perf_counter() - start)
    return best


def _row(name: str, took: float, bare: float) -> None:
    print(f"{name:36} {took:6.2f} s  {took / bare:5.2f} x", flush=True)
