"""Which batches stand in for each other, and in which order their stages are played."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence

from scheduler.lines.shapes import BatchSpec, Line
from scheduler.outlook.course import Stage


def stage_keys(line: Line, finished: Callable[[BatchSpec], bool]) -> dict[str, str]:
    """Key of each batch's stage: batches that feed one child, or make one planting, belong together."""
    group = {batch.id: batch.id for batch in line.batches}

    def root(name: str) -> str:
        while group[name] != name:
            name = group[name]
        return name

    def join(names: Sequence[str]) -> None:
        known = [root(name) for name in names if name in group]
        for name in known[1:]:
            group[root(name)] = root(known[0])

    alike: dict[object, list[str]] = defaultdict(list)
    for batch in line.batches:
        if not batch.is_test:
            join(batch.parents)
            alike[batch.stage, batch.generation, batch.plantings, batch.growth is None].append(batch.id)
            if finished(batch):
                alike[batch.plantings].append(batch.id)
    for names in alike.values():
        join(names)
    return {batch.id: f"{line.code}:{root(batch.id)}" for batch in line.batches}


def parents_first(stages: Sequence[Stage]) -> list[Stage]:
    """Tests before all others, and every stage after the one it is made from."""
    by_key = {stage.key: stage for stage in stages}

    def depth(stage: Stage) -> int:
        if stage.is_test:
            return -1
        return 0 if stage.parent is None else 1 + depth(by_key[stage.parent])

    return sorted(stages, key=depth)
