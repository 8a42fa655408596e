"""What has to have happened as planned if something else has: nobody loses a jar that was never begun.

A grower who follows the plan and records only what goes wrong is taken at their word.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from scheduler.journal.context import Context
from scheduler.plan import Batch
from scheduler.progress import Entry

OF_GROWING = frozenset({"ready", "clean", "watch", "lost", "used", "fridge"})
"""Kinds of entry that speak of a batch that grows."""


def implied(entry: Entry, context: Context) -> tuple[Entry, ...]:
    """Entries that go without saying, parents first, on the days of the plan; none where those lie ahead."""
    if entry.kind not in OF_GROWING:
        return ()
    batches = {batch.id: batch for batch in context.plan.batches}
    batch = batches.get(entry.subject)
    if batch is None or context.progress.batch(batch.id).inoculated_on is not None:
        return ()
    if batch.inoculate_on is None or batch.inoculate_on > entry.on:
        return ()
    return tuple(dict.fromkeys(_begun(batch, batches, entry.on, context)))


def _begun(batch: Batch, batches: dict[str, Batch], by: date, context: Context) -> Iterator[Entry]:
    """That a batch was cooked and inoculated as planned, and before it what it was made from."""
    happened = context.progress.batch(batch.id)
    if batch.inoculate_on is None or batch.inoculate_on > by or happened.inoculated_on is not None:
        return
    for parent in dict.fromkeys((unit.parent or "").partition("/")[0] for unit in batch.units):
        if parent in batches:
            yield from _begun(batches[parent], batches, by, context)
    for test in context.plan.batches:
        if test.id != batch.id and _tests(test, batch):
            yield from _begun(test, batches, by, context)
    if batch.cook_on is not None and happened.cooked_on is None:
        yield Entry("cooked", batch.cook_on, batch.id)
    yield Entry("inoculated", batch.inoculate_on, batch.id)


def _tests(test: Batch, batch: Batch) -> bool:
    """Whether one batch is the test of the culture that another is made from, and was read before that."""
    if test.stage != "plate" or test.use_on or test.inoculate_on is None or batch.inoculate_on is None:
        return False
    shared = {unit.parent for unit in test.units} & {unit.parent for unit in batch.units}
    return bool(shared) and test.ready_on <= batch.inoculate_on
