"""Whether every task of a plan can wait exactly as long as it says: days are tried, and the checker asked."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.checker.schedule import check_days
from scheduler.lines.figures import keeping
from scheduler.plan import Batch, Plan, Task
from scheduler.problem.shapes import Days, Point, Problem
from scheduler.workdays import days_between
from tests.seasons.written import CATALOGUE

WORK_OF = {
    "test-culture": "inoculate",
    "refresh-culture": "inoculate",
    "pasteurise": "cook",
    "buck": "fell",
    "haul": "fell",
}
"""The work of the Problem that a task of another kind belongs to."""

EVE_KINDS = ("soak-grain", "wet-pellets", "soak-dowels", "prepare", "take-out")
"""Small tasks of the evening before something, which cannot wait."""

DAYS_LATER = 4
"""Allowed days after the last one that a work may wait for, each of which has to break a rule."""

SHAKEN_BEFORE_USE = timedelta(days=4)
LAST_LOOK = {"first": timedelta(days=5), "second": timedelta(days=10)}
"""Days after inoculation by which a batch is looked at for the first and the second time."""

ONE_DAY = timedelta(days=1)


@dataclass(frozen=True)
class Found:
    """A plan with the answer it was written from."""

    plan: Plan
    days: Days
    problem: Problem

    def batch(self, task: Task) -> Batch | None:
        """The batch that a task belongs to."""
        return next((batch for batch in self.plan.batches if batch.id == task.batch), None)

    def number(self, day: date) -> int:
        """Day number of a date."""
        return (day - self.problem.origin).days


def slips(found: Found) -> Iterator[str]:
    """Every task that could wait longer than it says, or not as long."""
    for task in found.plan.tasks:
        works = [work for work in works_of(found, task) if work in found.days.pieces]
        if works:
            yield from _work(found, task, works)
        elif task.small:
            last = _last_there(found, task.on, _until(found, task))
            if task.slip_to != last:
                yield f"slip: {task.id} on {task.on} to {task.slip_to}, not {last}"


# --- work ----------------------------------------------------------------------------------------------------


def works_of(found: Found, task: Task) -> list[str]:
    """The works of the Problem that a task stands for; none for most small work.

    What is kept back of a culture stands for what is made from it that day: it is taken as it is opened.
    """
    if task.kind == "cook":
        held = task.id.removeprefix("cook:").partition(":")[0].split("+")
        return [f"{batch}:cook" for batch in held]
    batch = found.batch(task)
    if task.kind == "keep-back" and batch and batch.state != "planned":
        return [f"{b.id}:inoculate" for b in _made_from(found, batch) if b.inoculate_on == task.on]
    return [f"{task.batch or task.planting}:{WORK_OF.get(task.kind, task.kind)}"]


def _made_from(found: Found, batch: Batch) -> list[Batch]:
    return [b for b in found.plan.batches if any(_comes_from(unit.parent, batch) for unit in b.units)]


def _comes_from(parent: str | None, batch: Batch) -> bool:
    return parent is not None and parent.rpartition("/")[0] == batch.id


def _work(found: Found, task: Task, works: Sequence[str]) -> Iterator[str]:
    """Its part of the day may wait until the day it says, all others as they are, and not for a day more."""
    on, last = found.number(task.on), found.number(task.slip_to or task.on)
    allowed = sorted(
        frozenset.intersection(*(one.days for work in works for one in found.problem.work(work).limits))
    )
    opened = [found.number(day) for day in _opened_next(found, task)]
    if last in opened:
        if not any(_stands(found, works, on, day) for day in allowed if day >= last):
            yield f"slip: {task.id} to {task.slip_to}, which is too long"
        return
    if task.slip_to and not _stands(found, works, on, last):
        yield f"slip: {task.id} to {task.slip_to}: {check_days(found.problem, moved(found, works, on, last))[0]}"
    for day in [later for later in allowed if later > last][:DAYS_LATER]:
        if _stands(found, works, on, day):
            yield f"slip: {task.id} to {task.slip_to}, but day {day} would do"


def _opened_next(found: Found, task: Task) -> Sequence[date]:
    """The next day on which a culture is opened, beyond which nothing of it can wait to be kept back."""
    batch = found.batch(task)
    return batch.use_on[1:2] if batch and task.kind == "keep-back" else ()


def _stands(found: Found, works: Sequence[str], on: int, day: int) -> bool:
    return not check_days(found.problem, moved(found, works, on, day))


def moved(found: Found, works: Sequence[str], on: int, day: int) -> Days:
    """The same answer with what is done of some works on one day moved to another.

    What follows them without being work follows.
    """
    pieces = {name: dict(lies) for name, lies in found.days.pieces.items()}
    for work in works:
        part = pieces[work].pop(on)
        pieces[work][day] = pieces[work].get(day, 0) + part
    return settled(found.problem, Days(pieces, found.days.cooker))


def settled(problem: Problem, days: Days) -> Days:
    """The answer with its loads counted anew, and works that nothing binds as early as others let them be."""
    pieces = {name: dict(on) for name, on in days.pieces.items()}
    for work in problem.works:
        if not (work.limits or work.tables or work.last_tables):
            behind = [lag for lag in problem.lags if lag.after == Point(work.name)]
            ends = [_at(problem, pieces, lag.before) + (lag.least or 0) for lag in behind]
            pieces[work.name] = {max(ends, default=0): 1}
    parts: dict[tuple[int, str, str], int] = {}
    cookers = {cooker.name: cooker for cooker in problem.cookers}
    for work_name, name in days.cooker.items():
        cooker = cookers[name]
        key = (min(pieces[work_name]), name, cooker.classes[work_name])
        parts[key] = parts.get(key, 0) + cooker.shares[work_name]
    return Days(pieces, days.cooker, {key: -(-part // cookers[key[1]].share) for key, part in parts.items()})


def _at(problem: Problem, pieces: Mapping[str, Mapping[int, int]], point: Point) -> int:
    work = problem.work(point.work)
    first, last = min(pieces[work.name]), max(pieces[work.name])
    if point.at in ("first", "last"):
        return first if point.at == "first" else last
    # Where a table does not know the day, some rule is broken anyway.
    return (
        work.tables[point.at].get(first, 0)
        if point.at in work.tables
        else work.last_tables[point.at].get(last, 0)
    )


# --- small tasks ---------------------------------------------------------------------------------------------


def _last_there(found: Found, on: date, until: date) -> date | None:
    """Last day after one and up to another on which somebody is there."""
    plant = found.problem.work(f"{found.plan.plantings[0].name}:plant")
    there = next(limit.days for limit in plant.limits if limit.rule == "away")
    days = days_between(on + ONE_DAY, until)
    return max((day for day in days if found.number(day) in there), default=None)


def _until(found: Found, task: Task) -> date:
    """The end of a small task's band, whoever is there."""
    if task.kind == "prepare" and task.batch is None:
        # Looked after weeks ahead: until the evening before the first work that comes after it.
        return min(later.on for later in found.plan.tasks if task.id in later.after) - ONE_DAY
    if task.kind in EVE_KINDS:
        return task.on
    if task.kind in ("weigh", "soak-logs"):
        planting = next(p for p in found.plan.plantings if p.name == task.planting)
        return planting.plant_on[0] - ONE_DAY
    batch = found.batch(task)
    assert batch is not None and batch.inoculate_on is not None, task.id
    if task.kind == "shake":
        return min(_used(found, batch) - SHAKEN_BEFORE_USE, batch.ready_on - ONE_DAY)
    if task.kind == "move-to-fridge":
        return _fridge_by(found, batch, task.on)
    eve = max(batch.ready_on, _used(found, batch) - ONE_DAY)
    if task.kind == "keep-back":
        return eve
    assert task.kind == "check", task.id
    look = LAST_LOOK.get(task.id.rpartition(":")[2])
    if look is not None:
        return min(batch.inoculate_on + look, batch.ready_on - ONE_DAY)
    moves = [t for t in found.plan.tasks if t.kind == "move-to-fridge" and t.batch == batch.id]
    return min([eve, *(move.slip_to or move.on for move in moves)])


def _used(found: Found, batch: Batch) -> date:
    """First day of use; of a plate test, the first on which its culture is used after it."""
    if batch.use_on:
        return batch.use_on[0]
    sources = [b for b in found.plan.batches if batch in _made_from(found, b)]
    made = {b.inoculate_on for source in sources for b in _made_from(found, source) if b.inoculate_on}
    return min(day for day in made if day >= batch.ready_on)


def _fridge_by(found: Found, batch: Batch, on: date) -> date:
    """Last day before which the shelf holds the batch as well, while it is fresh there and before its use."""
    shelf = next(room for room in found.problem.rooms if room.name == "shelf")
    grown = Point(f"{batch.id}:inoculate")
    amount = next(stay.amount for stay in shelf.stays if stay.start == grown)
    before_use = batch.use_on[0] - ONE_DAY * (0 if _made_from(found, batch) else 2)
    fresh = int(keeping(CATALOGUE, batch.species, batch.stage).shelf_fresh.likely)
    until = min(before_use, batch.ready_on + fresh * ONE_DAY)
    for day in days_between(on, until):
        number = found.number(day)
        held = sum(
            stay.amount
            for stay in shelf.stays
            if found.days.at(found.problem, stay.start) <= number < found.days.at(found.problem, stay.end)
        )
        if held + amount > shelf.capacity:
            return day
    return max(on, until)
