"""What a grower's own days say of how fast a stage grows in their hands: one factor for a species and stage.

The days of a batch, divided by the trade's, are a factor that belongs to the grower (their strains, grain,
room) times one that belongs to the batch. Both are log-normal. Their spread together is that of the trade's
figure: the log-normal law of the mean and variance of its PERT law. The part of it that batches of one lab
share is the grower's (the prior of the factor), the rest is the batch's, which is taken as known: a handful
of batches a season says little of a spread. With days known exactly this is the conjugate normal law of known
variance (Gelman et al., Bayesian Data Analysis, section 2.5; from memory). Days are never known exactly: a
batch had run through between two looks, or had not by the last one. So each counts with the chance of its
interval (interval-censored data: Turnbull 1976, Journal of the Royal Statistical Society B 38:290-295; from
memory), and the law of the factor is found by quadrature.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scheduler.science.chain import pert_mean_variance

_NODES = 801
_WIDE = 8.0
"""Standard deviations of the prior that are looked at on either side, and as far as any batch lies."""
_LEAST = 1e-300


@dataclass(frozen=True)
class Ran:
    """One batch: it ran through after more than `low` and at most `high` days at the reference temperature.

    `low` may be 0 and `high` infinite. `median` is the trade's, and `spread` the standard deviation of the
    batch's own part of the logarithm of its days.
    """

    low: float
    high: float
    median: float
    spread: float


@dataclass(frozen=True)
class Factor:
    """The law of the logarithm of a grower's factor; `low` and `high` hold it with the share asked for."""

    mean: float
    variance: float
    low: float
    high: float


def log_normal(low: float, likely: float, high: float) -> tuple[float, float]:
    """Median, and variance of the logarithm, of the log-normal law of a PERT law's mean and variance."""
    mean, variance = pert_mean_variance(low, likely, high)
    of_log = math.log1p(variance / mean**2)
    return mean / math.exp(of_log / 2), of_log


def factor_posterior(variance: float, ran: Sequence[Ran], share: float) -> Factor:
    """The law of the logarithm of the factor: normal around 0 with `variance`, after batches have run.

    ValueError unless the variance is above zero.
    """
    if variance <= 0:
        raise ValueError("a factor without spread cannot be learned")
    reach = _WIDE * math.sqrt(variance)
    near = [math.log(end / one.median) for one in ran for end in (one.low, one.high) if 0 < end < math.inf]
    first, last = min(-reach, *near, 0.0), max(reach, *near, 0.0)
    step = (last - first) / (_NODES - 1)
    nodes = [first + step * n for n in range(_NODES)]
    logs = [-(x**2) / (2 * variance) + math.fsum(_log_chance(x, one) for one in ran) for x in nodes]
    most = max(logs)
    weights = [math.exp(log - most) for log in logs]
    total = math.fsum(weights)
    mean = math.fsum(w * x for w, x in zip(weights, nodes, strict=True)) / total
    spread = math.fsum(w * (x - mean) ** 2 for w, x in zip(weights, nodes, strict=True)) / total
    tail = (1 - share) / 2 * total
    return Factor(mean, spread, _quantile(nodes, weights, tail), _quantile(nodes, weights, total - tail))


def scaled(days: tuple[float, float, float], factor: float, narrower: float) -> tuple[float, float, float]:
    """Low, likely and high days of a figure times a factor, its spread `narrower` times on the log scale."""
    low, likely, high = days
    middle = likely * factor
    return middle * (low / likely) ** narrower, middle, middle * (high / likely) ** narrower


def _log_chance(factor: float, one: Ran) -> float:
    """Logarithm of the chance that a batch ran through when it did, for one logarithm of the factor."""
    above = _scaled(one.low, factor, one)
    below = _scaled(one.high, factor, one)
    if above > 0:  # in the upper tail the difference of the complements is the exact one
        chance = (math.erfc(above / math.sqrt(2)) - math.erfc(below / math.sqrt(2))) / 2
    else:
        chance = (math.erfc(-below / math.sqrt(2)) - math.erfc(-above / math.sqrt(2))) / 2
    return math.log(max(chance, _LEAST))


def _scaled(days: float, factor: float, one: Ran) -> float:
    if days <= 0:
        return -math.inf
    return math.inf if math.isinf(days) else (math.log(days / one.median) - factor) / one.spread


def _quantile(nodes: Sequence[float], weights: Sequence[float], wanted: float) -> float:
    """Where the weights of all nodes before add up to `wanted`, between two nodes in proportion."""
    so_far = 0.0
    step = nodes[1] - nodes[0]
    for node, weight in zip(nodes, weights, strict=True):
        if so_far + weight >= wanted:
            return node + step * ((wanted - so_far) / weight - 0.5)
        so_far += weight
    return nodes[-1]
