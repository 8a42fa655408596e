"""How many units survive contamination, and how many to start so that enough do.

Three things take units. A single unit fails with a probability that is not known but follows a Beta law; it
is the same for all units of a stage, so spreading them over loads does not make it surer. A whole load fails.
A parent unit carries a hidden infection into all of its children. Beta laws are written (good_a, good_b): a
counts units that stayed clean, b units that were lost. For production with random yield see the review of
Yano & Lee 1995, Operations Research 43:311-334.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Mapping, Sequence
from itertools import zip_longest

Groups = Sequence[Sequence[int]]
"""``groups[load][parent]``: how many units of that parent stand in that load."""
_Pending = tuple[bool, frozenset[int], int]
"""Is the load whole, which parents still to come are healthy, how many units are spared so far."""


def beta_from(mean: float, weight: float) -> tuple[float, float]:
    """Parameters (a, b) of the Beta law of that mean which is worth `weight` units of experience.

    For a loss rate r: ``good_a, good_b = beta_from(1 - r, weight)``; then every clean unit adds 1 to good_a
    and every lost one 1 to good_b. Raises ValueError unless 0 <= mean <= 1 and weight > 0.
    """
    if not 0 <= mean <= 1 or weight <= 0:
        raise ValueError(f"no Beta law has mean {mean} and weight {weight}")
    return mean * weight, (1 - mean) * weight


def beta_binomial_pmf(n: int, a: float, b: float) -> list[float]:
    """Chance of exactly 0, 1, ... n good units of n, where the share of good units follows Beta(a, b).

    Good to about nine digits up to a + b of a million. With a = 0 all are lost, with b = 0 all are good.
    """
    if a <= 0 or b <= 0:
        sure = n if b <= 0 else 0
        return [float(good == sure) for good in range(n + 1)]
    lgamma = math.lgamma
    fixed = lgamma(n + 1) + lgamma(a + b) - lgamma(a) - lgamma(b) - lgamma(n + a + b)
    return [
        math.exp(fixed + lgamma(x + a) - lgamma(x + 1) + lgamma(n - x + b) - lgamma(n - x + 1))
        for x in range(n + 1)
    ]


def survivors(groups: Groups, good_a: float, good_b: float, load_loss: float, hidden: float) -> list[float]:
    """Chance of exactly 0, 1, ... n surviving units of a stage, all three kinds of loss together.

    Each load is wholly lost with probability `load_loss`, the children of each parent unit with probability
    `hidden`; what these spare survives by the beta-binomial law. Exact, also where the children of one parent
    stand in several loads. The work doubles with each parent that spans the boundary of two loads (or, if
    fewer, with each load that spans the boundary of two parents): list loads and parents in filling order.
    """
    pmf = [0.0] * (sum(map(sum, groups)) + 1)
    for spared, chance in _spared(groups, load_loss, hidden).items():
        for good, share in enumerate(beta_binomial_pmf(spared, good_a, good_b)):
            pmf[good] += chance * share
    return pmf


def chance_at_least(pmf: Sequence[float], need: int) -> float:
    """Chance that at least `need` survive."""
    return min(1.0, math.fsum(pmf[max(need, 0) :]))


def with_restarts(p: float, restarts: int) -> float:
    """Chance of success where a stage that fails can be made again `restarts` times, each try alike."""
    return 1 - (1 - p) ** (restarts + 1)


def fewest_started(need: int, good_a: float, good_b: float, wish: float, most: int) -> int | None:
    """Smallest number of units to start so that `need` are good with chance `wish`; None beyond `most`."""
    counts = range(need, most + 1)

    def chance(started: int) -> float:
        return chance_at_least(beta_binomial_pmf(started, good_a, good_b), need)

    place = bisect_left(counts, wish, key=chance)
    return counts[place] if place < len(counts) else None


def _spared(groups: Groups, load_loss: float, hidden: float) -> Mapping[int, float]:
    """Chance of each number of units that neither a lost load nor a sick parent takes.

    Loads and parents play the same part (a unit needs both), so the cheaper of the two is walked through.
    """
    turned = [list(column) for column in zip_longest(*groups, fillvalue=0)]
    if _widest(turned) < _widest(groups):
        return _walk(turned, hidden, load_loss)
    return _walk(groups, load_loss, hidden)


def _spans(groups: Groups) -> tuple[dict[int, int], dict[int, int]]:
    """First and last row in which each column has units."""
    rows_of: dict[int, list[int]] = defaultdict(list)
    for row, counts in enumerate(groups):
        for column, units in enumerate(counts):
            if units:
                rows_of[column].append(row)
    first = {column: rows[0] for column, rows in rows_of.items()}
    last = {column: rows[-1] for column, rows in rows_of.items()}
    return first, last


def _widest(groups: Groups) -> int:
    """Most columns that are open at once between two rows."""
    first, last = _spans(groups)
    return max((sum(first[c] <= row < last[c] for c in first) for row in range(len(groups))), default=0)


def _walk(groups: Groups, row_loss: float, column_loss: float) -> Mapping[int, float]:
    """The chances of `_spared`, row by row; a column's fate is remembered only while it has rows to come."""
    first, last = _spans(groups)
    chances: dict[tuple[frozenset[int], int], float] = {(frozenset(), 0): 1.0}
    for row, counts in enumerate(groups):
        pending: dict[_Pending, float] = defaultdict(float)
        for (healthy, spared), chance in chances.items():
            pending[True, healthy, spared] += chance * (1 - row_loss)
            pending[False, healthy, spared] += chance * row_loss
        for column, units in enumerate(counts):
            if units:
                pending = _column(
                    pending, column, units, column_loss, first[column] == row, last[column] == row
                )
        chances = defaultdict(float)
        for (_, healthy, spared), chance in pending.items():
            chances[healthy, spared] += chance
    totals: dict[int, float] = defaultdict(float)
    for (_, spared), chance in chances.items():
        totals[spared] += chance
    return totals


def _column(
    pending: Mapping[_Pending, float], column: int, units: int, loss: float, opens: bool, closes: bool
) -> dict[_Pending, float]:
    """Adds one column's units of a row: decides its fate where it opens, forgets it where it closes."""
    after: dict[_Pending, float] = defaultdict(float)
    for (whole, healthy, spared), chance in pending.items():
        fates = ((True, 1 - loss), (False, loss)) if opens else ((column in healthy, 1.0),)
        for well, share in fates:
            others = healthy - {column}
            kept = others if closes or not well else others | {column}
            after[whole, kept, spared + units * (whole and well)] += chance * share
    return after
