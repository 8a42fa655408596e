"""The last days: redo-by of batches and plantings, buy-by, last safe start. All follow without a search.

A lost batch is made again from its living parent: its own works, those of everything grown from it, and the
plantings they serve (within their windows) are pushed as late as the hours, loads and rooms allow that the
plan leaves free. That is the safe side; the redo-by is the last day on which what they are made of can still
be ordered.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta

from scheduler.assemble.frame import Frame
from scheduler.lines.descent import is_fed_by_one
from scheduler.lines.shapes import BatchSpec
from scheduler.problem import bench, yard
from scheduler.problem.justify import right_justify
from scheduler.problem.needs import Need


def redo_by(frame: Frame) -> dict[str, date | None]:
    """Redo-by of every batch that is made; None where it can only be made once."""
    return {
        batch.id: _redo_by(frame, batch)
        for batch in frame.batches.values()
        if batch.growth is not None and not batch.is_test
    }


def _redo_by(frame: Frame, batch: BatchSpec) -> date | None:
    chain = _again(frame, batch)
    if chain is None:
        return None
    latest = right_justify(
        frame.usage,
        [*([work] for work in _plantings_of(frame, chain)), *(bench.works(member) for member in chain)],
    )
    jar = next((b for b in frame.lines[batch.line].batches if b.stage == "grain" and b.keep_back), None)
    if jar and chain[-1].stage == "grain" and chain[-1] is not batch:
        # The further generation is made from the jar that was kept back, while that keeps.
        good_until = frame.ready_on(jar) + timedelta(days=jar.keeps_days - jar.aged_days)
        if frame.calendar.date(latest[bench.inoculate(chain[-1])]) > good_until:
            return None
    first = min(_ordered(frame, bench.need(member), latest) for member in chain)
    started = frame.first(bench.inoculate(batch))
    return first if first > started and first >= frame.season.today else None


def _ordered(frame: Frame, need: Need | None, latest: Mapping[str, int]) -> date:
    """Last day on which what a batch is made of can be ordered, and work on it be begun."""
    assert need is not None  # what has to be made again is made of something
    days = need.days(frame.season.lead) + need.days_before
    return frame.calendar.date(latest[need.work]) - timedelta(days=days)


def _plantings_of(frame: Frame, chain: Sequence[BatchSpec]) -> list[str]:
    """Planting works, and the chips prepared for them, that can move with a chain: those of one day."""
    names = dict.fromkeys(name for b in chain if frame.is_finished(b) for name in b.plantings)
    works = [work for name in names for work in (yard.plant(name), yard.prepare_chips(name))]
    return [work for work in works if frame.has(work) and len(frame.on(work)) == 1]


def _again(frame: Frame, batch: BatchSpec) -> list[BatchSpec] | None:
    """What has to be made again when a batch is lost, last first; None past the third grain generation.

    Its descendants are made again with it. Where the one jar that was kept back cannot feed it, a further
    grain generation comes before it; that takes no longer than its grain parent took from the culture.
    """
    chain = [*_descendants(frame, batch), batch]
    parents = [frame.batches[parent] for parent in batch.parents]
    grain = next((p for p in parents if p.stage == "grain"), None)
    if grain is None:
        return chain
    if not is_fed_by_one(batch, grain):
        if (grain.generation or 1) >= round(frame.catalogue.lab.max_generation.likely):
            return None
        if grain.growth is None:
            return None
        chain.append(grain)
    return chain


def _descendants(frame: Frame, batch: BatchSpec) -> list[BatchSpec]:
    """Everything grown from a batch, last first."""
    found: dict[str, BatchSpec] = {}
    queue: list[BatchSpec] = list(frame.children.get(batch.id, ()))
    while queue:
        child = queue.pop()
        if child.id not in found and not child.is_test:
            found[child.id] = child
            queue += frame.children.get(child.id, ())
    order = list(frame.batches)
    return sorted(found.values(), key=lambda b: -order.index(b.id))


def planting_redo_by(frame: Frame, name: str, redo: dict[str, date | None]) -> date | None:
    """Earliest redo-by of a planting's finished batches; None where one of them cannot be made again."""
    days = [redo[b.id] for b in frame.finished(name) if b.id in redo]
    known = [day for day in days if day]
    return min(known) if known and len(known) == len(days) else None


def buy_by(frame: Frame, name: str) -> date:
    """Last day on which finished spawn can be ordered and be there the day before planting.

    The planting may wait in its window as far as everything else leaves it free to, as for a redo.
    """
    work = yard.plant(name)
    planted = frame.slip(work) or frame.first(work)
    return planted - timedelta(days=frame.season.lead.spawn + 1)


def last_safe_start(frame: Frame) -> date | None:
    """First bench day when all lab work lies as late as the plan's planting days allow; None without any."""
    latest = latest_works(frame, frame.batches.values())
    made = [latest[work] for b in frame.batches.values() if b.is_to_make for work in bench.works(b)]
    return frame.calendar.date(min(made)) if made else None


def latest_works(frame: Frame, batches: Iterable[BatchSpec]) -> dict[str, int]:
    """Days of the works of batches when all lie as late as they fit; what is bought comes as late as that."""
    groups = [
        bench.works(batch) if batch.is_to_make else [bench.there(batch)]
        for batch in batches
        if batch.is_to_make or (batch.state == "bought" and batch.growth is None)
    ]
    return right_justify(frame.usage, sorted(groups, key=lambda works: (-frame.days.first(works[0]), works)))
