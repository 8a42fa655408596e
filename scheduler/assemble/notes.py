"""Warnings about a plan as a whole: what was shed, what is not used, what a day holds too much of."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from datetime import date

from scheduler import measures
from scheduler.assemble.frame import Frame
from scheduler.assemble.opened import opened_too_long
from scheduler.assemble.transfers import too_often
from scheduler.lines.stock import left_over, ready_day, there_and_age
from scheduler.plan import Task
from scheduler.problem import yard
from scheduler.workdays import full


def notes(frame: Frame, tasks: Iterable[Task]) -> Iterator[str]:
    """All warnings, the most important first."""
    if frame.sizing.level != "wished":
        yield "Spares were shed so that the season fits: the chances are lower than wished."
    for planting in frame.season.plantings:
        work = yard.plant(planting.name)
        if frame.first(work) < planting.best[0] or frame.last(work) > planting.best[1]:
            yield f"{planting.name} is planted outside its best span: nothing earlier or later fits better."
    yield from _unused_stock(frame)
    for line in frame.sizing.lines:
        yield from line.notes
    every = list(tasks)
    if frame.season.tools.tank_l is None and any(task.kind == "soak-logs" for task in every):
        yield "Logs have to be soaked and no tank is named: find something that holds them, or fell later."
    yield from too_often(frame)
    yield from opened_too_long(frame)
    yield from _full_days(frame, every)
    if not _has_own_losses(frame):
        yield (
            "No losses of your own are on record: spares are reckoned from general figures, and little "
            "history asks for more of them."
        )
    for demand in frame.sizing.demands:
        for note in demand.notes:
            yield f"{demand.planting}: {note}"


def _has_own_losses(frame: Frame) -> bool:
    """Whether the grower named losses in the season file, or some were learned from their books."""
    named = any(name.endswith(".loss") for table in frame.season.figures.values() for name in table)
    losses = frame.catalogue.lab.losses[frame.season.lab.workspace]  # type: ignore[index]
    return named or any(loss.rate.basis == "own record" for loss in losses)


def _unused_stock(frame: Frame) -> Iterator[str]:
    """What is in hand and in no batch is named, so that nobody waits for it to be used."""
    held = [b for b in frame.batches.values() if b.state == "in hand"]
    used = Counter((b.species, b.strain, b.stage, ready_day(b.there_on, b.aged_days)) for b in held)
    left = {id(s): (one, n) for s, one, n in left_over(frame.season, frame.catalogue, held)}
    for stock in frame.season.stock:
        what = f"{stock.species} {stock.stage} of {full(stock.since)}"
        there_on, aged = there_and_age(frame.season, frame.catalogue, stock)
        key = (stock.species, stock.strain, stock.stage, ready_day(there_on, aged))
        one, parts = left.get(id(stock), (None, 0))
        if one is None and used[key]:
            used[key] -= 1
        elif one is None or parts == one.left:
            yield (
                f"{what} is not used: it is too old or too little by "
                "the day it would be needed, or something else in hand serves."
            )
        elif parts and one.loose:
            units = frame.season.units
            yield f"{what}: {measures.mass(parts, units)} of {measures.mass(one.left, units)} are left over."
        elif parts:
            yield f"{what}: {parts} of {one.left} x {one.container.name} are left over."


def _full_days(frame: Frame, tasks: Iterable[Task]) -> Iterator[str]:
    """Days whose small tasks take longer than the grower gives them; a warning, never a rule."""
    minutes: Counter[date] = Counter()
    for task in tasks:
        if task.small:
            minutes[task.on] += task.minutes
    allowed = frame.season.people.small_minutes
    long = [day for day in sorted(minutes) if minutes[day] > allowed]
    if long:
        worst = max(long, key=lambda day: (minutes[day], day))
        yield (
            f"Small tasks take more than {allowed} minutes on {measures.counted(len(long), 'day')}, "
            f"most with {minutes[worst]} on {full(worst)}."
        )
