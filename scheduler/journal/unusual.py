"""What is unusual about an entry: it can be true, but is more often a slip of the finger."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date, timedelta

from scheduler.journal import weighing
from scheduler.journal.context import Context
from scheduler.journal.pieces import planting_plan
from scheduler.journal.units import batch_of, living, planned
from scheduler.plan import Batch
from scheduler.progress import Entry, in_short
from scheduler.workdays import full

EARLY = 2 / 3
"""Part of the low days below which a batch is ready unusually early."""


def unusual(entry: Entry, context: Context) -> Iterator[str]:
    """What is unusual about an entry, in sentences."""
    finds = _FINDS.get(entry.kind)
    if finds is not None:
        yield from finds(entry, context)


def _inoculated(entry: Entry, context: Context) -> Iterator[str]:
    batch = planned(context.plan, entry.subject)
    givers = sorted({unit.parent for unit in batch.units if unit.parent}) if batch else []
    if entry.parent:
        givers = list(living(context.plan, context.progress, entry.parent))
        if not givers:
            yield f"Nothing of {entry.parent} lives any more."
    for parent in sorted({batch_of(unit) for unit in givers}):
        yield from _too_early(parent, entry.on, context)
        happened = context.progress.batch(parent)
        for state, units in (("lost", happened.lost), ("on watch", happened.watch)):
            doubtful = [unit for unit in givers if unit in units]
            if doubtful:
                are = "is" if len(doubtful) == 1 else "are"
                yield f"{entry.subject} is made from {in_short(doubtful)}, which {are} {state}."


def _used(entry: Entry, context: Context) -> Iterator[str]:
    yield from _too_early(entry.subject, entry.on, context)


def _ready(entry: Entry, context: Context) -> Iterator[str]:
    batch = planned(context.plan, entry.subject)
    begun = context.progress.batch(entry.subject).inoculated_on
    if batch is None or batch.inoculate_on is None or begun is None:
        return
    low = (batch.use_from - batch.inoculate_on).days
    grown = (entry.on - begun).days
    if grown < EARLY * low:
        yield (
            f"{entry.subject} was inoculated {grown} days before; the quickest of its kind take about {low}."
        )


def _planted(entry: Entry, context: Context) -> Iterator[str]:
    planting = planting_plan(context.plan, entry.subject)
    if planting is None:
        return
    first, last = planting.window
    until = context.progress.planting(planting.name).put_off_until
    if until is not None and entry.on < until:
        yield f"{planting.name} was put off until {full(until)}."
    elif not first <= entry.on <= last:
        yield f"{full(entry.on)} lies outside of its window, {full(first)} to {full(last)}."
    spawn = [batch for batch in context.plan.batches if _is_spawn(batch, planting.name, context)]
    early = [_usable_from(batch, context) for batch in spawn]
    if early and min(early) > entry.on:
        names = ", ".join(batch.id for batch in spawn)
        yield f"None of its spawn ({names}) may be expected to be ready before {full(min(early))}."


def _picked(entry: Entry, context: Context) -> Iterator[str]:
    stands = any(one.name == entry.subject for one in context.plan.standing)
    if not stands and not context.progress.planting(entry.subject).planted:
        yield f"The book does not say that {entry.subject} was planted."


def _is_spawn(batch: Batch, planting: str, context: Context) -> bool:
    """Whether a batch is what is planted: something is made from every other one, but for plate tests."""
    feeds = any(batch_of(unit.parent or "") == batch.id for b in context.plan.batches for unit in b.units)
    return planting in batch.plantings and bool(batch.use_on) and not feeds


def _too_early(name: str, on: date, context: Context) -> Iterator[str]:
    batch = planned(context.plan, name)
    if batch is not None and on < (day := _usable_from(batch, context)):
        yield f"{name} is not expected to be ready before {full(day)}, and was not recorded as ready."


def _usable_from(batch: Batch, context: Context) -> date:
    """The day from which it may be used: found ready or received, else as planned from when it was begun."""
    happened = context.progress.batch(batch.id)
    found = happened.ready_on or happened.received_on
    if found is not None:
        return found
    late = timedelta(0)
    if happened.inoculated_on is not None and batch.inoculate_on is not None:
        late = happened.inoculated_on - batch.inoculate_on
    return batch.use_from + late


_FINDS: Mapping[str, Callable[[Entry, Context], Iterator[str]]] = {
    "inoculated": _inoculated,
    "used": _used,
    "ready": _ready,
    "planted": _planted,
    "weighed": weighing.unusual,
    "picked": _picked,
}
