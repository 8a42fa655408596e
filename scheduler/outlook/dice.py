"""Random numbers that belong to things: the same thing has the same ones in every season that is compared.

Each batch, load, stage and line draws from a stream of its own, named after it, so that a spare more or a
later start changes nothing but what depends on it (common random numbers).
"""

from __future__ import annotations

import hashlib
from functools import lru_cache
from statistics import NormalDist
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int64]
Flags: TypeAlias = NDArray[np.bool_]

_WIDE = 8.0
"""Standard deviations that the tables reach to: beyond lies one season of 10**15."""
_STEPS = 4001


class Dice:
    """The random numbers of so many seasons."""

    def __init__(self, seasons: int, seed: int) -> None:
        self.seasons = seasons
        self._seed = seed

    def uniform(self, name: str, rows: int) -> Floats:
        """Numbers from 0 to 1, a row for each thing and a column for each season; more rows change none."""
        return self._stream(name).random((rows, self.seasons))

    def normal(self, name: str) -> Floats:
        """One standard normal number for each season."""
        return self._stream(name).standard_normal(self.seasons)

    def beta(self, name: str, a: float, b: float) -> Floats:
        """One number for each season by a Beta law; sure where one side of it is zero."""
        if a <= 0 or b <= 0:
            return np.full(self.seasons, float(b <= 0))
        return self._stream(name).beta(a, b, self.seasons)

    def _stream(self, name: str) -> np.random.Generator:
        digest = hashlib.sha256(f"{self._seed}:{name}".encode()).digest()
        return np.random.Generator(np.random.SFC64(int.from_bytes(digest[:16], "big")))


def pert(normal: Floats, low: float, likely: float, high: float) -> Floats:
    """Numbers by the PERT law of low, likely and high, from standard normal ones; greater from greater.

    The Beta law of `science.chain`. It is read from a table, to within a thousandth of the span.
    """
    if low >= high:
        return np.full(normal.shape, likely)
    return np.interp(normal, *_quantiles(low, likely, high))


@lru_cache(maxsize=256)
def _quantiles(low: float, likely: float, high: float) -> tuple[Floats, Floats]:
    """Standard normal numbers, and the number of the PERT law with as much chance below it."""
    span = high - low
    a, b = 1 + 4 * (likely - low) / span, 1 + 4 * (high - likely) / span
    share = np.linspace(0.0, 1.0, _STEPS)
    density = share ** (a - 1) * (1 - share) ** (b - 1)
    below = np.concatenate([[0.0], np.cumsum((density[1:] + density[:-1]) / 2)])
    normal = np.linspace(-_WIDE, _WIDE, _STEPS)
    chances = np.array([NormalDist().cdf(number) for number in normal])
    return normal, low + span * np.interp(chances, below / below[-1], share)
