"""Days that are learned, against scipy and the conjugate normal law, and the days of a room turned round."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import integrate, stats

from scheduler.science.growth import Cardinal, development, ready_after, reference_days
from scheduler.science.learned_days import Ran, factor_posterior, log_normal, scaled

OYSTER = Cardinal(4, 25, 33)
MEDIANS = st.floats(5, 60)
SPREADS = st.floats(0.05, 0.4)


@settings(deadline=None)
@given(low=st.floats(1, 20), more=st.floats(0.5, 20), most=st.floats(0.5, 40))
def test_the_log_normal_law_has_the_moments_of_pert(low: float, more: float, most: float) -> None:
    """Mean and variance of scipy's log-normal law are those of scipy's Beta law on low to high."""
    likely, high = low + more, low + more + most
    a, b = 1 + 4 * (likely - low) / (high - low), 1 + 4 * (high - likely) / (high - low)
    pert = stats.beta(a, b, loc=low, scale=high - low)
    median, variance = log_normal(low, likely, high)
    found = stats.lognorm(math.sqrt(variance), scale=median)
    assert found.mean() == pytest.approx(pert.mean())
    assert found.var() == pytest.approx(pert.var())


@settings(max_examples=25, deadline=None)
@given(
    days=st.lists(st.floats(4, 80), max_size=8),
    variance=st.floats(0.002, 0.08),
    spread=SPREADS,
    median=MEDIANS,
)
def test_days_known_exactly_give_the_conjugate_normal_law(
    days: list[float], variance: float, spread: float, median: float
) -> None:
    """Precisions add, and the mean is weighed by them (normal prior, normal data of known variance)."""
    logs = [math.log(one / median) for one in days]
    assume(all(abs(x) < 1.2 for x in logs))
    precision = 1 / variance + len(days) / spread**2
    mean = sum(logs) / spread**2 / precision
    ran = [Ran(one * (1 - 1e-4), one * (1 + 1e-4), median, spread) for one in days]
    found = factor_posterior(variance, ran, 0.9)
    assert found.mean == pytest.approx(mean, abs=2e-4)
    assert found.variance == pytest.approx(1 / precision, rel=2e-3)
    ends = stats.norm(mean, precision**-0.5).ppf([0.05, 0.95])
    assert [found.low, found.high] == pytest.approx(ends, abs=2e-3)


INTERVALS = st.builds(
    lambda low, wide, kind, median, spread: Ran(
        0.0 if kind == "left" else low, math.inf if kind == "right" else low + wide, median, spread
    ),
    st.floats(5, 40),
    st.floats(1, 30),
    st.sampled_from(["left", "right", "between"]),
    st.floats(12, 30),
    st.floats(0.1, 0.3),
)


@settings(max_examples=25, deadline=None)
@given(ran=st.lists(INTERVALS, max_size=6), variance=st.floats(0.01, 0.06))
def test_spans_count_by_their_chance(ran: list[Ran], variance: float) -> None:
    """Mean and variance of the prior times the chance of every span, by scipy's quadrature."""
    grid = np.linspace(-1.6, 1.6, 801)
    weights = stats.norm.pdf(grid, 0, math.sqrt(variance))
    for one in ran:
        above = stats.norm.cdf(math.log(one.low / one.median), grid, one.spread) if one.low else 0.0
        below = (
            stats.norm.cdf(math.log(one.high / one.median), grid, one.spread) if one.high < math.inf else 1.0
        )
        weights = weights * (below - above)
    assume(weights.sum() > 1e-9)
    mean = np.average(grid, weights=weights)
    variance_ = np.average((grid - mean) ** 2, weights=weights)
    found = factor_posterior(variance, ran, 0.9)
    assert found.mean == pytest.approx(mean, abs=1e-3)
    assert found.variance == pytest.approx(variance_, rel=1e-2)
    assert found.variance <= variance * (1 + 1e-6)


def test_one_span_by_quadrature() -> None:
    """The same for one span with an adaptive rule, far in the tail of what was expected."""
    one = Ran(50, 60, 20, 0.1)

    def weight(x: float) -> float:
        law = stats.norm(0, one.spread)
        ends = [math.log(end / one.median) - x for end in (one.low, one.high)]
        return float(stats.norm.pdf(x, 0, 0.2) * (law.sf(ends[0]) - law.sf(ends[1])))

    total, mean = (integrate.quad(lambda x, n=n: x**n * weight(x), -1, 2, limit=200)[0] for n in (0, 1))
    assert factor_posterior(0.04, [one], 0.9).mean == pytest.approx(mean / total, abs=1e-4)


def test_a_batch_that_has_not_run_through_says_slow_and_one_that_had_says_fast() -> None:
    """And nothing recorded says nothing: the prior stays as it is."""
    fast = factor_posterior(0.02, [Ran(0, 10, 20, 0.15)], 0.9)
    slow = factor_posterior(0.02, [Ran(30, math.inf, 20, 0.15)], 0.9)
    none = factor_posterior(0.02, [Ran(0, math.inf, 20, 0.15)], 0.9)
    assert fast.mean < -0.05
    assert slow.mean > 0.05
    assert none.mean == pytest.approx(0, abs=1e-9)
    assert none.variance == pytest.approx(0.02, rel=1e-4)
    with pytest.raises(ValueError, match="without spread"):
        factor_posterior(0.0, [], 0.9)


@given(low=st.floats(1, 20), more=st.floats(0, 20), most=st.floats(0, 40), factor=st.floats(0.5, 2))
def test_a_figure_is_scaled_on_the_log_scale(low: float, more: float, most: float, factor: float) -> None:
    """As wide as before it is the figure times the factor; half as wide, roots of what lies between."""
    days = (low, low + more, low + more + most)
    assert scaled(days, factor, 1.0) == pytest.approx([one * factor for one in days])
    narrow = scaled(days, 1.0, 0.5)
    assert narrow[0] == pytest.approx(math.sqrt(days[0] * days[1]))
    assert narrow[2] == pytest.approx(math.sqrt(days[2] * days[1]))


@settings(max_examples=50, deadline=None)
@given(
    rooms=st.lists(st.sampled_from([12.0, 17.5, 21.0, 26.0]), min_size=60, max_size=60),
    start=st.integers(0, 5),
    days=st.integers(3, 20),
    lag=st.floats(0, 3),
)
def test_days_in_a_room_are_turned_round(rooms: list[float], start: int, days: int, lag: float) -> None:
    """A culture of so many days is ready on the first day on which the days it is worth reach them."""
    gathered = development(rooms, OYSTER, 4)
    ready = ready_after(rooms, start, days, lag, 22, OYSTER, 4)
    assume(ready is not None and ready > lag + 1)
    assert ready is not None
    assert reference_days(gathered, start, start + ready, lag, 22, OYSTER) >= days - 1e-6
    assert reference_days(gathered, start, start + ready - 1, lag, 22, OYSTER) < days + 1e-6


def test_days_beyond_the_room_are_refused() -> None:
    """The days of a room have to reach as far as is asked."""
    gathered = development([20.0] * 5, OYSTER, 4)
    assert reference_days(gathered, 0, 2, 3, 22, OYSTER) == 2
    for start, end in ((0, 6), (-1, 3), (4, 3)):
        with pytest.raises(ValueError, match="not among"):
            reference_days(gathered, start, end, 1, 22, OYSTER)
