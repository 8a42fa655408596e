"""What a grower's own losses say of the chance that a unit, or a whole load, is lost.

The chance follows a Beta law, written (good_a, good_b) as in `losses`. Units that are lost or stay good by
themselves are Bernoulli trials, so their counts are simply added to the law: the Beta law is conjugate
(Gelman et al., Bayesian Data Analysis, section 2.4; from memory). Where a unit was only looked at while it
still grew, or is of a kind that is lost more often, the law is found by quadrature and then given by the Beta
law of the same mean and variance.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

Law = tuple[float, float]
"""Parameters (good_a, good_b) of the Beta law of the share of good units."""

MOST_LOST = 0.95
"""No unit is taken to be lost more surely than that, as in the law of the spares."""
_NODES = 2000
_HALVINGS = 200
_TERMS = 10_000


@dataclass(frozen=True)
class Tried:
    """Units alike: how many were lost and were not, and what their chance is beside that of the lab.

    Their chance to be lost is `times` that of the lab and `extra` on top; a share `seen` of all losses shows
    by the time at which they were last looked at. Counts may be parts of a unit.
    """

    good: float
    lost: float
    times: float = 1.0
    extra: float = 0.0
    seen: float = 1.0

    @property
    def is_plain(self) -> bool:
        """Whether it is no more than counts."""
        return self.times == 1 and self.extra == 0 and (self.seen == 1 or not self.good)


def loss_posterior(law: Law, tried: Sequence[Tried]) -> Law:
    """The law after units were tried.

    Exact where all are plain counts; else of the exact mean and variance. Raises ValueError unless both
    parameters of the law are above zero.
    """
    good_a, good_b = law
    if good_a <= 0 or good_b <= 0:
        raise ValueError(f"the Beta law ({good_a}, {good_b}) is no spread of chances")
    plain = [one for one in tried if one.is_plain]
    good_a += math.fsum(one.good for one in plain)
    good_b += math.fsum(one.lost for one in plain)
    others = [one for one in tried if not one.is_plain]
    return _matched(good_a, good_b, others) if others else (good_a, good_b)


def _matched(good_a: float, good_b: float, tried: Sequence[Tried]) -> Law:
    """The Beta law of the mean and variance of a Beta law that is weighed by what was tried."""
    power = max(1.0, 2.0 / good_b)  # a chance of t**power has no pole at zero
    logs, rates = [], []
    for node in range(_NODES):
        t = (node + 0.5) / _NODES
        rate = t**power
        log = (power * good_b - 1) * math.log(t) + (good_a - 1) * math.log1p(-rate)
        for one in tried:
            chance = min(MOST_LOST, one.times * rate + one.extra)
            log += one.lost * math.log(chance) + one.good * math.log1p(-one.seen * chance)
        logs.append(log)
        rates.append(rate)
    most = max(logs)
    weights = [math.exp(log - most) for log in logs]
    total = math.fsum(weights)
    mean = math.fsum(w * rate for w, rate in zip(weights, rates, strict=True)) / total
    variance = math.fsum(w * (rate - mean) ** 2 for w, rate in zip(weights, rates, strict=True)) / total
    worth = mean * (1 - mean) / variance - 1
    return (1 - mean) * worth, mean * worth


def as_one(chance: float, singly: float) -> float:
    """Chance that units which are all lost were lost as one, by Bayes' rule.

    `chance` is that of losing them as one, `singly` that of losing every one of them otherwise.
    """
    return chance / (chance + (1 - chance) * singly)


def all_lost(law: Law, units: int) -> float:
    """Chance that each of so many units is lost by itself: the moment of that order of the Beta law."""
    good_a, good_b = law
    return math.prod((good_b + n) / (good_a + good_b + n) for n in range(units))


def rate_between(law: Law, share: float) -> tuple[float, float]:
    """The chance of a loss lies between these with probability `share`, and as often beyond either end."""
    good_a, good_b = law
    tail = (1 - share) / 2
    return beta_quantile(tail, good_b, good_a), beta_quantile(1 - tail, good_b, good_a)


def beta_quantile(share: float, a: float, b: float) -> float:
    """The value below which a Beta(a, b) law lies with probability `share`. ValueError unless a, b > 0."""
    if a <= 0 or b <= 0:
        raise ValueError(f"there is no Beta law ({a}, {b})")
    return _where(lambda x: beta_share(x, a, b), share)


def _where(rising: Callable[[float], float], wanted: float) -> float:
    """Where a rising function of 0..1 reaches a value, by halving."""
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if rising(middle) < wanted else (low, middle)
    return high


def beta_share(x: float, a: float, b: float) -> float:
    """Probability that a Beta(a, b) law lies below x: the regularised incomplete beta function.

    By its continued fraction (NIST Digital Library of Mathematical Functions, 8.17.22), which converges fast
    for x below (a + 1) / (a + b + 2); beyond, by its mirror image (8.17.4).
    """
    if x <= 0 or x >= 1:
        return float(x >= 1)
    if x > (a + 1) / (a + b + 2):
        return 1.0 - beta_share(1 - x, b, a)
    lgamma = math.lgamma
    front = a * math.log(x) + b * math.log1p(-x) + lgamma(a + b) - lgamma(a) - lgamma(b)
    return min(1.0, math.exp(front) / a / _fraction(x, a, b))


def _fraction(x: float, a: float, b: float) -> float:
    """1 + d1 / (1 + d2 / (1 + ...)) of 8.17.23, from its front (Lentz's method)."""
    least = 1e-300
    value = upper = 1.0
    lower = 0.0
    for n in range(1, _TERMS):
        m = n // 2
        if n % 2:
            term = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        else:
            term = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        lower = 1 / (1 + term * lower or least)
        upper = 1 + term / upper or least
        value *= upper * lower
        if abs(upper * lower - 1) < 1e-15:
            break
    return value
