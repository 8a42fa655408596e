"""Whether everything that has to be cooked is cooked: in time, and in loads that can be had."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from datetime import date

from scheduler.checker.bounds import SEALED_DAYS, TUB_DAYS
from scheduler.checker.case import Case, Check
from scheduler.lines.shapes import Lost
from scheduler.season.season import Cooker

_A_HAIR = 1e-6


def _cookers(case: Case) -> Mapping[str, Cooker]:
    """The season's cookers by kind and number; all kinds are numbered in one row."""
    return {f"{cooker.kind} {at}": cooker for at, cooker in enumerate(case.season.lab.cookers, start=1)}


def cook_first(case: Case) -> Iterator[str]:
    """A batch rests a night at least after its heat treatment, and waits no longer than it stays clean."""
    for batch, spec in case.pairs:
        if batch.id in case.begun:
            continue
        if batch.cook_on is None or batch.inoculate_on is None:
            if spec.treatment is not None and spec.state == "planned":
                yield f"{batch.id}: has to be heat-treated before it is inoculated"
            continue
        waits = (batch.inoculate_on - batch.cook_on).days
        most = TUB_DAYS if spec.treatment == "tub" else SEALED_DAYS
        if not max(1, spec.rest_days) <= waits <= most:
            yield f"{batch.id}: {waits} days from cooking to inoculation"


def loads_a_day(case: Case) -> Iterator[str]:
    """No cooker takes more loads on a day than it can."""
    a_day = Counter((load.on, load.cooker) for load in case.plan.loads)
    cookers = _cookers(case)
    for (day, name), count in sorted(a_day.items()):
        allowed = cookers[name].loads_per_day if name in cookers else 0
        if count > allowed:
            yield f"{day}: {count} loads in {name}, {allowed} fit the day"


def load_holds(case: Case) -> Iterator[str]:
    """A load is not fuller than full: each unit takes its fraction of the cooker."""
    cookers = _cookers(case)
    for load in case.plan.loads:
        filled = 0.0
        for share in load.holds:
            container, cooker = _container(case, share.batch), cookers.get(load.cooker)
            holds = cooker.holds.get(container, 0) if container and cooker else 0
            filled += share.units / holds if holds else float("inf")
        if filled > 1 + _A_HAIR or not load.holds:
            yield f"{load.on}: a load of {load.cooker} is filled {filled:.2f} times"


def _container(case: Case, name: str) -> str | None:
    """What the units of a load's share are in: those of a batch, or lost units that are only killed."""
    if name in case.specs:
        return case.specs[name].container
    return next((lost.container for lost in case.sizing.lost if _lost(lost) == name), None)


def _lost(lost: Lost) -> str:
    return f"{lost.batch}/lost"


def cooked(case: Case) -> Iterator[str]:
    """Each batch that needs a load is cooked whole, on its cook day, in loads of its own time class."""
    units: Counter[tuple[str, date, str]] = Counter()
    for load in case.plan.loads:
        for share in load.holds:
            units[share.batch, load.on, load.class_] += share.units
    for batch, spec in case.pairs:
        if spec.state != "planned" or spec.load_class is None or batch.cook_on is None:
            continue
        if batch.id in case.begun or spec.cooked_on is not None:
            continue
        done = units.pop((batch.id, batch.cook_on, spec.load_class), 0)
        if done != batch.started:
            yield f"{batch.id}: {done} of {batch.started} units in {spec.load_class} loads on {batch.cook_on}"
    for lost in case.sizing.lost:
        loads = [key for key in units if key[0] == _lost(lost) and key[2] == lost.load_class]
        killed = sum(units.pop(key) for key in loads)
        if lost.load_class is not None and killed != len(lost.units):
            yield f"{lost.batch}: {killed} of {len(lost.units)} lost units are heated through"
    for (batch_id, day, time_class), count in units.items():
        yield f"{count} units of {batch_id} in a {time_class} load on {day}, where they do not belong"


def load_days(case: Case) -> Iterator[str]:
    """The loads of the plan are the loads that were found."""
    planned = Counter((case.count.number(load.on), load.cooker, str(load.class_)) for load in case.plan.loads)
    for key in sorted(planned.keys() | case.days.loads.keys()):
        if planned[key] != case.days.loads.get(key, 0):
            yield f"{planned[key]} loads planned and {case.days.loads.get(key, 0)} found on day {key}"


def tub_dry(case: Case) -> Iterator[str]:
    """What is scalded in a tub goes into it dry: nobody wets it before."""
    for batch, spec in case.pairs:
        if spec.treatment == "tub" and case.tasks("wet-pellets", batch=batch.id):
            yield f"{batch.id}: wetted before the boiling water, which is all the water it takes"


def cook_tasks(case: Case) -> Iterator[str]:
    """There is one cook task for each load, and one for each tub, as long as the work takes."""
    tasks = Counter((task.on, task.minutes, task.attended_minutes) for task in case.tasks("cook"))
    loads = Counter((load.on, load.minutes, load.attended_minutes) for load in case.plan.loads)
    for day, minutes, attended in sorted((tasks - loads) + (loads - tasks)):
        yield f"{day}: loads and cook tasks of {minutes} ({attended}) minutes do not match"
    for batch, spec in case.pairs:
        tub = spec.treatment is not None and spec.load_class is None and batch.cook_on is not None
        tub = tub and spec.cooked_on is None and batch.id not in case.begun
        if tub and batch.cook_on not in {task.on for task in case.tasks("pasteurise", batch=batch.id)}:
            yield f"{batch.id}: no pasteurise task on {batch.cook_on}"


def held_hot(case: Case) -> Iterator[str]:
    """A load is held at heat for some time, and not for longer than it takes as a whole."""
    for load in case.plan.loads:
        if not 0 < load.hold_minutes < load.attended_minutes:
            yield f"{load.on}, {load.cooker}: {load.hold_minutes} of {load.attended_minutes} minutes at heat"


CHECKS: Mapping[str, Check] = {
    "cook-first": cook_first,
    "loads-a-day": loads_a_day,
    "load-holds": load_holds,
    "cooked-whole": cooked,
    "same-loads": load_days,
    "cook-tasks": cook_tasks,
    "held-hot": held_hot,
    "tub-dry": tub_dry,
}
