"""Transfers since the master culture, along the family tree: a strain does not stand any number of them.

A transfer is a move onto fresh medium or grain: plate to plate, into a bottle, culture to grain, grain to
grain. The move into finished spawn is not counted, since that is planted and not carried on, nor is a test,
which is thrown away. What is bought counts from the day it comes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from scheduler.lines.shapes import BatchSpec

FINISHED = ("sawdust", "pellet", "dowels", "chips")


def counted(batches: Iterable[BatchSpec]) -> list[BatchSpec]:
    """The batches, parents first, with the transfers that lie behind each.

    One whose parents are gone keeps what was counted when they were there.
    """
    found: dict[str, BatchSpec] = {}
    for batch in batches:
        parents = [found[name] for name in batch.parents if name in found]
        if parents:
            behind = [parent.transfers for parent in parents]
            known = [number for number in behind if number is not None]
            total = max(known) + moves(batch) if len(known) == len(behind) else None
            batch = replace(batch, transfers=total)
        found[batch.id] = batch
    return list(found.values())


def moves(batch: BatchSpec) -> int:
    """Transfers that a batch itself adds."""
    return int(not (batch.is_test or batch.stage in FINISHED or batch.growth is None))


def since_known(batches: Iterable[BatchSpec]) -> Mapping[str, int]:
    """Transfers of each batch since the first of its ancestors that is there, whatever lies behind that."""
    found: dict[str, int] = {}
    for batch in batches:
        behind = max((found[name] for name in batch.parents if name in found), default=0)
        found[batch.id] = behind + moves(batch)
    return found
