"""Brings the first bench work of each line forward, so that the season begins with a head start."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from scheduler.assemble.frame import Frame
from scheduler.lines.shapes import BatchSpec
from scheduler.problem import bench
from scheduler.problem.shapes import Days
from scheduler.problem.usage import Usage


def first_bench_day(frame: Frame) -> date | None:
    """Day of the first cook or inoculation; None where nothing is made."""
    return min(
        (frame.first(work) for b in frame.batches.values() if b.growth is not None for work in _works(b)),
        default=None,
    )


def with_head_start(frame: Frame) -> Frame:
    """The same plan with each line's first bench work a head start before its last day.

    It is moved only to days that add no day with work and are no dearer, so that no aim gets worse; where
    there are none it stays.
    """
    head = round(frame.catalogue.lab.head_start.likely)
    for line in frame.sizing.lines:
        for batch in line.batches:
            if batch.growth is not None and all(frame.batches[p].growth is None for p in batch.parents):
                frame = _forward(frame, batch, head)
    return frame


def _works(batch: BatchSpec) -> list[str]:
    return [bench.inoculate(batch)] + ([bench.cook(batch)] if bench.is_cooked(batch) else [])


def _forward(frame: Frame, batch: BatchSpec, head: int) -> Frame:
    """The plan with a batch's works, and the day its bought culture is there, moved forward if they can be."""
    usage = frame.usage
    works = _works(batch)
    sources = list(dict.fromkeys(bench.there(frame.batches[parent]) for parent in batch.parents))
    far = usage.slip(works[0]) or frame.days.first(works[0])
    before = {work: usage.take(work) for work in [*works, *sources]}
    moved = _earlier(frame, works, sources, far - head)
    for work in moved:
        usage.take(work)
    for work, on in before.items():
        usage.put_back(work, on)
    if len(moved) < len(before):
        return frame
    pieces = {**frame.days.pieces, **{w: {day: sum(before[w].values())} for w, day in moved.items()}}
    days = Days(pieces, frame.days.cooker)
    return replace(frame, days=replace(days, loads=Usage(frame.problem, days).all_loads()))


def _earlier(frame: Frame, works: list[str], sources: list[str], latest: int) -> dict[str, int]:
    """Days for the works, the last one on `latest` or before, placed one after the other as far as they go."""
    usage = frame.usage
    moved: dict[str, int] = {}
    for work in [*works, *sources]:
        now = frame.days.first(work)
        for day in range(min(latest, now), -1, -1):
            if (work in sources or _no_worse(frame, day, now)) and usage.fits(work, day):
                usage.put(work, day)
                moved[work] = day
                latest = day
                break
        else:
            break
    return moved


def _no_worse(frame: Frame, day: int, now: int) -> bool:
    """Whether a work taken out may go from `now` to `day` at no more days with work and no dearer."""
    preferred = frame.calendar.preferred
    if now in preferred and day not in preferred:
        return False
    return frame.usage.has_work(day) or not frame.usage.has_work(now)
