"""Dealing children out to parents, so that every unit knows the one unit it is made from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from scheduler.lines.shapes import BatchSpec
from scheduler.plan import Unit
from scheduler.science.rounding import NOISE


def even(total: int, rooms: Sequence[int]) -> list[int]:
    """`total` things dealt one by one to the emptiest place that still has room, first places first."""
    dealt = [0] * len(rooms)
    for _ in range(total):
        index = min(
            (i for i, room in enumerate(rooms) if dealt[i] < room), key=lambda i: (dealt[i] / rooms[i], i)
        )
        dealt[index] += 1
    return dealt


def descend(
    parents: Sequence[BatchSpec], children: Sequence[BatchSpec], rooms: Sequence[int] = ()
) -> list[BatchSpec]:
    """The children with the parent of every unit filled in.

    Children in their order are dealt to parent batches in theirs, each parent batch taking its share; within
    a parent batch by turns to its units. Kept-back units have no children. Shares go by the units that give,
    or by `rooms`, the children that each parent batch can feed.
    """
    givers = [[unit.id for unit in parent.units[: parent.started - parent.keep_back]] for parent in parents]
    total = sum(child.started for child in children)
    shares = _shares(total, rooms or [len(units) for units in givers])
    queue = [
        (parents[index].id, units[turn % len(units)])
        for index, units in enumerate(givers)
        for turn in range(shares[index])
    ]
    result = []
    start = 0
    for child in children:
        taken = queue[start : start + child.started]
        start += child.started
        result.append(
            replace(
                child,
                units=tuple(
                    Unit(unit.id, parent) for unit, (_, parent) in zip(child.units, taken, strict=True)
                ),
                parents=tuple(dict.fromkeys(batch for batch, _ in taken)),
            )
        )
    return result


def is_fed_by_one(batch: BatchSpec, grain: BatchSpec) -> bool:
    """Whether one jar of grain, the one kept back, feeds as much of a batch as is needed."""
    return batch.needed * batch.feed_g <= grain.unit_mass_g * grain.usable + NOISE


def _shares(total: int, sizes: Sequence[int]) -> list[int]:
    """`total` split in proportion to `sizes`, in whole parts that add up (borders rounded)."""
    everything = sum(sizes)
    borders = [0]
    for size in sizes:
        reached = sum(sizes[: len(borders) - 1]) + size
        borders.append((2 * total * reached + everything) // (2 * everything))
    return [after - before for before, after in pairwise(borders)]
