"""What has to hold after each replan of a season, whatever went wrong before it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta

from scheduler.journal.fold import fold, standing
from scheduler.plan import Batch
from scheduler.progress import Entry
from scheduler.service.replanning import Replan
from scheduler.solve.replan import FROZEN_DAYS
from tests.seasons.played import Grower

_Kind = tuple[str, str, str, int | None]
"""What a batch is, whatever becomes of it."""


@dataclass
class Watcher:
    """Looks at one replan after the other of the same season."""

    known: dict[str, _Kind] = field(default_factory=dict)
    """What each batch is that was ever in a plan."""
    gone: set[str] = field(default_factory=set)
    """Batches that fell out of the plan."""

    def wrong(self, found: Replan, grower: Grower) -> list[str]:
        """Everything that should not be so after this replan, in words."""
        entries = grower.entries
        numbers = standing(entries)
        stand = [one.entry for one in entries if one.entry_no in numbers]
        if any(entry.kind == "undo" for entry in found.news):
            self.gone.clear()  # what comes back then was never away
        return [
            *_facts(found, stand),
            *_days(found, grower.today),
            *_frozen(found, grower.today),
            *_sums(found, fold(entries, found.before).done),
            *self._ids(found),
        ]

    def _ids(self, found: Replan) -> Iterator[str]:
        for what, names in (
            ("task", [task.id for task in found.plan.tasks]),
            ("batch", [batch.id for batch in found.plan.batches]),
            ("unit", [unit.id for batch in found.plan.batches for unit in batch.units]),
        ):
            yield from (f"two {what}s are {name}" for name, count in Counter(names).items() if count > 1)
        for batch in (*found.before.batches, *found.plan.batches):
            if self.known.setdefault(batch.id, _kind(batch)) != _kind(batch):
                yield f"{batch.id} was {self.known[batch.id]}, is {_kind(batch)}"
        there = {batch.id for batch in found.plan.batches}
        yield from (f"{name} is back" for name in sorted(self.gone & there))
        self.gone |= {batch.id for batch in found.before.batches} - there


def _kind(batch: Batch) -> _Kind:
    return batch.line, batch.strain, batch.stage, batch.generation


def _facts(found: Replan, stand: list[Entry]) -> Iterator[str]:
    """What is recorded is in the plan as it was recorded, and is not asked for again."""
    begun = {entry.subject: entry.on for entry in stand if entry.kind == "inoculated"}
    lost = {unit for entry in stand if entry.kind == "lost" for unit in entry.units}
    for batch in found.plan.batches:
        if batch.id in begun and batch.inoculate_on != begun[batch.id]:
            yield f"{batch.id} was inoculated on {begun[batch.id]}, the plan says {batch.inoculate_on}"
        yield from (f"{unit.id} is lost" for unit in batch.units if unit.id in lost)
    was = {unit.id: unit for batch in found.before.batches if batch.id in begun for unit in batch.units}
    for batch in found.plan.batches:
        for unit in batch.units:
            if unit.id in was and was[unit.id].parent != unit.parent:
                yield f"{unit.id} was made from {was[unit.id].parent}, the plan says {unit.parent}"
    for task in found.plan.tasks:
        if task.batch in begun and task.kind in ("inoculate", "test-culture", "refresh-culture"):
            yield f"{task.id} is done"
    for planting in found.plan.plantings:
        days = {entry.on for entry in stand if (entry.kind, entry.subject) == ("planted", planting.name)}
        is_open = any(t.kind == "plant" and t.planting == planting.name for t in found.plan.tasks)
        if not is_open and not days <= set(planting.plant_on):
            yield f"{planting.name} was planted on {days}, the plan says {planting.plant_on}"


def _days(found: Replan, today: date) -> Iterator[str]:
    yield from (f"{task.id} is on {task.on}" for task in found.plan.tasks if task.on < today)
    yield from (f"a load is on {load.on}" for load in found.plan.loads if load.on < today)


def _frozen(found: Replan, today: date) -> Iterator[str]:
    """Tasks promised for the next days stay, unless it is said that they could not."""
    if found.unfrozen:
        return
    frozen = today + timedelta(days=FROZEN_DAYS)
    was = {batch.id: (batch.inoculate_on, batch.ready_on) for batch in found.before.batches}
    begun = {b.id for b in found.plan.batches if was.get(b.id) != (b.inoculate_on, b.ready_on)}
    batch_of = {task.id: task.batch for task in found.plan.tasks}
    small = {task.id for task in found.plan.tasks if task.small}
    ahead = {task.id for task in found.plan.tasks if task.is_check_ahead}
    for change in found.plan.changes:
        if change.task in small and batch_of.get(change.task) in begun:
            continue  # looks, shakes and the like go by the day on which their batch was begun, or found ready
        if change.task in ahead:
            continue  # what is looked after some weeks ahead goes by the work that it is for
        if change.kind == "moved" and change.was and today <= change.was < frozen:
            yield f"{change.task} moved from {change.was} to {change.now}: {change.why}"


def _sums(found: Replan, done: Container[str]) -> Iterator[str]:
    """The changes tell of every open task before, and of every task now, once."""
    kinds = Counter(change.kind for change in found.plan.changes)
    before = sum(task.id not in done for task in found.before.work())
    if kinds["kept"] + kinds["moved"] + kinds["dropped"] != before:
        yield f"{before} tasks were open, the changes tell of {kinds}"
    if kinds["kept"] + kinds["moved"] + kinds["new"] != len(found.plan.work()):
        yield f"{len(found.plan.work())} tasks are left, the changes tell of {kinds}"
    for change in found.plan.changes:
        if change.kind != "kept" and not change.why:
            yield f"{change.task} is {change.kind} without a reason"
