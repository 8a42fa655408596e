"""The same seasons planned in other ways, in the same run: what each way costs in time, and what its plans are worth.

- budswell: the search of this program.
- one sum: one plain model of all rules with all aims in one weighted sum (`monolith`).
- by hand: back from the planting days, one work after the other (`greedy`).
- PyJobShop: a library for machine scheduling on the same solver, as far as it can say the rules (`jobshop`).

Every plan is judged by the checker. Losses are played where all is planted: each way plans onward from its own.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from scheduler.problem import yard
from scheduler.problem.shapes import Days, Problem
from scheduler.solve.params import Budget
from scheduler.solve.replan import Kept, replan
from tests.bench import generate, greedy, jobshop, monolith
from tests.bench.lost import DONE, Loss, losses, onward
from tests.bench.quality import all_planted, quality
from tests.bench.table import Cell, Column, Rows, Run, Table
from tests.bench.watched import watched

LIMIT_S = 10.0
"""For a search that would go on for ever."""
ONWARD_S = 3.0
"""The same, for planning onward after a loss."""
OURS_S = 30.0
LOSSES = 3
LOSS_WORKS = 100
"""Losses are played in seasons of so many works at most."""
SEASONS = (("realistic", 4), ("realistic", 16), ("crowded", 4), ("crowded", 8), ("realistic", 64))
QUICK = SEASONS[:1]
SEED = 1


@dataclass(frozen=True)
class Plan:
    """Days that were found, and whether nothing can be better."""

    days: Days | None
    best: bool | None
    """None where that is not asked."""


@dataclass(frozen=True)
class Way:
    """A way to plan, and one to plan onward."""

    plan: Callable[[Problem, Sequence[str]], Plan]
    onward: Callable[[Loss, Sequence[str]], Days | None] | None = None


def _ours(problem: Problem, goals: Sequence[str]) -> Plan:
    found = watched(problem, OURS_S).found
    return Plan(found and found.days, found and all(tier.proved for tier in found.tiers))


def _ours_onward(loss: Loss, goals: Sequence[str]) -> Days | None:
    found = replan(
        loss.problem,
        loss.before.pieces,
        loss.before.cooker,
        today=loss.today + 1,
        done=DONE,
        budget=Budget(),
    )
    return found.found.days if isinstance(found, Kept) else None


def _one_sum(problem: Problem, goals: Sequence[str]) -> Plan:
    solved = monolith.solve(problem, LIMIT_S)
    return Plan(solved.days, solved.best)


WAYS: Mapping[str, Way] = {
    "budswell": Way(_ours, _ours_onward),
    "one sum": Way(_one_sum, lambda loss, goals: monolith.solve(loss.problem, ONWARD_S).days),
    "by hand": Way(
        lambda problem, goals: Plan(greedy.plan(problem, goals), None),
        lambda loss, goals: greedy.plan(loss.problem, goals, loss.done),
    ),
    "PyJobShop": Way(lambda problem, goals: Plan(jobshop.plan(problem, LIMIT_S), None)),
}


def measure(run: Run) -> Rows:
    """A row for each season and way."""
    rows = {}
    for name, compiled in _seasons(run):
        goals = [yard.plant(planting.name) for planting in compiled.season.plantings]
        for way in WAYS:
            rows[f"{name}: {way}"] = row(compiled.problem, goals, WAYS[way])
    return rows


def _seasons(run: Run) -> Iterator[tuple[str, generate.Compiled]]:
    for name in ("backyard", "market"):
        yield name, generate.compiled(run.folder / name)
    for kind, size in QUICK if run.quick else SEASONS:
        yield f"{kind}, {size}", generate.compiled(generate.write(run.folder / "rivals", size, kind, SEED))


def row(problem: Problem, goals: Sequence[str], way: Way) -> dict[str, Cell]:
    """What one way makes of a season."""
    start = time.perf_counter()
    found = way.plan(problem, goals)
    cells: dict[str, Cell] = {"took_s": time.perf_counter() - start, "best": found.best}
    if found.days is None:
        return {**cells, "made": "refused" if found.best else "none"}
    cells |= quality(problem, found.days, goals)
    replanned = way.onward
    if replanned and len(problem.works) <= LOSS_WORKS and all_planted(problem, found.days, goals):
        cells |= onward(losses(problem, found.days, LOSSES), goals, lambda loss: replanned(loss, goals))
    return cells


TABLE = Table(
    "The same seasons planned in other ways",
    (
        Column("took_s", "s", "{:.2f}"),
        Column("made", "planted"),
        Column("left out", "no day"),
        *(Column(key, key) for key in ("wrong", "margin", "risk", "days", "late", "short")),
        Column("lab days", "lab"),
        Column("saved", "saved"),
        Column("moved", "moved"),
    ),
    measure,
    (
        "One sum: one model, one weighted sum of all aims, stopped after 10 s. By hand: back from each",
        "planting. No day: works left out. Wrong: rules broken. Margin, risk, days: what the tiers cost.",
        "Late: plantings after their best days. Short: batches with less than their margin. Lab: days with",
        "lab work. Saved: of three lost batches. Moved: works to come that lie on other days after that.",
    ),
)
