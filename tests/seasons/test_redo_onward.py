"""What a redo-by day promises, carried out: the batch and all that was made from it are lost on that very day."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from scheduler.journal.context import Context
from scheduler.journal.words import read_words
from scheduler.lines.rescue import WAYS
from scheduler.plan import Batch, Plan
from scheduler.service.attempt import Refusal
from scheduler.service.onwards import Onwards
from scheduler.trade import catalogue as trade
from tests.bench.losses import as_planned, planned, season_of

TRIED = {"backyard": 4, "cold-room": 2, "maritime": 2, "market": 14, "second-spring": 4, "south": 3}
"""Batches of each example that have a redo-by day at least."""


def descent(plan: Plan, batch: Batch) -> Iterator[Batch]:
    """A batch, and every batch that is made from it."""
    units = {unit.id for unit in batch.units}
    for other in plan.batches:
        if other.id == batch.id or any(unit.parent in units for unit in other.units):
            units |= {unit.id for unit in other.units}
            yield other


def lost(name: str, batch: Batch) -> Context:
    """A season that went as planned to the redo-by day of a batch, which is then lost with its descent."""
    assert batch.redo_by is not None
    context = as_planned(name, batch.redo_by)
    for one in descent(context.plan, batch):
        if context.progress.batch(one.id).inoculated_on is not None:
            words = ["lost", one.id, "all"]
            context = context.after(*read_words(words, context.today, context))
    return context


@pytest.mark.parametrize("name", TRIED)
def test_on_its_redo_by_day_a_lost_batch_is_made_again(name: str) -> None:
    """From what lives in the house, in the windows as they are, and without anything bought instead."""
    made = planned(name)
    tried = [batch for batch in made.plan.batches if batch.redo_by is not None]
    assert len(tried) >= TRIED[name]
    failed = []
    for batch in tried:
        context = lost(name, batch)
        seen = tuple(one.entry_no for one in context.standing)
        onwards = Onwards(made.basis, context.progress, seen)
        found = onwards.make(season_of(name, context.today), trade.load())
        if isinstance(found, Refusal):
            failed.append(f"{batch.id} on {batch.redo_by}: no plan")
        elif found.way is not None and list(WAYS)[found.way].startswith("bought"):
            failed.append(f"{batch.id} on {batch.redo_by}: {list(WAYS)[found.way]}")
    assert failed == []
