"""Published project-scheduling instances through the same Problem and search, beside a bare model of each.

The bare model says an instance of the set in a dozen lines and knows nothing of anything else. The same text goes to
PyJobShop, with the horizon that the bare model has. All three use one worker; each look at an instance ends after
`LIMIT_S` seconds.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import pyjobshop
from ortools.sat.python import cp_model
from pyjobshop.Result import SolveStatus

from scheduler.problem.shapes import Problem
from tests.bench.table import Cell, Column, Rows, Run, Table
from tests.bench.watched import watched
from tests.published.progen import Instance, agrees, published, read

LIMIT_S = 10.0
QUICK_EACH = 10


@dataclass(frozen=True)
class Answer:
    """The day of the last activity; None where there is none, and whether that is certain."""

    value: int | None
    bound: int
    proved: bool


def ours(problem: Problem) -> Answer:
    """The search of this program, from the Problem to an answer that the checker approves."""
    seen = watched(problem, LIMIT_S)
    if seen.found is None:
        return Answer(None, 0, seen.verdict == "refused")
    tier = next(tier for tier in seen.found.tiers if tier.name == "risk")
    return Answer(tier.value, tier.bound, tier.proved)


def bare(problem: Problem) -> Answer:
    """A dozen lines for the solver."""
    cp = cp_model.CpModel()
    horizon, last = problem.horizon, problem.works[-1].name
    starts = {work.name: cp.new_int_var(0, horizon, work.name) for work in problem.works}
    for lag in problem.lags:
        cp.add(starts[lag.after.work] >= starts[lag.before.work] + (lag.least or 0))
    for room in problem.rooms:
        days = {stay.start.work: problem.work(stay.start.work).tables["end"][0] for stay in room.stays}
        stays = [cp.new_fixed_size_interval_var(starts[name], days[name], name) for name in days]
        cp.add_cumulative(stays, [stay.amount for stay in room.stays], room.capacity)
    cp.minimize(starts[last])
    solver = cp_model.CpSolver()
    solver.parameters.num_workers, solver.parameters.max_time_in_seconds = 1, LIMIT_S
    status = solver.solve(cp)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    value, bound = (solver.value(starts[last]), round(solver.best_objective_bound)) if found else (None, 0)
    return Answer(value, bound, status in (cp_model.OPTIMAL, cp_model.INFEASIBLE))


def jobshop(problem: Problem) -> Answer:
    """The same instance in the words of PyJobShop."""
    model = pyjobshop.Model()
    resources = [model.add_renewable(room.capacity) for room in problem.rooms]
    needs = {
        (stay.start.work, number): stay.amount
        for number, room in enumerate(problem.rooms)
        for stay in room.stays
    }
    tasks = {}
    for work in problem.works:
        tasks[work.name] = model.add_task(latest_end=problem.horizon)
        demands = [needs.get((work.name, number), 0) for number in range(len(resources))]
        model.add_mode(tasks[work.name], resources, work.tables["end"][0], demands)
    for lag in problem.lags:
        model.add_start_before_start(tasks[lag.before.work], tasks[lag.after.work], lag.least or 0)
    try:
        result = model.solve(time_limit=LIMIT_S, num_workers=1, display=False)
    except ValueError:  # raised for an activity that needs more than there is: it has no answer
        return Answer(None, 0, True)
    if result.status not in (SolveStatus.OPTIMAL, SolveStatus.FEASIBLE):
        return Answer(None, 0, result.status == SolveStatus.INFEASIBLE)
    return Answer(round(result.objective), round(result.lower_bound), result.status == SolveStatus.OPTIMAL)


Verdicts = Mapping[str, tuple[float, str]]
"""By way: how long an instance took, and whether the answer is proved and right, open, or wrong."""
WAYS: dict[str, Callable[[Problem], Answer]] = {"budswell": ours, "bare": bare, "PyJobShop": jobshop}


def measure(run: Run) -> Rows:
    """A row for each set and way, and for all sets: seconds in sum, how many are proved right, open, and wrong."""
    sets: dict[str, list[Instance]] = {}
    for one in published(run.instances):
        sets.setdefault(one.folder, []).append(one)
    found = {
        name: [_answered(run.instances, one) for one in (ones[:QUICK_EACH] if run.quick else ones)]
        for name, ones in sets.items()
    }
    found["all"] = [verdicts for mine in found.values() for verdicts in mine]
    rows: dict[str, dict[str, Cell]] = {}
    for name, mine in found.items():
        bare_s = sum(verdicts["bare"][0] for verdicts in mine)
        for way in WAYS:
            took_s = sum(verdicts[way][0] for verdicts in mine)
            tally = Counter(verdicts[way][1] for verdicts in mine)
            cells = {verdict: tally[verdict] for verdict in ("right", "open", "wrong")}
            if mine:
                rows[f"{name}, {len(mine)}: {way}"] = {"took_s": took_s, "of_bare": took_s / bare_s, **cells}
    return rows


def _answered(folder: Path, one: Instance) -> Verdicts:
    """What each way says of an instance."""
    problem = read((folder / one.folder / one.name).read_text(encoding="utf-8"))
    found = {}
    for way, answered in WAYS.items():
        start = time.perf_counter()
        answer = answered(problem)
        took_s = time.perf_counter() - start
        right = agrees(one.printed, answer.value, answer.bound, answer.proved)
        found[way] = took_s, "wrong" if not right else "right" if answer.proved else "open"
    return found


TABLE = Table(
    "Published instances with known answers (RCPSP/max)",
    (
        Column("took_s", "seconds", "{:.2f}"),
        Column("of_bare", "of the bare model", "{:.2f} x"),
        Column("right", "proved right"),
        Column("open", "open"),
        Column("wrong", "wrong"),
    ),
    measure,
)
