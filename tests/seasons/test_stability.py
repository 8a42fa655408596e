"""A replan after a loss moves far fewer promised tasks than a plan made anew, and nothing that has happened."""

from __future__ import annotations

from functools import cache

import pytest

from scheduler.plan import Plan
from tests.bench.losses import Compared, compared, losses
from tests.command import PLANNED

EACH = {"backyard": 12, "cold-room": 12, "maritime": 6, "market": 6, "second-spring": 6, "south": 10}
"""Losses of each example."""
SEED = 2


@cache
def found(name: str) -> tuple[Compared, ...]:
    """Every loss of an example with its two plans."""
    return tuple(compared(name, loss) for loss in losses(name, EACH[name], SEED))


def test_replanning_moves_at_most_a_third_of_what_a_plan_anew_moves() -> None:
    """Over all losses for which both are found, promised tasks are counted that lie on another day."""
    both = [one for name in PLANNED for one in found(name) if one.replanned and one.anew]
    moved = sum(one.moved(one.replanned) for one in both if one.replanned)
    anew = sum(one.moved(one.anew) for one in both if one.anew)
    assert len(both) >= 30
    assert anew >= 300  # else there was nothing to keep still
    assert 3 * moved <= anew


@pytest.mark.parametrize("name", PLANNED)
def test_what_was_recorded_does_not_move(name: str) -> None:
    """Batches that were begun keep their day, their units less the lost ones, and what they were made from."""
    seen = 0
    for one in found(name):
        for plan in (one.replanned, one.anew):
            if plan is not None:
                seen += 1
                assert not list(_moved_facts(one, plan)), one.loss.words
    assert seen


def _moved_facts(one: Compared, plan: Plan) -> list[str]:
    progress = one.loss.context.progress
    before = {batch.id: batch for batch in one.loss.before.plan.batches}
    wrong = []
    for batch in plan.batches:
        happened = progress.batch(batch.id)
        if happened.inoculated_on is None:
            continue
        units = tuple(unit for unit in before[batch.id].units if unit.id not in happened.lost)
        if batch.inoculate_on != happened.inoculated_on:
            wrong.append(f"{batch.id}: {happened.inoculated_on} became {batch.inoculate_on}")
        if batch.units != units:
            wrong.append(f"{batch.id}: {units} became {batch.units}")
    begun = {name for name, happened in progress.batches.items() if happened.inoculated_on}
    asked = [task for task in plan.tasks if task.batch in begun or task.place == "yard"]
    wrong += [f"{task.id} is done" for task in asked if task.id in progress.done]
    return wrong
