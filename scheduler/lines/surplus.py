"""Finished spawn beyond what is needed: how much where nothing is lost, and how much on average."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scheduler.lines.prospects import at_least
from scheduler.lines.shapes import BatchSpec
from scheduler.lines.stages import Stages


@dataclass(frozen=True)
class Surplus:
    """What batches of finished spawn give beyond a need, in grams."""

    grams: float
    """Where nothing is lost."""
    likely_g: float
    """On average, by the losses that the spares are reckoned from."""
    closed: int
    """Units that nobody has to open for the need, where nothing is lost."""


def surplus(
    stages: Stages, batches: Sequence[BatchSpec], by_id: Mapping[str, BatchSpec], need_g: float
) -> Surplus:
    """What finished batches of one kind give beyond `need_g`; their keep-backs are not counted.

    With G good units of u grams the average is E[max(0, u G - need)]. The need lies between n - 1 and n
    units, so that this is (u n - need) P(G >= n) + u (P(G >= n + 1) + P(G >= n + 2) + ...).
    """
    there = sum(b.started - b.keep_back for b in batches)
    there_g = math.fsum((b.started - b.keep_back) * b.unit_mass_g * b.usable for b in batches)
    over_g = max(0.0, there_g - need_g)
    if not over_g:
        return Surplus(0.0, 0.0, 0)
    unit_g = there_g / there
    needed = min(there, math.ceil(need_g / unit_g - 1e-9))
    back = sum(b.keep_back for b in batches)
    chances = [at_least(stages, batches, by_id, units + back) for units in range(needed, there + 1)]
    likely_g = (unit_g * needed - need_g) * chances[0] + unit_g * math.fsum(chances[1:])
    return Surplus(over_g, min(over_g, likely_g), there - needed)
