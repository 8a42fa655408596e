"""How long whole processes take, each beside the bare import of the solver in the same round.

A slow machine, or one that is busy for a while, therefore does not look like a slow program. Each figure is the
middle one of a few rounds, in each of which every process runs once.
"""

from __future__ import annotations

import os
import shutil
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path

from scheduler.service import planning, recording, seasons
from tests.bench.losses import DAY, losses
from tests.bench.table import Column, Rows, Run, Table
from tests.command import PLANNED

IMPORT = [sys.executable, "-c", "from ortools.sat.python import cp_model"]
TYPER = [sys.executable, "-c", "import typer"]
"""What any program with such a command line pays: `python -c pass`, and the import of its library."""
COMMAND = [sys.executable, "-m", "scheduler.cli"]
ROUNDS, QUICK_ROUNDS = 3, 2
QUICK = ("backyard", "market")
SEED = 1
CLOCK = seasons.Clock(date(2026, 11, 25), "UTC")
COMMANDS = ("check", "plan", "replan", "calendar", "outlook")


@dataclass(frozen=True)
class Timed:
    """A process, and what has to be put in place before it."""

    command: Sequence[str]
    before: Callable[[], object] = lambda: None


def measure(run: Run) -> Rows:
    """A row for the imports, and one for each example."""
    names = QUICK if run.quick else PLANNED
    timed = {("bare", "import"): Timed(IMPORT), ("typer", "import"): Timed(TYPER)}
    timed["help", ""] = Timed([*COMMAND, "--help"])
    for name in names:
        timed |= {(name, command): one for command, one in _commands(name, run.folder).items()}
    took = rounds(timed, QUICK_ROUNDS if run.quick else ROUNDS)
    bare, typer = took["bare", "import"], took["typer", "import"]
    rows: dict[str, dict[str, float]] = {
        "bare import of the solver": {"all_s": bare},
        "budswell --help": {"all_s": took["help", ""], "of_typer": took["help", ""] / typer},
    }
    for name in names:
        rows[name] = {command: took[name, command] / bare for command in COMMANDS}
        rows[name]["all_s"] = sum(took[name, command] for command in COMMANDS)
    return rows


def _commands(name: str, folder: Path) -> Mapping[str, Timed]:
    """Each command on an example; `replan` after a loss in a season that went as planned until then."""
    season, under_way = str(folder / name), folder / f"{name} under way"
    shutil.copytree(season, under_way)
    book = under_way / "season.book"
    today = _lost(name, under_way)
    lost = Path(shutil.copy(book, book.with_suffix(".lost")))
    replan = [*COMMAND, "replan", str(under_way), "--today", str(today)]
    calendar = ["calendar", season, "-o", str(folder / f"{name}.ics")]
    return {
        "check": Timed([*COMMAND, "check", season]),
        "plan": Timed([*COMMAND, "plan", season]),
        "replan": Timed(replan, partial(shutil.copy, lost, book)),
        "calendar": Timed([*COMMAND, *calendar]),
        "outlook": Timed([*COMMAND, "outlook", season]),
    }


def _lost(name: str, season: Path) -> date:
    """Records in a season all that was done, and then a loss after which there is still a plan; its day."""
    planning.plan_and_keep(*seasons.read(season, CLOCK, None), kept_at="")
    book = season / "season.book"
    planned = book.read_bytes()
    for loss in losses(name, 20, SEED):
        book.write_bytes(planned)
        for words, today in ((["done", "all"], loss.today - DAY), (loss.words.split(), loss.today)):
            recording.record(season, words, clock=today, today=today, on=None, force=True, at="")
        lost = book.read_bytes()
        replan = [*COMMAND, "replan", str(season), "--today", str(loss.today)]
        ended = subprocess.run(replan, check=False, capture_output=True)
        book.write_bytes(lost)
        if ended.returncode == 0:
            return loss.today
    raise RuntimeError(f"no loss of {name} can be made good")


def rounds(timed: Mapping[tuple[str, str], Timed], count: int) -> dict[tuple[str, str], float]:
    """The middle one of so many rounds for each process, in seconds; what they print goes nowhere.

    Compiled modules are kept between rounds, as they are on a grower's machine.
    """
    surroundings = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    took: dict[tuple[str, str], list[float]] = {name: [] for name in timed}
    for turn in range(count + 1):
        for name, one in timed.items():
            one.before()
            start = time.perf_counter()
            subprocess.run(one.command, check=True, stdout=subprocess.DEVNULL, env=surroundings)
            if turn:  # the first round fills what is kept between processes
                took[name].append(time.perf_counter() - start)
    return {name: statistics.median(seconds) for name, seconds in took.items()}


def bare_import() -> float:
    """Seconds of a process that imports the solver and does nothing."""
    return rounds({("bare", ""): Timed(IMPORT)}, ROUNDS)["bare", ""]


TABLE = Table(
    "Whole processes: seconds in all, and times the bare import of the solver in the same round",
    (
        Column("all_s", "seconds", "{:.2f}"),
        Column("of_typer", "import of typer", "{:.2f} x"),
        *(Column(command, command, "{:.2f} x") for command in COMMANDS),
    ),
    measure,
)
