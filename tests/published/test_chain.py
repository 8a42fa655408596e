"""The chain's buffer against published buffer sums and scipy's Beta law."""

import math
from statistics import NormalDist

import numpy as np
import pytest
from scipy import stats

from scheduler.science.chain import chain_buffer, pert_mean_variance
from tests.published.cited import cited

# Safe and aggressive days of eight activities (published lesson on sizing buffers by the root squared error
# method), with the printed buffers of its three chains; the last is a second lesson's contingencies of 3, 3, 2.
SAFE = {1: 2, 2: 9, 3: 5, 4: 2, 5: 3, 6: 6, 7: 2, 8: 3}
AGGRESSIVE = {1: 1, 2: 6, 3: 3, 4: 1, 5: 2, 6: 4, 7: 1, 8: 2}
CHAINS = [((2, 6, 8), 3.742), ((1, 4), 1.414), ((3, 5, 7), 2.449)]


def root_squared_error_buffer(contingencies: list[int]) -> float:
    """The chain's buffer to a thousandth of a day, at the certainty where it is the root of the summed squares.

    A stage of likely +- d days has the PERT variance d^2 / 7, so the buffer is that root at sqrt(7) deviations.
    """
    stages = [(5000 - 1000 * d, 5000, 5000 + 1000 * d) for d in contingencies]
    return chain_buffer(stages, NormalDist().cdf(math.sqrt(7))) / 1000


@pytest.mark.parametrize(
    ("chain", "printed"), [cited("buffer-lesson", f"chain {chain}", chain, days) for chain, days in CHAINS]
)
def test_root_squared_error(chain: tuple[int, ...], printed: float) -> None:
    """The lesson's critical and feeding chains get the printed buffers."""
    buffer = root_squared_error_buffer([SAFE[i] - AGGRESSIVE[i] for i in chain])
    # Rounded up to a thousandth; the certainty itself is a rounded number.
    assert buffer == pytest.approx(printed, abs=0.0015)


def test_root_squared_error_of_the_second_lesson() -> None:
    """Contingencies of 3, 3 and 2 days make about 4.7 days, the root of 22 [buffer-lesson-2]."""
    assert root_squared_error_buffer([3, 3, 2]) == pytest.approx(math.sqrt(22), abs=0.0015)


STAGES = [(12, 18, 28), (4, 7, 10), (14, 21, 35), (3, 5, 7)]


def _pert(low: float, likely: float, high: float) -> stats.rv_continuous:
    left, right = (4 * part / (high - low) for part in (likely - low, high - likely))
    return stats.beta(1 + left, 1 + right, loc=low, scale=high - low)


@pytest.mark.parametrize("stage", STAGES)
def test_pert_moments_against_scipy(stage: tuple[float, float, float]) -> None:
    """Mean and variance are those of scipy's Beta law with the PERT shape."""
    law = _pert(*stage)
    assert pert_mean_variance(*stage) == (pytest.approx(law.mean()), pytest.approx(law.var()))


@pytest.mark.parametrize("certainty", [0.5, 0.8, 0.9, 0.95])
@pytest.mark.parametrize("count", [1, 2, 4])
def test_buffer_against_the_exact_chain(count: int, certainty: float) -> None:
    """Likely days plus buffer reach the quantile of the exactly convolved Beta laws within a day."""
    step = 0.01
    mass, start = np.array([1.0]), 0.0
    for low, likely, high in STAGES[:count]:
        edges = np.arange(low, high + step / 2, step)
        mass = np.convolve(mass, np.diff(_pert(low, likely, high).cdf(edges)))
        start += low + step / 2
    quantile = start + step * int(np.searchsorted(np.cumsum(mass), certainty))
    promised = sum(likely for _, likely, _ in STAGES[:count]) + chain_buffer(STAGES[:count], certainty)
    # Whole days upwards cost up to one day; the normal law misses the skewed sum by less than half of one.
    assert -0.5 < promised - quantile < 1.5
