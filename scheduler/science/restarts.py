"""How much to start in each try, where what is still missing can be started again so many times.

The allowance for rejects of Hillier & Lieberman [hillier-lieberman], for any need: a dynamic programme over
the tries that are left. A try costs setting up and its units; what is missing after the last one costs too.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

ALIKE = 1e-9
"""Costs that differ by less are the same."""


@dataclass(frozen=True)
class Try:
    """One try: what it and all later ones are expected to cost, and the lots that cost no more than that."""

    cost: float
    lots: tuple[int, ...]
    """Smallest first."""


def tries(
    need: int,
    restarts: int,
    *,
    lots: Sequence[int],
    cost: Callable[[int], float],
    short: Callable[[int], float],
    law: Callable[[int], Sequence[float]],
) -> tuple[Try, ...]:
    """The best lots of a first try and of up to `restarts` further ones, while `need` good units are missing.

    `lots` may be started, smallest first; `cost` is that of one try, setting up included, `short` that of so
    many units missing in the end, in the same money. `law` gives the chance of 0, 1, ... good units of a lot;
    tries do not depend on each other, and what is beyond the need is worth nothing. Raises ValueError where
    nothing is needed or no lot may be started.
    """
    if need < 1 or restarts < 0 or not lots:
        raise ValueError(f"no tries for a need of {need}, {restarts} restarts and {len(lots)} lots")
    laws = {lot: law(lot) for lot in lots}
    after = [0.0, *(short(missing) for missing in range(1, need + 1))]
    found: list[Try] = []
    for _ in range(restarts + 1):
        rows = [_best(missing, after, laws, cost) for missing in range(1, need + 1)]
        found.append(rows[-1])
        after = [0.0, *(row.cost for row in rows)]
    return tuple(reversed(found))


def _best(
    missing: int, after: Sequence[float], laws: dict[int, Sequence[float]], cost: Callable[[int], float]
) -> Try:
    """The best lots for so many missing units; `after` is what fewer of them cost once this try is over."""
    costs = {
        lot: cost(lot) + math.fsum(p * after[max(0, missing - good)] for good, p in enumerate(law))
        for lot, law in laws.items()
    }
    least = min(costs.values())
    return Try(least, tuple(lot for lot in costs if costs[lot] <= least + ALIKE * max(1.0, least)))
