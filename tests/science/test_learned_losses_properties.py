"""Losses that are learned, against scipy: the Beta law and its quantiles, conjugacy, and what is weighed."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, special, stats

from scheduler.science.learned_losses import (
    Kin,
    Law,
    Loads,
    LostLoad,
    Tried,
    all_lost,
    as_one,
    beta_quantile,
    beta_share,
    load_posterior,
    loss_posterior,
    rate_between,
)
from scheduler.science.losses import fewest_started

PARAMETERS = st.floats(0.05, 500)


@given(x=st.floats(0, 1), a=PARAMETERS, b=PARAMETERS)
def test_the_share_below_is_the_incomplete_beta_function(x: float, a: float, b: float) -> None:
    """As `scipy.special.betainc` has it."""
    assert beta_share(x, a, b) == pytest.approx(special.betainc(a, b, x), abs=1e-11)


@settings(deadline=None)
@given(share=st.floats(0.001, 0.999), a=PARAMETERS, b=PARAMETERS)
def test_a_quantile_is_that_of_the_beta_law(share: float, a: float, b: float) -> None:
    """As `scipy.stats.beta.ppf` has it; so far out that only a power of ten matters, by what lies below it."""
    found = beta_quantile(share, a, b)
    expected = stats.beta.ppf(share, a, b)
    assert found == pytest.approx(expected, abs=1e-9) or beta_share(found, a, b) == pytest.approx(share)


@settings(max_examples=25, deadline=None)
@given(good=st.integers(0, 60), lost=st.integers(0, 60), a=st.floats(0.5, 40), b=st.floats(0.5, 40))
def test_counts_are_added_to_the_law(good: int, lost: int, a: float, b: float) -> None:
    """The conjugate law is the prior times the binomial chance, made to one by scipy's quadrature."""
    law = loss_posterior((a, b), [Tried(good, lost)])
    assert law == (a + good, b + lost)

    def weight(rate: float) -> float:
        return float(stats.beta.pdf(rate, b, a) * stats.binom.pmf(lost, good + lost, rate))

    middle = law[1] / sum(law)
    whole = integrate.quad(weight, 0, 1, points=[middle], limit=200)[0]
    below = integrate.quad(weight, 0, middle, limit=200)[0]
    assert below / whole == pytest.approx(beta_share(middle, law[1], law[0]), abs=1e-5)


@pytest.mark.parametrize(
    ("good", "lost", "prior", "needed", "started"),
    [(17, 3, (0.5, 0.5), 10, 16), (4, 1, (1.0, 1.0), 10, 26)],
    ids=["17 of 20 clean", "4 of 5 clean"],
)
def test_little_history_asks_for_many_spares(
    good: int, lost: int, prior: Law, needed: int, started: int
) -> None:
    """Units to start for ten good ones at 95 %, from a record (worked out with scipy's beta-binomial)."""
    law = loss_posterior(prior, [Tried(good, lost)])
    assert fewest_started(needed, *law, 0.95, 60) == started
    enough = stats.betabinom(started, *law).sf(needed - 1)
    fewer = stats.betabinom(started - 1, *law).sf(needed - 1)
    assert fewer < 0.95 <= enough


TRIED = st.lists(
    st.builds(
        Tried,
        st.integers(0, 12),
        st.integers(0, 6),
        st.sampled_from([1.0, 1.2, 1.5]),
        st.sampled_from([0.0, 0.02, 0.03]),
        st.sampled_from([0.4, 0.8, 1.0]),
    ),
    min_size=1,
    max_size=3,
)
KIN = st.builds(Kin, st.sampled_from([0.0, 0.03]), st.builds(Tried, st.just(0), st.integers(1, 5)))
LOST = st.builds(LostLoad, st.lists(KIN, min_size=1, max_size=2).map(tuple), st.sampled_from([1.0, 0.2]))


@settings(max_examples=20, deadline=None)
@given(tried=TRIED, kin=st.lists(KIN, max_size=2), lost=st.lists(LOST, max_size=3), kept=st.integers(0, 20))
def test_what_is_no_plain_count_has_the_moments_that_scipy_finds(
    tried: list[Tried], kin: list[Kin], lost: list[LostLoad], kept: int
) -> None:
    """Mean and variance of prior times chance, over the chances of a unit and, in the inner sum, of a load."""
    prior, of_loads = (18.0, 2.0), (49.0, 1.0)
    loads = Loads(of_loads, kept, tuple(lost))
    nodes, widths = special.roots_legendre(60)
    q, rates = (nodes + 1) / 2, (np.arange(400) + 0.5) / 400
    of_load = widths * stats.beta.pdf(q, of_loads[1], of_loads[0]) * (1 - q) ** kept

    def chance(rate: float) -> float:
        found = math.prod(
            (1 - one.seen * one.chance(rate)) ** one.good * one.chance(rate) ** one.lost for one in tried
        )
        for one in kin:
            found *= one.hidden + (1 - one.hidden) * one.units.chance(rate) ** one.units.lost
        either = [q + (1 - q) * load.chance(rate) for load in lost]
        return found * float(np.sum(of_load * np.prod(either, axis=0)))

    weights = stats.beta.pdf(rates, prior[1], prior[0]) * [chance(rate) for rate in rates]
    mean = np.average(rates, weights=weights)
    variance = np.average((rates - mean) ** 2, weights=weights)
    a, b = loss_posterior(prior, tried, kin, loads)
    assert b / (a + b) == pytest.approx(mean, rel=1e-3)
    assert stats.beta.var(b, a) == pytest.approx(variance, rel=5e-3)


@settings(max_examples=25, deadline=None)
@given(kept=st.integers(0, 60), units=st.lists(st.integers(1, 6), min_size=1, max_size=4), a=st.floats(4, 60))
def test_a_lost_load_lies_between_a_lost_one_and_a_kept_one(kept: int, units: list[int], a: float) -> None:
    """The more units it held, the surer it was lost as one; with very many it is a plain count."""
    law = (a, 2.0)

    def mean(each: list[int]) -> float:
        lost = tuple(LostLoad((Kin(0.0, Tried(0, one)),)) for one in each)
        good_a, good_b = load_posterior(Loads((49.0, 1.0), kept, lost), law)
        return good_b / (good_a + good_b)

    total = 50 + kept + len(units)
    assert 1 / total <= mean(units) <= mean([one + 1 for one in units]) <= (1 + len(units)) / total + 1e-9
    assert mean([400] * len(units)) == pytest.approx((1 + len(units)) / total, rel=1e-3)


@given(units=st.integers(1, 20), a=st.floats(0.5, 60), b=st.floats(0.5, 60))
def test_all_lost_is_the_beta_binomial_chance_of_none(units: int, a: float, b: float) -> None:
    """As `scipy.stats.betabinom` has it; and Bayes' rule in the form of odds."""
    singly = all_lost((a, b), units)
    assert singly == pytest.approx(stats.betabinom.pmf(0, units, a, b), rel=1e-7)
    assert 1 / as_one(0.02, singly) == pytest.approx(1 + 49 * singly)


def test_a_law_without_spread_cannot_be_learned() -> None:
    """Where every unit is sure to be good, or to be lost, nothing that happens can be true."""
    for law in ((20.0, 0.0), (0.0, 20.0)):
        with pytest.raises(ValueError, match="no spread"):
            loss_posterior(law, [Tried(1, 1)])
        with pytest.raises(ValueError, match="no spread"):
            load_posterior(Loads(law, 1), (18.0, 2.0))
    with pytest.raises(ValueError, match="no Beta law"):
        beta_quantile(0.5, 0.0, 1.0)


def test_a_band_holds_its_share() -> None:
    """Of a law of losses, one in twenty lies beyond either end of nine tenths."""
    low, high = rate_between((18.0, 2.0), 0.9)
    assert stats.beta.cdf([low, high], 2, 18) == pytest.approx([0.05, 0.95])
