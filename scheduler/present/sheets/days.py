"""What is done on a day, for a sheet of paper: loads with recipes, tasks with steps and units to tick."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from math import ceil
from typing import Literal

from rich.cells import cell_len

from scheduler import measures
from scheduler.plan import Batch, Load, Plan, PlantingDay, Task
from scheduler.present import running_order
from scheduler.present.cautions import in_words
from scheduler.present.dates import Dates
from scheduler.present.states import living
from scheduler.progress import NOTHING, Progress
from scheduler.workdays import full

Where = Literal["lab", "yard"]
LOOKS = ("check",)
"""Kinds of work at which every unit is looked at."""
BAR_PER_PSI = 0.06894757
MADE = ("inoculate", "test-culture", "refresh-culture")
"""Kinds of work at which every unit is made from another."""
LETTERS, ROWS = 75, 32
"""Letters in a row, and rows that are sure to fit on a page of letter paper, the lowest: measured in a wide
font, a row takes 5.9 mm at most, and headings take 45 of 247 mm."""


@dataclass(frozen=True)
class Entry:
    """A task as it stands on the sheet."""

    title: str
    facts: str
    """How long it takes and how long it can wait."""
    why: str
    mind: str
    """What to mind, in short; in full it stands at the end of the sheet."""
    amounts: tuple[str, ...]
    steps: tuple[str, ...]
    made: tuple[tuple[str, str], ...] = ()
    """Each unit that is made, with the one it is made from."""
    looked_at: tuple[str, ...] = ()
    """Each unit that is looked at."""
    done: str = ""
    """The day on which it was recorded as done."""


@dataclass(frozen=True)
class LoadEntry:
    """A load of a cooker."""

    cooker: str
    holds: tuple[str, ...]
    heat: str
    """How long at which pressure, for the altitude of the place."""
    whole: str


@dataclass(frozen=True)
class Station:
    """A row of the running order."""

    at: str
    to: str
    name: str
    people: str
    hands: str
    what: str


@dataclass(frozen=True)
class Work:
    """What is planted of one planting on the day."""

    title: str
    stations: tuple[Station, ...]
    spawn: tuple[str, ...]


@dataclass(frozen=True)
class Order:
    """The running order of a planting day."""

    people: str
    takes: str
    hints: tuple[str, ...]
    works: tuple[Work, ...]
    bring: tuple[str, ...]
    at_hand: tuple[str, ...]
    rain: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True)
class DaySheet:
    """One day at the bench or outdoors."""

    place: Where
    day: str
    iso: str
    hands: str
    loads: tuple[LoadEntry, ...]
    entries: tuple[Entry, ...]
    order: Order | None
    cautions: tuple[str, ...]
    is_small: bool
    """Whether nothing but small work is on it."""
    is_short: bool
    """Whether it is small and sure to fit on one page, so that it may share one with others."""


def days_of(plan: Plan, place: Where) -> list[date]:
    """Days with work of a place; errands are done from the yard. Care has spans and no days."""
    return sorted({task.on for task in plan.work() if _is_at(task, place)})


def _is_at(task: Task, place: Where) -> bool:
    return (task.place == "lab") == (place == "lab") and not task.is_care


def day_sheet(plan: Plan, place: Where, on: date, progress: Progress = NOTHING) -> DaySheet:
    """The sheet of a day, with every task of it, also what was done already."""
    tasks = [task for task in plan.work() if task.on == on and _is_at(task, place)]
    planting = next((day for day in plan.planting_days if day.on == on), None) if place == "yard" else None
    loads = [load for load in plan.loads if load.on == on] if place == "lab" else []
    write = _Writer(plan, progress, Dates(on))
    entries = tuple(map(write.entry, tasks))
    cautions = tuple(running_order.cautions_of(tasks))
    is_small = all(task.small for task in tasks)
    return DaySheet(
        place=place,
        day=full(on),
        iso=on.isoformat(),
        hands=measures.duration(sum(task.minutes for task in tasks)),
        loads=tuple(map(write.load, loads)),
        entries=entries,
        order=write.order(planting) if planting else None,
        cautions=cautions,
        is_small=is_small,
        is_short=is_small and _rows(entries, cautions) <= ROWS,
    )


def _rows(entries: Sequence[Entry], cautions: Sequence[str]) -> int:
    """How many rows of a page these take at most, one for the room round each task; units stand in pairs."""
    texts, rows = list(cautions), len(entries)
    for one in entries:
        texts += [one.title, one.facts, one.why, one.mind, *one.amounts, *one.steps]
        rows += ceil(len(one.made) / 2) + ceil(len(one.looked_at) / 2)
    return rows + sum(ceil(cell_len(text) / LETTERS) for text in texts)


class _Writer:
    """Puts the tasks of one plan into words."""

    def __init__(self, plan: Plan, progress: Progress, words: Dates) -> None:
        self.plan, self.progress, self.words = plan, progress, words
        self.units = plan.season.units
        self.batches = {batch.id: batch for batch in plan.batches}

    def entry(self, task: Task) -> Entry:
        """A task with its amounts and what is to be ticked."""
        batch = self.batches.get(task.batch or "")
        facts = [f"{measures.duration(task.minutes)} of hands"]
        if task.attended_minutes > task.minutes:
            facts.append(f"at home for {measures.duration(task.attended_minutes)}")
        if task.spread:
            facts[0] += f" ({measures.between(*task.spread)})"
        facts.append(f"can wait until {self.words.day(task.slip_to)}" if task.slip_to else "cannot wait")
        done = self.progress.done.get(task.id)
        return Entry(
            title=task.title,
            facts=", ".join(facts),
            why=task.why,
            mind=in_words(task.cautions),
            amounts=tuple(running_order.supplies_of(self.plan, [task])),
            steps=task.steps,
            made=_made(batch) if batch and task.kind in MADE else (),
            looked_at=self._living(batch) if batch and task.kind in LOOKS else (),
            done=self.words.day(done) if done else "",
        )

    def _living(self, batch: Batch) -> tuple[str, ...]:
        return living(batch, self.progress.batch(batch.id))

    def load(self, load: Load) -> LoadEntry:
        """A load with what is in it, how long it is held, and how long somebody stays."""
        heat = ""
        if load.hold_minutes:
            at = f"at {self._pressure(load.gauge_psi)} on the gauge" if load.gauge_psi else "in steam"
            heat = f"hold for {load.hold_minutes} min {at}"
        return LoadEntry(
            cooker=load.cooker,
            holds=tuple(self._held(share.batch, share.units) for share in load.holds),
            heat=heat,
            whole=f"{measures.duration(load.attended_minutes)} from lighting to opening",
        )

    def _pressure(self, psi: float) -> str:
        """What the gauge shows; pounds per square inch are on most, bar only on metric ones."""
        bar = "" if self.units == "imperial" else f" ({measures.number(psi * BAR_PER_PSI)} bar)"
        return f"{measures.number(psi)} psi{bar}"

    def _held(self, name: str, units: int) -> str:
        """Units of a batch in a load, with their share of what was soaked or wetted for it."""
        batch = self.batches.get(name)
        if batch is None:
            return f"{units} of {name}"
        fill = [
            measures.amount(one.item, one.quantity * units / batch.started, one.unit, self.units)
            for task in self.plan.tasks
            if task.batch == name and task.kind in ("soak-grain", "wet-pellets", "soak-dowels", "prepare")
            for one in task.supplies
        ]
        return f"{units} x {batch.container} of {name}" + (f": {', '.join(fill)}" if fill else "")

    def order(self, day: PlantingDay) -> Order:
        """The running order of a planting day, as it is printed on the screen."""
        tasks = running_order.tasks_of(self.plan, day)
        titles = {task.id: task.title for task in tasks}
        return Order(
            people=running_order.people(day),
            takes=running_order.takes(day),
            hints=tuple(running_order.hints(day)),
            works=tuple(
                Work(
                    titles.get(work.task, work.planting),
                    tuple(Station(*row) for row in running_order.rows(work)),
                    tuple(running_order.which_spawn(self.plan, work)),
                )
                for work in day.works
            ),
            bring=tuple(running_order.supplies_of(self.plan, tasks)),
            at_hand=tuple(running_order.tools_of(tasks)),
            rain=tuple(self._rain(day)),
        )

    def _rain(self, day: PlantingDay) -> Iterator[tuple[str, tuple[str, ...]]]:
        for planting in running_order.plantings_of(self.plan, day):
            on = self.words.maybe(planting.fallback_on, "none")
            rain = running_order.rain_day(self.plan, planting, self.words)
            yield f"Rain day for {planting.name}: {on}", tuple(rain)


def _made(batch: Batch) -> tuple[tuple[str, str], ...]:
    return tuple((unit.id, unit.parent or "") for unit in batch.units)
