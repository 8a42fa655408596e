"""A plan under way, seen as if nothing of it had been begun: it tells how late it could be begun again."""

from __future__ import annotations

from dataclasses import replace

from scheduler.assemble.frame import Frame
from scheduler.lines.shapes import BatchSpec
from scheduler.problem import bench
from scheduler.problem.compile import compile_season
from scheduler.problem.shapes import Days
from scheduler.problem.usage import Usage
from scheduler.workdays import ONE_DAY


def as_if_not_begun(frame: Frame) -> Frame:
    """The same plan with all that grows as work of its own, on the days on which it was done."""
    begun = [b for b in frame.batches.values() if b.growth is not None and not bench.is_to_cook(b)]
    begun = [b for b in begun if b.begun_on is not None or b.cooked_on is not None]
    if not begun:
        return frame
    lines = tuple(
        replace(line, batches=tuple(_to_make(batch) for batch in line.batches)) for line in frame.sizing.lines
    )
    sizing = replace(frame.sizing, lines=lines)
    problem = compile_season(
        replace(frame.season, today=frame.calendar.count.origin), frame.catalogue, sizing
    )
    pieces, cooker = dict(frame.days.pieces), dict(frame.days.cooker)
    for batch in begun:
        name = bench.cook(batch)
        pots = [pot.name for pot in problem.cookers if name in pot.shares]
        if batch.treatment is not None and name not in pieces:
            cooked = batch.cooked_on or (batch.begun_on or frame.season.today) - ONE_DAY
            pieces[name] = {max(0, frame.calendar.count.number(cooked)): 1}
        if pots:
            cooker[name] = pots[0]
    works = {work.name for work in problem.works}
    days = Days({name: on for name, on in pieces.items() if name in works}, cooker)
    days = replace(days, loads=Usage(problem, days).all_loads())
    return replace(frame, sizing=sizing, problem=problem, days=days)


def _to_make(batch: BatchSpec) -> BatchSpec:
    return replace(batch, begun_on=None, cooked_on=None, found_ready_on=None)
