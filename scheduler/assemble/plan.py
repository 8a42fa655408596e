"""Joins the room: a solved season becomes the Plan that is shown, kept and exported."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Literal

from scheduler.assemble import (
    aftercare,
    batches,
    checks_ahead,
    facts,
    gates,
    lab_tasks,
    leftover,
    loads,
    notes,
    orders,
    planting_days,
    plantings,
    starts,
    yard_tasks,
)
from scheduler.assemble.frame import Frame
from scheduler.assemble.not_begun import as_if_not_begun
from scheduler.assemble.writer import Writer
from scheduler.lines.shapes import Sizing
from scheduler.plan import Outlook, Plan, PlantingChance, SeasonHead, Task, Tier
from scheduler.problem.calendar import calendar
from scheduler.problem.shapes import Days, Problem
from scheduler.progress import NOTHING, Progress
from scheduler.season.season import Season
from scheduler.trade.catalogue import Catalogue

NO_DAYS: Mapping[str, date] = {}


def head(season: Season, made_with: str) -> SeasonHead:
    """The season's head as every plan carries it."""
    return SeasonHead(
        id=season.id,
        name=season.name,
        timezone=season.timezone,
        today=season.today,
        made_with=made_with,
        units=season.units,
        certainty=season.certainty,
        assumed=season.assumed,
        at=season.people.starts(),
    )


def assemble(
    season: Season,
    catalogue: Catalogue,
    sizing: Sizing,
    problem: Problem,
    days: Days,
    *,
    status: Literal["planned", "stopped"],
    tiers: tuple[Tier, ...],
    inputs_sha: str,
    made_with: str,
    progress: Progress = NOTHING,
    head_start: bool = True,
    promised: Mapping[str, date] = NO_DAYS,
) -> tuple[Plan, Days]:
    """The plan, and its final days: a `head_start` may have moved plate tests forward.

    What is done already, by the `progress` of the season, is no task of the plan any more. Checks ahead stay
    on their `promised` days, where those are still good.
    """
    frame = Frame(season, catalogue, sizing, problem, calendar(season, sizing.since), days, progress)
    if head_start:
        frame = starts.with_head_start(frame)
    redo = gates.redo_by(as_if_not_begun(frame))
    fillings = loads.fillings(frame)
    attended = _attended(fillings)
    writer = Writer(frame)
    release = lab_tasks.write(writer, fillings)
    wet = {p.name: plantings.moisture(frame, p) for p in season.plantings}
    yard_tasks.write(writer, wet, release)
    aftercare.reserved_tasks(writer)
    checks_ahead.write(writer, fillings, promised)
    tasks = _in_order(_open(frame, writer.tasks))
    spares = tuple(spare for line in sizing.lines for spare in line.spares)
    dated = tuple(plantings.dated(frame, p, redo, facts.chance_of(spares, p.name)) for p in season.plantings)
    plan = Plan(
        status=status,
        plan_no=None,
        inputs_sha=inputs_sha,
        season=head(season, made_with),
        plantings=dated,
        batches=tuple(
            batches.dated(frame, b, redo.get(b.id), attended.get(b.id, 0)) for b in frame.batches.values()
        ),
        loads=tuple(filling.load for filling in fillings),
        tasks=tasks,
        orders=orders.orders(frame),
        planting_days=planting_days.planting_days(frame, tasks),
        spares=tuple(replace(spare, chance=round(spare.chance, 4)) for spare in spares),
        make_or_buy=orders.make_or_buy(frame, tasks),
        tiers=tiers,
        figures=facts.figures(frame),
        outlook=Outlook(
            plantings=tuple(PlantingChance(p.name, p.chance, None) for p in dated),
            all=round(facts.chance_of_all(spares), 4),
            recommended_start=starts.first_bench_day(frame),
            last_safe_start=gates.last_safe_start(frame),
        ),
        notes=tuple(dict.fromkeys([*frame.season.warnings, *notes.notes(frame, tasks)])),
        leftover=leftover.leftover(frame),
    )
    return plan, frame.days


def _open(frame: Frame, tasks: list[Task]) -> list[Task]:
    """Tasks that are not done and do not lie in the past; none comes after one that is no longer there."""
    left = [task for task in tasks if task.on >= frame.season.today and not frame.is_done(task)]
    known = {task.id for task in left}
    return [replace(task, after=tuple(name for name in task.after if name in known)) for task in left]


def _in_order(tasks: list[Task]) -> tuple[Task, ...]:
    """Tasks by day; within a day each after what it comes after, big ones and the bench before the rest."""
    known = {task.id: task for task in tasks}
    depths: dict[str, int] = {}

    def depth(task: Task) -> int:
        if task.id not in depths:
            same_day = [known[name] for name in task.after if name in known and known[name].on == task.on]
            depths[task.id] = 1 + max(map(depth, same_day), default=0)
        return depths[task.id]

    return tuple(sorted(tasks, key=lambda t: (t.on, depth(t), t.small, t.place)))


def _attended(fillings: list[loads.Filling]) -> dict[str, int]:
    """Minutes somebody has to be at home for the loads a batch is in."""
    minutes: dict[str, int] = {}
    for filling in fillings:
        for share in filling.load.holds:
            minutes[share.batch] = minutes.get(share.batch, 0) + filling.load.attended_minutes
    return minutes
