"""Units of a batch: which of them there are, which live, and how a few of them are typed and written."""

from __future__ import annotations

import re
from collections.abc import Iterable

from scheduler.plan import Batch, Plan
from scheduler.progress import Progress

BATCH_ID = re.compile(r"([A-Z]{2,4})-(G\d+|[ATLSDC])([a-z]{1,3})")
"""Code of the strain line, stage (and generation), letter."""

_RUNS = re.compile(r"\d+(-\d+)?(,\d+(-\d+)?)*")


def number(unit: str) -> int:
    """The number of a unit in its batch."""
    return int(unit.rpartition("/")[2])


def batch_of(unit: str) -> str:
    """The batch of a unit."""
    return unit.rpartition("/")[0]


def planned(plan: Plan, batch_id: str) -> Batch | None:
    """The batch of the plan; None for one that no plan knows, or that is over."""
    return next((batch for batch in plan.batches if batch.id == batch_id), None)


def known_batches(plan: Plan, progress: Progress) -> tuple[str, ...]:
    """Ids of the plan's batches, then of those that only entries speak of."""
    return tuple(dict.fromkeys([*(batch.id for batch in plan.batches), *progress.batches]))


def all_units(plan: Plan, progress: Progress, batch_id: str) -> tuple[str, ...]:
    """Ids of the units of a batch by their numbers: so many as were really started, where that was said."""
    batch = planned(plan, batch_id)
    happened = progress.batch(batch_id)
    numbers = sorted(number(unit.id) for unit in batch.units) if batch else []
    if happened.inoculated_on is not None and happened.started is not None:
        last = max(numbers, default=0)
        numbers = [one for one in numbers if one <= happened.started]
        numbers += range(last + 1, happened.started + 1)
    return tuple(f"{batch_id}/{one}" for one in numbers)


def living(plan: Plan, progress: Progress, batch_id: str) -> tuple[str, ...]:
    """Units that are neither lost nor used up."""
    happened = progress.batch(batch_id)
    units = all_units(plan, progress, batch_id)
    return tuple(unit for unit in units if unit not in happened.lost and unit not in happened.used)


def kept_back(plan: Plan, batch_id: str) -> tuple[str, ...]:
    """Units that the plan keeps back for a redo; its last ones."""
    batch = planned(plan, batch_id)
    if batch is None:
        return ()
    return tuple(unit.id for unit in batch.units[len(batch.units) - batch.keep_back :])


def highest(units: Iterable[str], kept: Iterable[str]) -> list[str]:
    """The units in the order in which unnamed ones are taken to be lost: the kept ones last."""
    last = set(kept)
    return sorted(units, key=lambda unit: (unit in last, -number(unit)))


def lowest(units: Iterable[str], kept: Iterable[str]) -> list[str]:
    """The units in the order in which unnamed ones are used up: the kept ones last."""
    last = set(kept)
    return sorted(units, key=lambda unit: (unit in last, number(unit)))


def numbers(text: str) -> list[int] | None:
    """Reads ``3``, ``1,3,5`` or ``1-3,7``; None for anything else, and for a run that goes backwards."""
    text = text.strip(",")
    if len(text) > 100 or not _RUNS.fullmatch(text):
        return None
    found: list[int] = []
    for run in text.split(","):
        first, _, last = run.partition("-")
        if not 0 <= int(last or first) - int(first) < 1000:
            return None
        found += range(int(first), int(last or first) + 1)
    return list(dict.fromkeys(found))
