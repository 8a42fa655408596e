"""How finished spawn, there or still to be made, is shared out among the plantings that are left."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import replace

from scheduler.lines.living import Living
from scheduler.lines.shapes import BatchSpec, Demand
from scheduler.science.rounding import whole_up
from scheduler.season.permissions import SAWDUST_SPAWN
from scheduler.season.season import Planting


def is_finished(batch: BatchSpec, plantings: Collection[Planting]) -> bool:
    """Whether a batch is what is planted in one of these plantings."""
    return any(serves(batch, planting) for planting in plantings)


def serves(batch: BatchSpec, planting: Planting) -> bool:
    """Whether a batch is finished spawn of a planting."""
    last = planting.route[-1]
    same = batch.stage in (last, "chips") or {batch.stage, last} <= SAWDUST_SPAWN
    return same and planting.name in batch.plantings


def share_out(
    lives: Living, plantings: Collection[Planting], demands: Mapping[str, Demand]
) -> dict[str, float]:
    """Sets what is needed of each finished batch; the grams that each planting still misses.

    What was planned to be needed goes first, then the spares of what grows, then those of what is to be made.
    """
    missing: dict[str, float] = {}
    for planting in plantings:
        mine = [batch for batch in lives.batches.values() if serves(batch, planting)]
        left_g = demands[planting.name].spawn_g
        taken = dict.fromkeys((batch.id for batch in mine), 0)
        for most in _ROUNDS:
            for batch in mine:
                part_g = batch.unit_mass_g * batch.usable
                more = min(most(batch) - taken[batch.id], whole_up(left_g / part_g) if part_g else 0)
                if more > 0:
                    taken[batch.id] += more
                    left_g = max(0.0, left_g - more * part_g)
        for batch in mine:
            lives.batches[batch.id] = replace(batch, needed=taken[batch.id])
        missing[planting.name] = left_g
    return missing


def _all(batch: BatchSpec) -> int:
    return batch.started - batch.keep_back


_ROUNDS: tuple[Callable[[BatchSpec], int], ...] = (
    lambda batch: batch.needed,
    lambda batch: batch.needed if batch.is_to_make else _all(batch),
    _all,
)
"""The most that is taken of a batch, round by round."""


def drop_unwanted(lives: Living, plantings: Mapping[str, Planting], demands: Mapping[str, Demand]) -> None:
    """Leaves out what is still to be made for a planting that is over, is bought for, or needs less."""
    for batch in list(lives.batches.values()):
        left = tuple(name for name in batch.plantings if name in plantings)
        bought = batch.is_to_make and any(
            plantings[name].spawn == "buy" and serves(batch, plantings[name]) for name in left
        )
        if bought or not left:
            del lives.batches[batch.id]
        else:
            lives.batches[batch.id] = replace(batch, plantings=left)
    before = dict(lives.batches)
    share_out(lives, plantings.values(), demands)
    for name, batch in list(lives.batches.items()):
        fewer = before[name].needed - batch.needed
        if not (batch.is_to_make and fewer > 0 and is_finished(batch, plantings.values())):
            continue
        if batch.needed:
            started = batch.started - fewer
            lives.batches[name] = replace(batch, started=started, units=batch.units[:started])
        else:
            del lives.batches[name]
