"""Small courses made by hand, and those of the examples."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from scheduler.lines.spares import Odds
from scheduler.outlook.course import NEVER, Again, Course, Grown, Openings, Planted, Run, Stage
from scheduler.service import planning, recording, replanning, seasons
from scheduler.service import under_way as journal
from scheduler.service.outlook import course_of, course_of_kept
from tests import command
from tests.command import EXAMPLES

CLOCK = seasons.Clock(date(2026, 11, 25), "UTC")
AT = "2026-11-28T09:00:00+00:00"
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
def planned(name: str) -> dict[str, bytes]:
    """The files of an example with its first plan kept."""
    with TemporaryDirectory() as folder:
        season = command.example(name, Path(folder))
        planning.plan_and_keep(*seasons.read(season, CLOCK, None), kept_at=AT)
        return command.listing(season)


def gone_on(name: str, folder: Path, day: date, *said: list[str]) -> Path:
    """An example of which all was done as planned by a day, and what else is said of it, replanned on that day."""
    season = folder / name
    season.mkdir(parents=True)
    for file, data in planned(name).items():
        (season / file).write_bytes(data)
    for words in (["done", "all"], *said):
        recording.record(season, words, clock=day, today=day, on=None, force=True, at=AT)
    clock = seasons.Clock(day, "UTC")
    replanning.replan(season, replanning.Asked(clock, day), kept_at=AT)
    return season


@cache
def under_way(name: str, day: date) -> Course:
    """The course of an example that was replanned on a day, when all had been done as planned."""
    with TemporaryDirectory() as folder:
        season = gone_on(name, Path(folder), day)
        state = journal.under_way(season, day, day)
        return course_of_kept(season, seasons.Clock(day, "UTC"), state.kept, state.recorded)


@cache
def example(name: str) -> Course:
    """The course of an example's plan."""
    season, catalogue = seasons.read(EXAMPLES / name, CLOCK, None)
    made = planning.make_season(season, catalogue)
    return course_of(season, catalogue, made.plan, made.basis)
