"""Small courses made by hand, and those of the examples."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache

from scheduler.lines.spares import Odds
from scheduler.outlook.course import NEVER, Again, Course, Grown, Openings, Planted, Run, Stage
from scheduler.service import planning, seasons
from scheduler.service.outlook import course_of
from tests.command import EXAMPLES

HORIZON = 300
SURE = Odds(1.0, 0.0, 0.0, 0.0)


def every(step: int = 1) -> tuple[int, ...]:
    """A table for which each `step`th day is open, from day 0."""
    return tuple(-(-day // step) * step for day in range(HORIZON + 1))


def run(low: float, likely: float, high: float, lag: float = 0.0, rest: int = 0) -> Run:
    """A run in a room in which every day counts as one at the reference temperature."""
    return Run(low, likely, high, lag, rest, 1.0, tuple(float(day) for day in range(HORIZON + 2)))


def bags(
    name: str = "A-Sa",
    *,
    line: str = "A",
    stage: str = "spawn",
    planned: int = 30,
    units: int = 6,
    odds: Odds | None = SURE,
    load: str = "load",
    **others: object,
) -> Grown:
    """A batch of bags in one load that runs 20 days, is looked at after 4 and 8, and keeps long."""
    made = Grown(
        id=name,
        line=line,
        stage=f"{line}:{stage}",
        planned=planned,
        units=units,
        keeps=200,
        feeds=0.0,
        grams=1000.0,
        run=run(20, 20, 20),
        odds=odds,
        loads=(load,) * units,
        looks=(4, 8),
        openings=Openings(every(), every()),
        starts=True,
    )
    return replace(made, **others)  # type: ignore[arg-type]


def spawn(*, line: str = "A", need: int = 3, again: Again | None = None, **others: object) -> Stage:
    """The stage of the bags."""
    made = Stage(f"{line}:spawn", line, "sawdust spawn", need, None, False, again)
    return replace(made, **others)  # type: ignore[arg-type]


def planting(*, line: str = "A", need: int = 3, planned: int = 60, until: int = 90) -> Planted:
    """A planting that takes so many bags, on any day from the planned one to the end of its window."""
    open_ = tuple(max(day, planned) if day <= until else NEVER for day in range(HORIZON + 1))
    return Planted(f"Bed {line}", line, f"{line}:spawn", 1000.0 * need, planned, open_)


def course(
    batches: tuple[Grown, ...],
    stages: tuple[Stage, ...] = (spawn(),),
    plantings: tuple[Planted, ...] = (planting(),),
    *,
    together: float = 0.0,
) -> Course:
    """A course of these parts."""
    return Course(date(2027, 1, 1), 0, batches, stages, plantings, together, 0.8)


@cache
def example(name: str) -> Course:
    """The course of an example's plan."""
    season, catalogue = seasons.read(EXAMPLES / name, seasons.Clock(date(2026, 11, 25), "UTC"), None)
    made = planning.make_season(season, catalogue)
    return course_of(season, catalogue, made.plan, made.basis)
