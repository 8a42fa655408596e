"""Whether shelf and fridge hold what stands in them, day by day and unit by unit."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from datetime import date

from scheduler.checker.case import Case, Check
from scheduler.lines.shapes import BatchSpec
from scheduler.plan import Batch
from scheduler.season.season import Room
from scheduler.workdays import days_between

_DRAWN_FROM = ("liquid culture", "slant")

_ROUNDING_L = 0.05
"""Litres that a capacity may have been rounded up by."""


def shelf(case: Case) -> Iterator[str]:
    """The shelf holds everything that grows there and everything that waits there."""
    yield from _overfull(case, "shelf", case.season.lab.shelf)


def fridge(case: Case) -> Iterator[str]:
    """The fridge holds everything that waits there."""
    yield from _overfull(case, "fridge", case.season.lab.fridge)


def _overfull(case: Case, name: str, room: Room) -> Iterator[str]:
    """Names the fullest day of a room where it holds too much.

    With `holds` the whole room is 1 and a unit is its fraction of it; else both are litres.
    """
    part = _part(case, room)
    held: dict[date, float] = defaultdict(float)
    for batch, spec in case.pairs:
        for unit in batch.units:
            for start, end in _stays(case, name, batch, unit.id):
                for day in days_between(max(start, case.season.today), end):
                    if day < end:
                        held[day] += part(spec)
    capacity = 1.0 if room.holds is not None else (room.volume_l or 0.0)
    capacity = max(capacity, _standing(case, name, part))
    fullest = max(sorted(held), key=lambda day: held[day], default=None)
    if fullest is not None and held[fullest] > capacity + _ROUNDING_L * (room.holds is None) + 1e-6:
        yield f"{held[fullest]:.2f} of {capacity:g} on {fullest}"


def _standing(case: Case, name: str, part: Callable[[BatchSpec], float]) -> float:
    """What stands in a room by what was done: it may be more than fits, and is there all the same.

    All of what has waited there by today, or the fullest day of what grows.
    """
    growing: dict[date, float] = defaultdict(float)
    waiting = 0.0
    for batch, spec in case.pairs:
        if batch.id not in case.begun or spec.begun_on is None:
            continue
        if name == "shelf":
            for day in days_between(max(spec.begun_on, case.season.today), batch.ready_on):
                growing[day] += part(spec) * spec.started
        if name == batch.waits_in and batch.ready_on <= case.season.today:
            waiting += part(spec) * spec.started
    return waiting + max(growing.values(), default=0.0)


def _part(case: Case, room: Room) -> Callable[[BatchSpec], float]:
    """What a unit takes of a room.

    A container that `holds` does not name takes room by its volume beside the largest one named; where the
    volumes of those named are not known, it is not counted.
    """
    if room.holds is None:
        return lambda spec: spec.unit_volume_l
    volumes = {spec.container: spec.unit_volume_l for spec in case.specs.values()}
    volumes |= {name: own.volume_l for name, own in case.season.lab.containers.items()}
    holds = room.holds
    largest = max(holds, key=lambda name: volumes.get(name, 0.0))
    known = all(name in volumes for name in holds)

    def part(spec: BatchSpec) -> float:
        if spec.container in holds:
            return 1 / holds[spec.container]
        return spec.unit_volume_l / volumes[largest] / holds[largest] if known else 0.0

    return part


def _stays(case: Case, room: str, batch: Batch, unit: str) -> Iterator[tuple[date, date]]:
    """First day and the day of leaving, for each time a unit stands in a room."""
    if room == "shelf" and batch.inoculate_on is not None:
        yield batch.inoculate_on, batch.ready_on
    if room == batch.waits_in:
        yield batch.ready_on, _leaves(case, batch, unit)


def _leaves(case: Case, batch: Batch, unit: str) -> date:
    """The day a unit is used up: a keep-back stays to the fallback day, a spare to its batch's last use.

    Of a vessel that is drawn from a little is kept back, and so the last one stays.
    """
    drawn_from = batch.stage in _DRAWN_FROM and unit == batch.units[-1].id
    if unit in case.kept or (drawn_from and case.tasks("keep-back", batch=batch.id)):
        last = [
            planting.fallback_on or max(planting.plant_on, default=batch.ready_on)
            for name in batch.plantings
            if (planting := case.dated.get(name)) is not None
        ]
        return max(last, default=batch.ready_on)
    made = [child.inoculate_on for child in case.children.get(unit, ()) if child.inoculate_on is not None]
    return max(made or case.needed_on(batch) or batch.use_on, default=batch.ready_on)


CHECKS: Mapping[str, Check] = {"shelf": shelf, "fridge": fridge}
