"""One season of many, as it is handed to another process or machine, and what comes back.

A season travels as it was read: with its weather, its own figures, and what stands of last season in it. No
file of it is needed where it is planned; the catalogue is that of the installation there.
"""

from __future__ import annotations

import hashlib
import time
from dataclasses import dataclass, replace
from functools import cache
from importlib.metadata import version
from typing import TYPE_CHECKING

from scheduler.errors import BudswellError, NoPlan, SolverDisagreement, UnsoundFile
from scheduler.lines.own_record import with_own
from scheduler.many import Result
from scheduler.plan import Plan, Tier
from scheduler.present.faults import in_a_line
from scheduler.present.refusal import NOT_CONFIRMED, clashes
from scheduler.season.season import Season
from scheduler.service.inputs import inputs_sha, made_with
from scheduler.trade import catalogue as trade
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.places import data_folder

if TYPE_CHECKING:
    from scheduler.service.attempt import Made

OURS = (SolverDisagreement, UnsoundFile)
"""Errors that are no fault of the season."""


@dataclass(frozen=True)
class Job:
    """A season to plan."""

    season: Season
    installed: str
    """What has to be installed where it is planned, so that the plan is the same as here."""
    whole: bool
    """Whether the plan itself is to come back, too."""

    def inputs(self) -> str:
        """Fingerprint of all that the result hangs on."""
        return hashlib.sha256(f"{inputs_sha(self.season)} {self.installed}".encode()).hexdigest()


@dataclass(frozen=True)
class Answer:
    """What came of a job."""

    result: Result
    made: Made | None = None


@cache
def installed() -> str:
    """What decides here which plan a season gets: our version, the figures, and the solver's version."""
    folder, figures = data_folder("profiles"), hashlib.sha256()
    for file in sorted(folder.rglob("*.toml")):
        figures.update(f"{file.relative_to(folder).as_posix()}\n".encode() + file.read_bytes())
    return f"{made_with()}, figures {figures.hexdigest()[:8]}, ortools {version('ortools')}"


def plan_one(job: Job) -> Answer:
    """Plans one season; whatever goes wrong is an answer, so that it stops no other."""
    here = installed()
    if here != job.installed:
        return Answer(Result("failed", f"the worker has {here}, and {job.installed} is asked for"))
    from scheduler.service import planning

    began, made = time.process_time(), None
    try:
        made = planning.make_season(job.season, with_own(_catalogue(), job.season.own))
        result = _planned(made.plan)
    except NoPlan as refused:
        assert isinstance(refused.refusal, Plan)
        result = _impossible(refused.refusal)
    except Exception as error:
        result = without_a_plan(error)
    result = replace(result, wished=job.season.certainty, seconds=round(time.process_time() - began, 2))
    return Answer(result, made if job.whole else None)


@cache
def _catalogue() -> Catalogue:
    return trade.load()


def without_a_plan(error: Exception) -> Result:
    """What is said of a season that ended in an error: its own, or one that is a bug of ours."""
    if isinstance(error, BudswellError):
        return Result("failed" if isinstance(error, OURS) else "refused", in_a_line(error))
    return Result("failed", f"a bug of ours: {type(error).__name__}: {error}")


def _planned(plan: Plan) -> Result:
    work = plan.work()
    bought = dict.fromkeys(name for one in plan.make_or_buy if one.chosen == "buy" for name in one.plantings)
    return Result(
        "planned",
        chance=round(plan.outlook.all, 4) if plan.outlook else None,
        first_task=min((task.on for task in work), default=None),
        last_safe_start=plan.outlook.last_safe_start if plan.outlook else None,
        plantings="; ".join(f"{p.name} {' '.join(map(str, p.plant_on))}" for p in plan.plantings),
        bought="; ".join(bought),
        loads=len(plan.loads),
        bench_hours=_hours(plan, "lab"),
        yard_hours=_hours(plan, "yard"),
        aims="; ".join(map(_aim, plan.tiers)),
        proved=all(tier.proved for tier in plan.tiers),
    )


def _aim(tier: Tier) -> str:
    return f"{tier.name} {tier.value}" + ("" if tier.proved else f" (at best {tier.bound})")


def _hours(plan: Plan, place: str) -> float:
    return round(sum(task.minutes for task in plan.work() if task.place == place) / 60, 2)


def _impossible(refusal: Plan) -> Result:
    told = clashes(refusal) + ([] if refusal.confirmed else [NOT_CONFIRMED])
    first = refusal.remedies[0].text if refusal.remedies else ""
    return Result("impossible", "; ".join(told), way_out=first)
