"""What a grower's own losses say of the chance that a unit, or a whole load, is lost.

The chance follows a Beta law, written (good_a, good_b) as in `losses`. Units that are lost or stay good by
themselves are Bernoulli trials, so their counts are simply added to the law: the Beta law is conjugate
(Gelman et al., Bayesian Data Analysis, section 2.4; from memory). In three cases that is not all: where a
unit was only looked at while it still grew, where it is of a kind that is lost more often, and where all
units of a load or of one parent were lost, which may have been one misfortune or many. Then the law is found
by quadrature, over all that may have been, and given by the Beta law of the same mean and variance.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from scheduler.science.losses import beta_binomial_pmf

Law = tuple[float, float]
"""Parameters (good_a, good_b) of the Beta law of the share of good units."""

MOST_LOST = 0.95
"""No unit is taken to be lost more surely than that, as in the law of the spares."""
_NODES = 1000
_SCENES = 25
_HALVINGS = 200
_TERMS = 10_000


@dataclass(frozen=True)
class Tried:
    """Units alike: how many were lost and were not, and what their chance is beside that of the lab.

    Their chance to be lost is `times` that of the lab and `extra` on top; a share `seen` of all losses shows
    by the time at which they were last looked at.
    """

    good: int
    lost: int
    times: float = 1.0
    extra: float = 0.0
    seen: float = 1.0

    @property
    def is_plain(self) -> bool:
        """Whether it is no more than counts."""
        return self.times == 1 and self.extra == 0 and (self.seen == 1 or not self.good)

    def chance(self, rate: float) -> float:
        """Their chance to be lost where the lab's is `rate`."""
        return min(MOST_LOST, self.times * rate + self.extra)


@dataclass(frozen=True)
class Kin:
    """Units of one parent that are all lost: by an infection of it (chance `hidden`), or each by itself."""

    hidden: float
    units: Tried

    def chance(self, rate: float) -> float:
        """Chance that all are lost where that of one is `rate` in this lab."""
        return float(self.hidden + (1 - self.hidden) * self.units.chance(rate) ** self.units.lost)


@dataclass(frozen=True)
class LostLoad:
    """A load that is all lost: as one, or otherwise: its units of the stage in question, and all others."""

    kin: tuple[Kin, ...] = ()
    others: float = 1.0
    """Chance that its units of other stages are all lost otherwise."""

    def chance(self, rate: float) -> float:
        """Chance that all of it is lost otherwise."""
        return self.others * math.prod(one.chance(rate) for one in self.kin)


@dataclass(frozen=True)
class Loads:
    """The law of whole loads, how many were not lost, and those that were."""

    law: Law
    kept: int = 0
    lost: tuple[LostLoad, ...] = ()


NO_LOADS = Loads((1.0, 1.0))


def loss_posterior(law: Law, tried: Sequence[Tried], kin: Sequence[Kin] = (), loads: Loads = NO_LOADS) -> Law:
    """The law of one unit's loss after units were tried, families were lost, and loads.

    `tried` are the units that are not among the `kin` and not in a lost load. Exact where they are plain
    counts and all; else of the exact mean and variance. Raises ValueError unless the law has a spread.
    """
    good_a, good_b = _required(law)
    plain = [one for one in tried if one.is_plain]
    good_a += sum(one.good for one in plain)
    good_b += sum(one.lost for one in plain)
    others = [one for one in tried if not one.is_plain]
    if not others and not kin and not any(load.kin for load in loads.lost):
        return good_a, good_b
    power = max(1.0, 2.0 / good_b)  # a chance of t**power has no pole at zero
    logs, rates = [], []
    as_one = _as_one(loads)
    for node in range(_NODES):
        t = (node + 0.5) / _NODES
        rate = t**power
        log = (power * good_b - 1) * math.log(t) + (good_a - 1) * math.log1p(-rate)
        for one in others:
            log += one.lost * math.log(one.chance(rate)) + one.good * math.log1p(-one.seen * one.chance(rate))
        log += math.fsum(math.log(one.chance(rate)) for one in kin)
        logs.append(log + _log_of_loads(as_one, [load.chance(rate) for load in loads.lost]))
        rates.append(rate)
    return _matched(rates, logs)


def load_posterior(loads: Loads, law: Law) -> Law:
    """The law of a whole load's loss; `law` is that of one unit by all that is not in a lost load."""
    good_a, good_b = _required(loads.law)
    if not loads.lost:
        return good_a + loads.kept, good_b
    scenes = [beta_quantile((n + 0.5) / _SCENES, law[1], law[0]) for n in range(_SCENES)]
    chances = [_symmetric([load.chance(rate) for load in loads.lost]) for rate in scenes]
    weights = [
        math.exp(log) * math.fsum(one[otherwise] for one in chances)
        for otherwise, log in enumerate(_as_one(loads))
    ]
    # So many of them were lost otherwise: for each number it is a Beta law again.
    laws = [
        (good_a + loads.kept + otherwise, good_b + len(loads.lost) - otherwise)
        for otherwise in range(len(weights))
    ]
    total = math.fsum(weights)
    means = [b / (a + b) for a, b in laws]
    squares = [b * (b + 1) / ((a + b) * (a + b + 1)) for a, b in laws]
    mean = math.fsum(w * one for w, one in zip(weights, means, strict=True)) / total
    square = math.fsum(w * one for w, one in zip(weights, squares, strict=True)) / total
    return _of_moments(mean, square - mean**2)


def as_one(chance: float, singly: float) -> float:
    """Chance that units which are all lost were lost as one, by Bayes' rule.

    `chance` is that of losing them as one, `singly` that of losing every one of them otherwise.
    """
    return chance / (chance + (1 - chance) * singly)


def all_lost(law: Law, units: int) -> float:
    """Chance that each of so many units is lost by itself."""
    return beta_binomial_pmf(units, *law)[0]


def _required(law: Law) -> Law:
    if law[0] <= 0 or law[1] <= 0:
        raise ValueError(f"the Beta law {law} is no spread of chances")
    return law


def _as_one(loads: Loads) -> list[float]:
    """Logarithms of the chance that 0, 1, ... of the lost loads were lost otherwise and the rest as one.

    The unknown chance of a load is integrated out: what is left of its Beta law, up to a constant.
    """
    good_a, good_b = loads.law
    lost = len(loads.lost)
    logs = [
        math.lgamma(good_b + lost - otherwise) + math.lgamma(good_a + loads.kept + otherwise)
        for otherwise in range(lost + 1)
    ]
    return [log - max(logs) for log in logs]


def _log_of_loads(as_one: Sequence[float], otherwise: Sequence[float]) -> float:
    """Logarithm of the chance that all lost loads were lost, by the chance of each to be lost otherwise."""
    chances = zip(as_one, _symmetric(otherwise), strict=True)
    return math.log(math.fsum(math.exp(log) * chance for log, chance in chances))


def _symmetric(chances: Iterable[float]) -> list[float]:
    """Sums of the products of each 0, 1, 2, ... of the chances (the elementary symmetric polynomials)."""
    sums = [1.0]
    for chance in chances:
        sums = [one + chance * before for one, before in zip([*sums, 0.0], [0.0, *sums], strict=True)]
    return sums


def _matched(rates: Sequence[float], logs: Sequence[float]) -> Law:
    """The Beta law of the mean and variance of rates with these logarithms of weights."""
    most = max(logs)
    weights = [math.exp(log - most) for log in logs]
    total = math.fsum(weights)
    mean = math.fsum(w * rate for w, rate in zip(weights, rates, strict=True)) / total
    variance = math.fsum(w * (rate - mean) ** 2 for w, rate in zip(weights, rates, strict=True)) / total
    return _of_moments(mean, variance)


def _of_moments(mean: float, variance: float) -> Law:
    worth = mean * (1 - mean) / variance - 1
    return (1 - mean) * worth, mean * worth


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
