"""Warnings about a plan as a whole: what was shed, what is not used, what a day holds too much of."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from datetime import date

from scheduler.assemble.frame import Frame
from scheduler.plan import Task
from scheduler.problem import yard


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
    kinds = list(tasks)
    if frame.season.tools.tank_l is None and any(task.kind == "soak-logs" for task in kinds):
        yield "Logs have to be soaked and no tank is named: find something that holds them, or fell later."
    yield from _full_days(frame, kinds)
    if not any(name.endswith(".loss") for table in frame.season.figures.values() for name in table):
        yield (
            "No losses of your own are on record: spares are reckoned from general figures, and little "
            "history asks for more of them."
        )
    for demand in frame.sizing.demands:
        for note in demand.notes:
            yield f"{demand.planting}: {note}"


def _unused_stock(frame: Frame) -> Iterator[str]:
    """What is in hand and in no batch is named, so that nobody waits for it to be used."""
    used = Counter((b.species, b.strain, b.stage) for b in frame.batches.values() if b.state == "in hand")
    for stock in frame.season.stock:
        key = (stock.species, stock.strain, stock.stage)
        if used[key]:
            used[key] -= 1
        else:
            yield (
                f"{stock.species} {stock.stage} of {stock.since} is not used: it is too old or too little by "
                "the day it would be needed, or something else in hand serves."
            )


def _full_days(frame: Frame, tasks: Iterable[Task]) -> Iterator[str]:
    """Days whose small tasks take longer than the grower gives them; a warning, never a rule."""
    minutes: Counter[date] = Counter()
    for task in tasks:
        if task.small:
            minutes[task.on] += task.minutes
    allowed = frame.season.people.small_minutes
    full = [day for day in sorted(minutes) if minutes[day] > allowed]
    if full:
        worst = max(full, key=lambda day: (minutes[day], day))
        yield (
            f"Small tasks take more than {allowed} minutes on {len(full)} days, most on {worst} "
            f"({minutes[worst]} minutes)."
        )
