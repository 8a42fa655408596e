"""One season taken all the way: sized, compiled, solved, written out, and approved by the checker."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from scheduler.assemble.plan import NO_DAYS, assemble
from scheduler.checker.stands import check_plan
from scheduler.errors import SeasonError, SolverDisagreement
from scheduler.lines.shapes import Basis, Sizing
from scheduler.lines.sizing import Restarts, size
from scheduler.lines.spares import NOTHING_SET, WITH_REDO, Chosen, Level
from scheduler.plan import Plan
from scheduler.problem.compile import compile_season
from scheduler.problem.relax import rules_only
from scheduler.problem.shapes import Problem
from scheduler.problem.tighten import Windows, tighten
from scheduler.progress import NOTHING, Progress
from scheduler.season.season import Season
from scheduler.service.inputs import inputs_sha, made_with
from scheduler.solve.fits import fits
from scheduler.solve.look import Effort, Watch
from scheduler.solve.params import Budget
from scheduler.solve.search import Found, Refused, solve
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import DayCount

LEVELS: tuple[Level, ...] = ("wished", "halfway", "bare")
"""Spares are shed in three steps before anything is called impossible."""


FULL = Budget()


@dataclass(frozen=True)
class Made:
    """A plan, and what it was written from."""

    plan: Plan
    basis: Basis


@dataclass(frozen=True)
class Refusal:
    """A season that does not fit, with the barest problem that was tried."""

    problem: Problem
    confirmed: bool


def attempt(
    season: Season,
    catalogue: Catalogue,
    *,
    watch: Watch | None = None,
    budget: Budget = FULL,
    levels: tuple[Level, ...] = LEVELS,
) -> Plan | Refusal:
    """The best plan for a season as it stands, or the refusal of its barest form; raises as `make`."""
    made = make(season, catalogue, watch=watch, budget=budget, levels=levels)
    return made.plan if isinstance(made, Made) else made


def make(
    season: Season,
    catalogue: Catalogue,
    *,
    watch: Watch | None = None,
    budget: Budget = FULL,
    levels: tuple[Level, ...] = LEVELS,
    chosen: Chosen = NOTHING_SET,
) -> Made | Refusal:
    """The best plan for a season as it stands with its basis, or the refusal of its barest form.

    Where spares and margins are `chosen`, it is planned with them, whatever the wish alone would take.
    Raises SolverDisagreement where the checker refuses what the solver found: a bug, never shown as a plan.
    """
    refusal: Refusal | None = None
    for level in levels:
        sizing = size(season, catalogue, level, {}, chosen)
        problem = compile_season(season, catalogue, sizing)
        outcome = solve(problem, budget=budget, watch=watch)
        if isinstance(outcome, Refused):
            refusal = Refusal(problem, outcome.confirmed)
            continue
        made = written(season, catalogue, sizing, problem, outcome)
        fewer = _overrated(sizing, made.plan)
        if not fewer or outcome.stopped:
            return made
        # The calendar allows fewer further tries than were counted on: size once more without them.
        sizing = size(season, catalogue, level, fewer, chosen)
        problem = compile_season(season, catalogue, sizing)
        second = solve(problem, budget=budget, watch=watch)
        return made if isinstance(second, Refused) else written(season, catalogue, sizing, problem, second)
    assert refusal is not None
    return refusal


def can_be_planned(season: Season, catalogue: Catalogue, effort: Effort) -> bool:
    """Whether a plan with the fewest spares was found for a season; no aim of it is sought."""
    try:
        sizing = size(season, catalogue, "bare", {})
    except SeasonError:
        return False
    problem = rules_only(compile_season(season, catalogue, sizing))
    windows = tighten(problem)
    return isinstance(windows, Windows) and fits(problem, windows, effort) is True


def _overrated(sizing: Sizing, plan: Plan) -> Restarts:
    """Stages whose spares lean on a redo that the plan leaves no time for."""
    leaning = {
        (spare.line, name)
        for line in sizing.lines
        for spare in line.spares
        if spare.why == WITH_REDO
        for name in spare.plantings
    }
    fewer: dict[str, dict[str, int]] = {}
    for batch in plan.batches:
        if batch.state == "planned" and batch.redo_by is None:
            for name in batch.plantings:
                if (batch.line, name) in leaning:
                    fewer.setdefault(batch.line, {})[batch.stage] = 0
    return fewer


def written(
    season: Season,
    catalogue: Catalogue,
    sizing: Sizing,
    problem: Problem,
    found: Found,
    *,
    progress: Progress = NOTHING,
    seen: tuple[int, ...] = (),
    promised: Mapping[str, date] = NO_DAYS,
) -> Made:
    """The plan written from days that were found, approved by the checker.

    What has happened by `progress`, read from the entries `seen`, stands; a season that has not begun is
    given a head start. Checks ahead stay on their `promised` days where they can. Raises SolverDisagreement
    where the checker refuses it.
    """
    plan, days = assemble(
        season,
        catalogue,
        sizing,
        problem,
        found.days,
        status="stopped" if found.stopped else "planned",
        tiers=found.tiers,
        inputs_sha=inputs_sha(season),
        made_with=made_with(),
        progress=progress,
        head_start=not seen,
        promised=promised,
    )
    wrong = check_plan(plan, days, season, sizing, problem, progress)
    if wrong:
        raise SolverDisagreement(
            "the checker refuses the plan that was found", [f"{v.rule}: {v.what}" for v in wrong]
        )
    count = DayCount(problem.origin)
    dated = {name: {count.date(day): done for day, done in on.items()} for name, on in days.pieces.items()}
    return Made(
        plan,
        Basis(
            sizing,
            dated,
            dict(days.cooker),
            seen,
            {task.id: task.on for task in plan.tasks if task.is_check_ahead},
        ),
    )
