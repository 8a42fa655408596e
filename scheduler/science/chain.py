"""Spread of a chain of stages, and the one buffer before planting that the wished certainty asks for.

A stage of low, likely and high days follows a PERT law: the Beta law on low..high with mean
(low + 4 likely + high) / 6. Its variance is that of the same Beta law, (mean - low)(high - mean) / 7, and not
the rule of thumb ((high - low) / 6)^2, which belongs to no particular law. Variances add along the chain and
the sum is taken as normal, so the certainty is met by the chain as a whole and not stage by stage.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from statistics import NormalDist

from scheduler.science.rounding import whole_up


def pert_mean_variance(low: float, likely: float, high: float) -> tuple[float, float]:
    """Mean and variance of a PERT law; the variance is zero where low equals high."""
    # Distances of the mean from both ends; written so, neither can come out below zero.
    above_low = (high - low + 4 * (likely - low)) / 6
    below_high = (high - low + 4 * (high - likely)) / 6
    return low + above_low, above_low * below_high / 7


def chain_buffer(stages: Iterable[tuple[float, float, float]], certainty: float) -> int:
    """Whole days to add to the likely days of a chain so that it ends in time with the given certainty.

    `stages` are (low, likely, high) days. Raises ValueError unless 0 < certainty < 1.
    """
    laws = [(likely, *pert_mean_variance(low, likely, high)) for low, likely, high in stages]
    later = math.fsum(mean - likely for likely, mean, _ in laws)
    spread = math.sqrt(math.fsum(variance for _, _, variance in laws))
    return max(0, whole_up(later + spread * NormalDist().inv_cdf(certainty)))
