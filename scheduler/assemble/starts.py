"""Puts the first bench work of each line a head start before its last day."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from scheduler.assemble.frame import Frame
from scheduler.assemble.gates import latest_works
from scheduler.checker.schedule import value
from scheduler.lines.shapes import BatchSpec
from scheduler.problem import bench
from scheduler.problem.shapes import Days
from scheduler.problem.usage import Usage


def first_bench_day(frame: Frame) -> date | None:
    """Day of the first cook or inoculation; None where nothing is made."""
    return min(
        (frame.first(work) for b in frame.batches.values() if b.is_to_make for work in bench.works(b)),
        default=None,
    )


def with_head_start(frame: Frame) -> Frame:
    """The same plan with each line's first bench work a head start before its last day.

    First works that share a day move together. They move only to days that add no day with work and are no
    dearer, and only where no aim gets worse; else they stay.
    """
    head = round(frame.catalogue.lab.head_start.likely)
    together: dict[tuple[bool, int], list[BatchSpec]] = {}
    for batch in frame.batches.values():
        if batch.is_to_make and all(frame.batches[p].growth is None for p in batch.parents):
            day = frame.days.first(bench.inoculate(batch))
            together.setdefault((bench.is_to_cook(batch), day), []).append(batch)
    for (cooked, _), batches in together.items():
        for group in [[batch] for batch in batches] if cooked else [batches]:
            frame = _moved(frame, group, head)
    return frame


def _moved(frame: Frame, batches: list[BatchSpec], head: int) -> Frame:
    """The plan with the batches' works, and the days their bought cultures come, moved if they can be."""
    usage = frame.usage
    works = [work for batch in batches for work in bench.works(batch)]
    parents = {parent: frame.batches[parent] for batch in batches for parent in batch.parents}
    sources = [bench.there(parent) for parent in parents.values()]
    latest = latest_works(frame, [*batches, *parents.values()])
    far = min(latest[bench.inoculate(batch)] for batch in batches)
    before = {work: usage.take(work) for work in [*works, *sources]}
    found = _days(frame, works, sources, far - head)
    for work in found:
        usage.take(work)
    for work, on in before.items():
        usage.put_back(work, on)
    if len(found) < len(before):
        return frame
    pieces = {**frame.days.pieces, **{w: {day: sum(before[w].values())} for w, day in found.items()}}
    moved = Usage(frame.problem, Days(pieces, frame.days.cooker))
    days = Days({**pieces, **moved.marks()}, frame.days.cooker, loads=moved.all_loads())
    before_it, after_it = value(frame.problem, frame.days), value(frame.problem, days)
    if any(after_it[tier] > worth for tier, worth in before_it.items()):
        return frame
    return replace(frame, days=days)


def _days(frame: Frame, works: list[str], sources: list[str], latest: int) -> dict[str, int]:
    """Days for works taken out, the first on `latest` or before, placed in turn as far as they go.

    A work may go to a day without work only in exchange for one: where its old day has none left, and no
    work before it in the list came from that day.
    """
    usage, preferred = frame.usage, frame.calendar.preferred
    found: dict[str, int] = {}
    left: set[int] = set()
    for work in [*works, *sources]:
        now = frame.days.first(work)
        exchange = now not in left and not usage.has_work(now)
        for day in range(latest, -1, -1):
            dearer = now in preferred and day not in preferred
            counts = work not in sources
            if counts and (dearer or not (exchange or usage.has_work(day))):
                continue
            if usage.fits(work, day):
                usage.put(work, day)
                found[work] = latest = day
                left.add(now)
                break
        else:
            break
    return found
