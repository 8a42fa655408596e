"""The batches that were made in a season, each with what its book says of it: the ground for what is learned.

What counts is what was recorded and still stands; an entry that was taken back was never there. A batch is
*there* once its inoculation is recorded (also where that went without saying because of a later entry). It
has *come through* by the first day on which it was found ready, moved to the fridge, used, something was
made or planted from it, or it passed its release check (clean on the day on which the plan has it ready, or
later). A *look* is any other entry about it while it grew. Nothing is made of days on which nobody recorded
anything, and test plates are left out: what they show is the culture and not the hand.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from scheduler.journal.fold import fold, standing
from scheduler.journal.units import all_units, batch_of
from scheduler.plan import Batch, Plan
from scheduler.progress import BatchProgress, Entry, Recorded

_CLEAN = "clean"
_LOOKS = frozenset({"clean", "watch", "lost"})


@dataclass(frozen=True)
class KnownPlan:
    """A kept plan, with the numbers of the entries that it knew."""

    plan: Plan
    seen: frozenset[int]


@dataclass(frozen=True)
class Made:
    """One batch that was made, as the plan had it by which it was begun."""

    batch: Batch
    begun_on: date
    units: Mapping[str, str | None]
    """Units that were really started, with the unit each was made from."""
    loads: tuple[str, ...]
    """The load of each unit, in their order; empty where nothing was heat-treated here."""
    parent_stage: str
    lost: Mapping[str, date]
    through_on: date | None
    """The first day by which it had come through; None where nobody says that it has."""
    by_plan: bool
    """Whether that was a day on which the plan had somebody look at it or use it."""
    looks: tuple[date, ...]
    """Days before that, in rising order, on which it was looked at."""


def batches_made(plans: Sequence[KnownPlan], recorded: Sequence[Recorded]) -> tuple[Made, ...]:
    """Every batch that was made here, in the order in which they were begun; `plans` are the newest first."""
    if not plans:
        return ()
    reader = _Reader(plans, recorded)
    return tuple(sorted(reader.made(), key=lambda one: (one.begun_on, one.batch.id)))


class _Reader:
    """Plans and entries of one season."""

    def __init__(self, plans: Sequence[KnownPlan], recorded: Sequence[Recorded]) -> None:
        numbers = standing(recorded)
        self._recorded = [one for one in recorded if one.entry_no in numbers]
        self._plans = plans
        self._progress = fold(recorded, plans[0].plan)
        self._newest = {batch.id: batch for one in reversed(plans) for batch in one.plan.batches}
        tasks = [task for one in plans for task in one.plan.tasks if task.batch is not None]
        self._tests = {task.batch for task in tasks if task.kind == "test-culture"}
        self._days: dict[str, set[date]] = defaultdict(set)
        for task in tasks:
            self._days[task.batch or ""].add(task.on)
        self._loads = _loads([one.plan for one in plans])

    def made(self) -> Iterator[Made]:
        """The batches, in the order of the plans."""
        for name in self._newest:
            begun = self._progress.batch(name).inoculated_on
            if begun is not None and name not in self._tests:
                plan = self._when_begun(name)
                batch = next(batch for batch in plan.batches if batch.id == name)
                if batch.inoculate_on is not None:
                    yield self._made(plan, batch, begun)

    def _when_begun(self, name: str) -> Plan:
        """The plan by which a batch was begun: later ones leave out of it what was lost."""
        begun = max(
            one.entry_no
            for one in self._recorded
            if one.entry.kind == "inoculated" and one.entry.subject == name
        )
        knows = [one for one in self._plans if any(batch.id == name for batch in one.plan.batches)]
        return next((one for one in knows if begun not in one.seen), knows[-1]).plan

    def _made(self, plan: Plan, batch: Batch, begun: date) -> Made:
        name, happened = batch.id, self._progress.batch(batch.id)
        parents = {unit.id: unit.parent for unit in batch.units}
        units = {unit: parents.get(unit) for unit in all_units(plan, self._progress, name)}
        entries = [one.entry for one in self._recorded]
        said = [one for one in entries if _is_about(one, name) and one.on >= begun]
        first = min(self._through(batch, happened, said), default=None)
        return Made(
            batch=batch,
            begun_on=begun,
            units=units,
            loads=self._in_loads(batch, len(units)),
            parent_stage=self._parent_stage(batch, happened),
            lost={unit: on for unit, on in happened.lost.items() if unit in units},
            through_on=first,
            by_plan=first is not None and (first != happened.ready_on or first in self._days[name]),
            looks=tuple(sorted({one.on for one in said if first is None or one.on < first})),
        )

    def _through(self, batch: Batch, happened: BatchProgress, said: Sequence[Entry]) -> list[date]:
        """Days on which something says that the batch had come through."""
        days = [happened.ready_on, happened.fridge_on]
        days += [one.on for one in said if one.kind == "used"]
        if happened.ready_on is None:  # a grower who says when it was ready has not said so before
            released = [one for one in said if one.kind == _CLEAN and not one.units]
            days += [one.on for one in released if one.on >= self._newest[batch.id].ready_on]
        fed = [name for name, child in self._newest.items() if batch.id in _parents(child)]
        days += [self._progress.batch(name).inoculated_on for name in fed if name not in self._tests]
        if not fed and batch.use_on:
            days += [day for name in batch.plantings for day in self._progress.planting(name).planted]
        return [day for day in days if day is not None]

    def _parent_stage(self, batch: Batch, happened: BatchProgress) -> str:
        names = [happened.parent] if happened.parent else _parents(batch)
        return next((self._newest[name].stage for name in names if name in self._newest), "")

    def _in_loads(self, batch: Batch, units: int) -> tuple[str, ...]:
        """The load of each unit; one of its own where no plan holds it: it was treated in a tub."""
        if batch.cook_on is None:
            return ()
        cooked = self._progress.batch(batch.id).cooked_on
        held = [f"{load} {cooked}" for load in self._loads.get(batch.id, [])]
        return (*held, *[f"{batch.id} {cooked}"] * units)[:units]


def _is_about(entry: Entry, name: str) -> bool:
    """Whether somebody had a batch in hand: it was looked at, or a task at it was done."""
    if entry.kind == "done":
        return entry.subject.startswith(f"{name}:")
    return entry.subject == name and entry.kind in _LOOKS | {"used"}


def _parents(batch: Batch) -> list[str]:
    return list(dict.fromkeys(batch_of(unit.parent) for unit in batch.units if unit.parent))


def _loads(plans: Sequence[Plan]) -> dict[str, list[str]]:
    """The load of each unit of a batch, by the newest plan that still has to cook it."""
    found: dict[str, list[str]] = {}
    for plan in plans:
        here: dict[str, list[str]] = {}
        for number, load in enumerate(plan.loads):
            for share in load.holds:
                here.setdefault(share.batch, []).extend([f"{load.on} {load.cooker} {number}"] * share.units)
        found = {**here, **found}
    return found
