"""A finished plan beside everything it is judged by, with the look-ups that many rules share."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from scheduler.checker.bounds import CHIP_BED, PLANTED_FOR
from scheduler.lines.shapes import BatchSpec, Demand, Sizing
from scheduler.plan import Batch, Plan, PlantingPlan, Task
from scheduler.problem.shapes import Days, Problem
from scheduler.progress import NOTHING, Progress
from scheduler.season.season import Planting, Season
from scheduler.workdays import DayCount, expand, weekday


@dataclass(frozen=True)
class Case:
    """One plan to be judged. Names that only one side knows are left out of the look-ups."""

    plan: Plan
    days: Days
    season: Season
    sizing: Sizing
    problem: Problem
    progress: Progress = NOTHING

    @cached_property
    def count(self) -> DayCount:
        """Day numbers of the problem."""
        return DayCount(self.problem.origin)

    @cached_property
    def specs(self) -> Mapping[str, BatchSpec]:
        """Batches as sized, by id."""
        return {spec.id: spec for line in self.sizing.lines for spec in line.batches}

    @cached_property
    def batches(self) -> Mapping[str, Batch]:
        """Batches as dated, by id."""
        return {batch.id: batch for batch in self.plan.batches}

    @cached_property
    def pairs(self) -> tuple[tuple[Batch, BatchSpec], ...]:
        """Each dated batch with its size."""
        return tuple((batch, self.specs[batch.id]) for batch in self.plan.batches if batch.id in self.specs)

    @cached_property
    def batch_of(self) -> Mapping[str, str]:
        """Batch id of each unit."""
        return {unit.id: batch.id for batch in self.plan.batches for unit in batch.units}

    @cached_property
    def kept(self) -> frozenset[str]:
        """Units that are kept back: the last ones of their batch."""
        return frozenset(
            unit.id for _, spec in self.pairs for unit in spec.units[len(spec.units) - spec.keep_back :]
        )

    @cached_property
    def children(self) -> Mapping[str, tuple[Batch, ...]]:
        """Batches made from each unit."""
        made: dict[str, list[Batch]] = defaultdict(list)
        for batch in self.plan.batches:
            for parent in sorted({unit.parent for unit in batch.units if unit.parent}):
                made[parent].append(batch)
        return {unit: tuple(batches) for unit, batches in made.items()}

    @cached_property
    def plantings(self) -> tuple[tuple[PlantingPlan, Planting], ...]:
        """Each dated planting with the wish it fulfils."""
        wishes = {wish.name: wish for wish in self.season.plantings}
        return tuple((p, wishes[p.name]) for p in self.plan.plantings if p.name in wishes)

    def is_down(self, wish: Planting) -> bool:
        """Whether a planting's wood was felled by today; a later day is one on which it has to be."""
        return wish.felled is not None and wish.felled <= self.season.today

    @cached_property
    def dated(self) -> Mapping[str, PlantingPlan]:
        """Dated plantings by name."""
        return {planting.name: planting for planting in self.plan.plantings}

    @cached_property
    def demands(self) -> Mapping[str, Demand]:
        """Demand by planting."""
        return {demand.planting: demand for demand in self.sizing.demands}

    @cached_property
    def away(self) -> frozenset[date]:
        """Days on which nobody is there."""
        return expand(self.season.people.away)

    @cached_property
    def by_day(self) -> Mapping[date, tuple[Task, ...]]:
        """Tasks of each day that has any, in rising order of days."""
        found: dict[date, list[Task]] = defaultdict(list)
        for task in self.plan.tasks:
            found[task.on].append(task)
        return {day: tuple(found[day]) for day in sorted(found)}

    def tasks(self, kind: str, *, batch: str | None = None, planting: str | None = None) -> tuple[Task, ...]:
        """Tasks of a kind, of one batch or planting where one is named."""
        return tuple(
            task
            for task in self.plan.tasks
            if task.kind == kind
            and (batch is None or task.batch == batch)
            and (planting is None or task.planting == planting)
        )

    def is_finished(self, spec: BatchSpec) -> bool:
        """Whether a batch is what is planted: it may stand for the last stage and is no parent any more."""
        allowed: set[str] = set()
        for wish in self.season.plantings:
            if wish.name in spec.plantings:
                allowed |= {*PLANTED_FOR[wish.route[-1]], *(["chips"] if wish.method == CHIP_BED else [])}
        feeds = any(
            child.id not in self.begun for unit in spec.units for child in self.children.get(unit.id, ())
        )
        return spec.stage in allowed and not spec.is_test and not feeds

    @cached_property
    def begun(self) -> frozenset[str]:
        """Ids of batches that were inoculated before this plan: what was done is no longer judged."""
        return frozenset(spec.id for spec in self.specs.values() if spec.begun_on is not None)

    def needed_on(self, batch: Batch) -> tuple[date, ...]:
        """Days on which a batch has yet to be fit for use: its children's inoculation, its planting days."""
        days = {
            child.inoculate_on
            for unit in batch.units
            for child in self.children.get(unit.id, ())
            if child.inoculate_on is not None and child.id not in self.begun
        }
        if batch.id in self.specs and self.is_finished(self.specs[batch.id]):
            days |= {
                day for name in batch.plantings if name in self.dated for day in self.dated[name].plant_on
            }
        return tuple(sorted(days))

    def own_minutes(self, day: date) -> int:
        """The grower's hands-on minutes of a day."""
        return 0 if day in self.away else self.season.people.minutes.get(weekday(day), 0)

    def home_minutes(self, day: date) -> int:
        """The grower's minutes on the premises of a day."""
        return 0 if day in self.away else self.season.people.home_minutes.get(weekday(day), 0)


INOCULATIONS = ("inoculate", "test-culture", "refresh-culture")
"""Kinds of task that are the inoculation of a batch; there is one for each batch that is grown."""

Check = Callable[[Case], Iterator[str]]
"""Yields one sentence for each place where its rule does not hold."""


def last_use(batch: Batch, spec: BatchSpec) -> date:
    """Last day on which a batch may be used, the age it came with counted in."""
    return batch.ready_on + timedelta(days=spec.keeps_days - spec.aged_days)
