"""Warnings about jars and bags that are opened once and used again long after: an opened one soon spoils."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from itertools import pairwise

from scheduler.assemble.frame import Frame
from scheduler.lines.culture import CULTURES
from scheduler.lines.shapes import BatchSpec
from scheduler.problem import bench, yard
from scheduler.progress import in_short
from scheduler.workdays import full

_TRIFLE_G = 1e-6


def opened_too_long(frame: Frame) -> Iterator[str]:
    """A warning for each batch of which a unit serves two days further apart than an opened one is of use.

    Cultures are left out: a syringe or a bottle is drawn from without being opened, a plate is used up. Chips
    lie in their bed.
    """
    for batch in frame.batches.values():
        if batch.stage in CULTURES or batch.stage == "chips":
            continue
        if frame.is_finished(batch):
            yield from _planted(frame, batch)
        else:
            yield from _passed_on(frame, batch)


def _passed_on(frame: Frame, batch: BatchSpec) -> Iterator[str]:
    """Grain of which the same unit is shared out on two days."""
    most = round(frame.catalogue.lab.opened_bag.likely)
    made = [child for child in frame.children.get(batch.id, ()) if not child.is_test]
    days = {child.id: frame.first(bench.inoculate(child)) for child in made}
    twice: dict[tuple[str, str], list[str]] = {}
    for unit in batch.units:
        fed = [child.id for child in made if any(one.parent == unit.id for one in child.units)]
        fed.sort(key=lambda name: (days[name], name))
        for first, second in pairwise(fed):
            if (days[second] - days[first]).days > most and days[second] >= frame.season.today:
                twice.setdefault((first, second), []).append(unit.id)
    for (first, second), units in twice.items():
        yield (
            f"{in_short(units)}: opened for {first} on {full(days[first])} and again for {second} on "
            f"{full(days[second])}, {(days[second] - days[first]).days} days later; an opened unit is best "
            f"used within {most} days. {_instead(frame, batch, (first, second), units)}"
        )


def _instead(frame: Frame, batch: BatchSpec, children: tuple[str, str], units: list[str]) -> str:
    """How to do without units that are open already: others give to the first child, or to the second."""
    for name, open_already in zip(children, (True, False), strict=True):
        child = frame.batches[name]
        fed = [unit.id for unit in child.units if unit.parent in units]
        rooms = _others(frame, child, units, open_already=open_already) if child.is_to_make else ()
        for other in rooms:
            if _room_g(frame, other) + _TRIFLE_G >= child.feed_g * len(fed):
                how = "open then" if open_already else "closed until then"
                return f"Better make {in_short(fed)} from {other}, which is {how}."
    return f"Better make {children[0]} and {children[1]} within that time."


def _others(frame: Frame, child: BatchSpec, units: list[str], *, open_already: bool) -> Iterator[str]:
    """Units that give to this child and to no other, or to none at all and are not kept back."""
    for parent in (frame.batches[name] for name in child.parents):
        for unit in parent.units[: parent.started - parent.keep_back]:
            made = {
                one.id for one in frame.children.get(parent.id, ()) for u in one.units if u.parent == unit.id
            }
            if unit.id not in units and made == ({child.id} if open_already else set()):
                yield unit.id


def _room_g(frame: Frame, unit_id: str) -> float:
    """Grams that a unit can give beyond what it gives already."""
    parent = frame.batches[unit_id.rpartition("/")[0]]
    given_g = sum(
        child.feed_g
        for child in frame.children.get(parent.id, ())
        for unit in child.units
        if unit.parent == unit_id
    )
    return parent.unit_mass_g * parent.usable - given_g - parent.passed_on.get(unit_id, 0.0)


def _planted(frame: Frame, batch: BatchSpec) -> Iterator[str]:
    """Finished spawn that is planted on two days, one of which may be past."""
    most = round(frame.catalogue.lab.opened_most.likely)
    days: dict[date, str] = {}
    for name in batch.plantings:
        for day in frame.progress.planting(name).planted:
            days[day] = name
        for day in frame.on(yard.plant(name)):
            days[day] = name
    for first, second in pairwise(sorted(days)):
        apart = (second - first).days
        if apart > most and second >= frame.season.today:
            yield (
                f"{batch.id}: a unit opened for {days[first]} on {full(first)} is no longer of use for "
                f"{days[second]} on {full(second)}, {apart} days later: once open it is used within {most} "
                f"days. Keep a closed one for that day."
            )
