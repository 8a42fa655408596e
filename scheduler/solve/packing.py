"""Packs the work of an answer onto fewer of the days with work that it has.

All works are free, but each has so few days left that many more of them can be searched at once than where
they may go anywhere: what takes a few works of several lines at a time is found here and not part by part.
"""

from __future__ import annotations

from collections.abc import Iterator

from scheduler.problem.relax import keep_to
from scheduler.problem.shapes import Problem
from scheduler.solve.again import again
from scheduler.solve.aims import DAYS, workers, worth
from scheduler.solve.look import Answer, Effort
from scheduler.solve.model import Wanted
from scheduler.solve.params import PACKED


def packed(problem: Problem, best: Answer, wanted: Wanted, effort: Effort) -> Iterator[Answer]:
    """Ever cheaper answers in days with work, each on days of the one before it, until none is found.

    Raises KeyboardInterrupt where the grower stops it.
    """
    busy = workers(problem)
    cost: int | None = None
    while cost is None or worth(problem, best.days, DAYS) < cost:
        cost = worth(problem, best.days, DAYS)
        used = {day for name in busy for day in best.days.pieces[name]}
        result = again(keep_to(problem, dict.fromkeys(busy, used)), wanted, PACKED, effort, best.hint)
        if result.stopped:
            raise KeyboardInterrupt
        if result.answer is not None and worth(problem, result.answer.days, DAYS) < cost:
            best = result.answer
            yield best
