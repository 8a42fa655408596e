"""Fills the cookers: which units of which batch go into which load."""

from __future__ import annotations

from dataclasses import dataclass

from scheduler.assemble.frame import Frame
from scheduler.plan import Load, LoadShare
from scheduler.problem import bench
from scheduler.problem.rooms import cooker_name, hold_minutes, load_minutes

LOST = "/lost"
"""Follows the batch id of units that a load only kills."""


@dataclass(frozen=True)
class Filling:
    """One load and its cook task's id, stable while it holds the same batches."""

    load: Load
    task: str


@dataclass
class _Waiting:
    """Units of a batch still to be put into a load, and the part of a load that one takes."""

    batch: str
    units: int
    part: int


def fillings(frame: Frame) -> list[Filling]:
    """All loads in order of days, each filled as far as it goes before the next is begun."""
    minutes = load_minutes_of(frame)
    held = hold_minutes(frame.season, frame.catalogue, frame.sizing)
    gauges = {cooker_name(at, own): own.gauge_psi for at, own in enumerate(frame.season.lab.cookers)}
    cookers = {cooker.name: cooker for cooker in frame.problem.cookers}
    cooked = [(b.id, bench.cook(b), b.started) for b in frame.batches.values() if bench.is_to_cook(b)]
    cooked += [
        (f"{one.batch}{LOST}", bench.kill(one), len(one.units)) for one in frame.sizing.lost if one.load_class
    ]
    found: list[Filling] = []
    for day, name, time_class in sorted(frame.days.loads):
        cooker = cookers[name]
        queue = [
            _Waiting(label, units, cooker.shares[work] // units)
            for label, work, units in cooked
            if frame.days.cooker.get(work) == name
            and cooker.classes[work] == time_class
            and frame.days.first(work) == day
        ]
        # Large parts first: small ones fill what is left.
        queue.sort(key=lambda waiting: -waiting.part)
        hands, attended = minutes[name, time_class]
        for _ in range(frame.days.loads[day, name, time_class]):
            holds = _fill(queue, cooker.share)
            load = Load(
                on=frame.calendar.date(day),
                cooker=name,
                class_=time_class,  # type: ignore[arg-type]
                minutes=hands,
                attended_minutes=attended,
                holds=tuple(holds),
                hold_minutes=held[name, time_class],
                gauge_psi=gauges[name],
            )
            found.append(Filling(load, _task_id(load, found)))
    return found


def load_minutes_of(frame: Frame) -> dict[tuple[str, str], tuple[int, int]]:
    """(hands, attended) minutes of a load, by cooker and class."""
    return load_minutes(frame.season, frame.catalogue, frame.sizing)


def _fill(queue: list[_Waiting], room: int) -> list[LoadShare]:
    """Take from the queue what goes into one load of `room` parts."""
    holds: list[LoadShare] = []
    for waiting in queue:
        units = min(waiting.units, room // waiting.part)
        if units:
            holds.append(LoadShare(waiting.batch, units))
            waiting.units -= units
            room -= units * waiting.part
    return holds


def _task_id(load: Load, before: list[Filling]) -> str:
    """Named by what is to be used of it, never by its day; the second load of a batch is its second task."""
    held = [share.batch for share in load.holds if not share.batch.endswith(LOST)]
    name = "cook:" + "+".join(sorted(held or (share.batch for share in load.holds)))
    same = sum(1 for filling in before if filling.task == name or filling.task.startswith(f"{name}:"))
    return f"{name}:{same + 1}" if same else name
