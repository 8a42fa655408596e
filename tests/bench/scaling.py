"""How planning grows with the plantings of a season: time, proof, what is left open, and memory.

Each season is planned in a process of its own, whose peak of memory is read from the system.
"""

from __future__ import annotations

import json
import math
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

from scheduler.problem.shapes import Problem
from tests.bench import generate
from tests.bench.table import Cell, Column, Rows, Run, Table
from tests.bench.watched import Watched, gaps, proved_s, watched
from tests.command import ROOT

KINDS = ("realistic", "crowded")
SEED = 1
SHORT_S, LONG_S = 10.0, 60.0
"""After so many seconds it is asked what is left open."""
QUICK_SIZES = (1, 2, 4, 8)
COMFORTABLE, SEEDS = 16, range(1, 11)
"""Plantings of the comfortable seasons, and their seeds."""
SOON_S = 5.0
TIERS = ("margin", "risk", "days")


def measure(run: Run) -> Rows:
    """A row for each season by kind and size, and one for the growth of each kind."""
    rows: dict[str, Mapping[str, Cell]] = {}
    for kind in KINDS:
        sizes = QUICK_SIZES if run.quick else generate.SIZES
        mine = {size: planned(generate.write(run.folder, size, kind, SEED), LONG_S) for size in sizes}
        rows |= {f"{kind}, {size}": row for size, row in mine.items()}
        first = {size: row["first_s"] for size, row in mine.items()}
        there = {size: seconds for size, seconds in first.items() if isinstance(seconds, float)}
        rows[f"{kind}, n"] = {"growth": exponent(list(there), list(there.values()))}
    return rows


def comfortable(run: Run) -> Rows:
    """One row for all comfortable seasons: the middle and the longest time, and how many are proved soon."""
    seeds = SEEDS[:2] if run.quick else SEEDS
    mine = [planned(generate.write(run.folder, COMFORTABLE, "comfortable", seed), SOON_S) for seed in seeds]
    first = [row["first_s"] for row in mine]
    there = sorted(seconds for seconds in first if isinstance(seconds, float))
    soon = [row for row in mine if all(_is_soon(row[f"{tier}_s"]) for tier in TIERS[:2])]
    row: dict[str, Cell] = {
        "planned": f"{len(there)} of {len(mine)}",
        "soon": f"{len(soon)} of {len(mine)}",
        "middle_s": statistics.median(there) if there else None,
        "worst_s": there[-1] if there else None,
    }
    return {f"comfortable, {COMFORTABLE}": row}


def _is_soon(seconds: Cell) -> bool:
    return isinstance(seconds, float) and seconds <= SOON_S


def exponent(sizes: Sequence[float], seconds: Sequence[float]) -> float | None:
    """The power of the size that seconds grow with: the slope of the least squares between their logarithms.

    None of fewer than two sizes. What took less than a millisecond is taken to have taken one.
    """
    if len(sizes) < 2:
        return None
    x, y = [math.log(size) for size in sizes], [math.log(max(1e-3, took)) for took in seconds]
    mean_x, mean_y = sum(x) / len(x), sum(y) / len(y)
    across = sum((a - mean_x) * (b - mean_y) for a, b in zip(x, y, strict=True))
    return round(across / sum((a - mean_x) ** 2 for a in x), 2)


def planned(season: Path, limit_s: float) -> Mapping[str, Cell]:
    """The row of a season, planned in a process of its own."""
    command = [sys.executable, "-m", "tests.bench.scaling", str(season), str(limit_s)]
    ended = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    found: Mapping[str, Cell] = json.loads(ended.stdout)
    return found


def row(season: Path, limit_s: float) -> dict[str, Cell]:
    """What a season's row says, and the peak of this process's memory."""
    start = time.perf_counter()
    problem = generate.compiled(season).problem
    compiled_s = time.perf_counter() - start
    seen = watched(problem, limit_s)
    proofs = proved_s(seen)
    cells: dict[str, Cell] = {
        "works": len(problem.works),
        "compiled_s": compiled_s,
        "first_s": seen.first_s,
        **{f"{tier}_s": proofs.get(tier) for tier in TIERS},
        "took_s": seen.took_s,
        "mb": _peak_mb(),
    }
    short = seen if seen.took_s <= SHORT_S or limit_s <= SHORT_S else watched(problem, SHORT_S)
    cells["open_short"], cells["open_long"] = _open(problem, short), _open(problem, seen)
    return cells


def _open(problem: Problem, seen: Watched) -> str:
    if seen.found is None:
        return seen.verdict
    return " ".join(str(gap) for gap in gaps(problem, seen.found).values())


def _peak_mb() -> float:
    """Most memory this process ever held, as the system counts it for this program alone where it does."""
    status = Path("/proc/self/status")
    if status.is_file():
        line = next(line for line in status.read_text().splitlines() if line.startswith("VmHWM"))
        return int(line.split()[1]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


TABLE = Table(
    "Made-up seasons by kind and plantings, each in a process of its own",
    (
        Column("works", "works"),
        Column("first_s", "first", "{:.2f}"),
        Column("margin_s", "margin", "{:.2f}"),
        Column("risk_s", "risk", "{:.2f}"),
        Column("days_s", "days", "{:.2f}"),
        Column("took_s", "all", "{:.2f}"),
        Column("open_short", "gap at 10 s"),
        Column("open_long", "at 60 s"),
        Column("mb", "MB", "{:.0f}"),
        Column("growth", "n^", "{:.2f}"),
    ),
    measure,
    (
        "Seconds until the first plan, until a tier is proved (- if it is not), and in all. Gaps between",
        "what margin, risk and days cost and what they cost at least. n^: growth of the first plan's time.",
    ),
)
MANY = Table(
    f"Seasons of {COMFORTABLE} plantings with room to spare: planned, with margin and risk proved, in {SOON_S:g} s",
    (
        Column("planned", "planned"),
        Column("soon", "proved"),
        Column("middle_s", "first plan: middle", "{:.2f}"),
        Column("worst_s", "longest", "{:.2f}"),
    ),
    comfortable,
)

if __name__ == "__main__":
    print(json.dumps(row(Path(sys.argv[1]), float(sys.argv[2]))))
