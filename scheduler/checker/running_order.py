"""Whether the running order of the planting days holds: tasks, people and tools, and spawn for all."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from scheduler.checker.case import Case, Check
from scheduler.plan import PlantingDay, PlantingWork

_ROUNDED_M2 = 0.05
"""Square metres that rounding may add to or take off the parts of a bed, or so it seems."""


def same_work(case: Case) -> Iterator[str]:
    """Every planting task is in the running order of its own day, once, and nothing else is."""
    told = sorted((day.on, work.task) for day in case.plan.planting_days for work in day.works)
    tasks = sorted((task.on, task.id) for task in case.tasks("plant"))
    if told != tasks:
        odd = sorted({task for _, task in set(told) ^ set(tasks)}) or ["one of them twice"]
        yield f"not the planting of its day: {', '.join(odd)}"


def at_stations(case: Case) -> Iterator[str]:
    """No station has more people than are there, and no more work at once than there are drills."""
    for day in case.plan.planting_days:
        own = case.own_minutes(day.on)
        there = max(1, bool(own) + sum(help_.people for help_ in case.season.help if help_.on == day.on))
        for work in day.works:
            teams = {station.team: station.people for station in work.stations if station.team}
            if sum(teams.values()) > there:
                yield f"{work.task}: {sum(teams.values())} people at stations, {there} are there on {day.on}"
            for station in work.stations:
                drills = case.season.tools.drills
                if station.limited_by == "drill" and station.limit != drills:
                    yield f"{work.task}: {station.limit} drills at {station.name}, there are {drills}"
                if not station.spread[0] <= station.minutes <= station.spread[1]:
                    yield f"{work.task}: {station.minutes} minutes at {station.name} of {station.spread}"
        if not day.spread[0] <= day.minutes <= day.spread[1]:
            yield f"{day.on}: {day.minutes} minutes of {day.spread}"


def spawn_for_all(case: Case) -> Iterator[str]:
    """Every piece planted on a day has spawn of its planting, in order, and none that is kept back."""
    for day in case.plan.planting_days:
        for work in day.works:
            units = [*(fed.unit for fed in work.spawn), *work.reserve]
            for unit in units:
                batch = case.batches.get(case.batch_of.get(unit, ""))
                if batch is None or work.planting not in batch.plantings or unit in case.kept:
                    yield f"{work.task}: {unit} is no spawn of {work.planting} that may be used"
            yield from _covered(case, day, work)


def _covered(case: Case, day: PlantingDay, work: PlantingWork) -> Iterator[str]:
    counted = [(fed.first, fed.last) for fed in work.spawn if fed.first is not None and fed.last is not None]
    if work.piece == "m2":
        wish = next(wish for planting, wish in case.plantings if planting.name == work.planting)
        wanted = (wish.area_m2 or 0.0) * work.pieces / case.demands[work.planting].pieces
        found = sum(fed.area_m2 or 0.0 for fed in work.spawn)
        if abs(found - wanted) > _ROUNDED_M2:
            yield f"{work.task} on {day.on}: spawn for {found:.2f} m2 of {wanted:.2f}"
    elif not counted or counted[-1][1] - counted[0][0] + 1 != work.pieces:
        yield f"{work.task} on {day.on}: spawn for pieces {counted}, {work.pieces} are planted"
    elif any(later[0] not in (earlier[1], earlier[1] + 1) for earlier, later in pairwise(counted)):
        yield f"{work.task} on {day.on}: pieces are left out between {counted}"


CHECKS: Mapping[str, Check] = {
    "running-order": same_work,
    "stations": at_stations,
    "spawn-for-all": spawn_for_all,
}
