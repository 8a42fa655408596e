"""A batch is lost half way through its growth, and every planner plans onward from its own plan in its own way."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from scheduler.problem.promises import open_works, with_parts
from scheduler.problem.shapes import Days, Limit, Problem, Work
from tests.bench.quality import all_planted
from tests.bench.table import Cell

DONE = "done"
"""The rule of works that are done."""


@dataclass(frozen=True)
class Loss:
    """A season after a loss: what is done stands, and the batch has to be begun anew."""

    problem: Problem
    before: Days
    today: int
    done: Mapping[str, Mapping[int, int]]
    batch: str

    def moved(self, after: Days) -> int:
        """How many works that were still to come lie on other days; the lost batch is begun anew anyway."""
        return sum(
            set(after.pieces.get(work.name, ())) != set(self.before.pieces.get(work.name, ()))
            for work in open_works(self.problem, DONE)
            if work.name.rpartition(":")[0] != self.batch
        )


def losses(problem: Problem, days: Days, count: int) -> list[Loss]:
    """So many losses, spread over the batches by the day on which they were begun."""
    grown = sorted(
        (days.first(work.name), work.name)
        for work in problem.works
        if work.name.endswith(":inoculate") and "ready" in work.tables
    )
    chosen = [grown[len(grown) * turn // (count + 1)] for turn in range(1, count + 1)] if grown else []
    return [_lost(problem, days, name) for _, name in dict.fromkeys(chosen)]


def _lost(problem: Problem, days: Days, name: str) -> Loss:
    start, batch = days.first(name), name.rpartition(":")[0]
    today = (start + problem.work(name).tables["ready"][start]) // 2
    done = {
        work: pieces
        for work, pieces in days.pieces.items()
        if min(pieces) <= today and work.rpartition(":")[0] != batch
    }

    def held(work: Work) -> Work:
        if work.name in done:
            return replace(work, limits=(*work.limits, Limit(DONE, frozenset(done[work.name]))))
        ahead = frozenset(range(today + 1, problem.horizon + 1))
        return replace(work, limits=(*work.limits, Limit("today", ahead)))

    onward = replace(problem, works=tuple(map(held, problem.works)), equals=())
    spread = [work for work, pieces in done.items() if len(pieces) > 1]
    return Loss(with_parts(onward, done, spread), days, today, done, batch)


def onward(
    found: Sequence[Loss], goals: Sequence[str], planner: Callable[[Loss], Days | None]
) -> dict[str, Cell]:
    """How many of the losses are made good, with all planted, and how many works that moves in all."""
    after = [(loss, planner(loss)) for loss in found]
    saved = [
        (loss, days) for loss, days in after if days is not None and all_planted(loss.problem, days, goals)
    ]
    return {
        "saved": f"{len(saved)}/{len(found)}",
        "moved": sum(loss.moved(days) for loss, days in saved),
    }
