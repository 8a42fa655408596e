"""Laws that the chain's buffer must obey."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.science.chain import chain_buffer, pert_mean_variance

stage = st.tuples(st.floats(0, 40), st.floats(0, 20), st.floats(0, 40)).map(
    lambda s: (s[0], s[0] + s[1], s[0] + s[1] + s[2])
)
chains = st.lists(stage, min_size=1, max_size=6)
certainties = st.floats(0.01, 0.99)


@given(stage)
def test_mean_lies_within_and_variance_is_not_negative(days: tuple[float, float, float]) -> None:
    """The mean lies between low and high, and the spread below half of their distance."""
    low, _, high = days
    mean, variance = pert_mean_variance(*days)
    assert low - 1e-9 <= mean <= high + 1e-9
    assert -1e-9 <= variance <= ((high - low) / 2) ** 2 + 1e-9


@given(chains, certainties, certainties)
def test_more_certainty_never_takes_a_smaller_buffer(
    stages: list[tuple[float, float, float]], one: float, other: float
) -> None:
    """The buffer grows with the wished certainty and is never negative."""
    low, high = sorted((one, other))
    assert 0 <= chain_buffer(stages, low) <= chain_buffer(stages, high)


@given(chains, st.floats(0.5, 0.99))
def test_one_buffer_is_not_longer_than_one_for_each_stage(
    stages: list[tuple[float, float, float]], certainty: float
) -> None:
    """The chain's buffer is at most the sum of the stages' own, each rounded up."""
    assert chain_buffer(stages, certainty) <= sum(chain_buffer([s], certainty) for s in stages)


@given(chains, stage, st.floats(0.5, 0.99), st.floats(0, 20))
def test_a_slower_worst_case_never_takes_a_smaller_buffer(
    stages: list[tuple[float, float, float]],
    other: tuple[float, float, float],
    certainty: float,
    worse: float,
) -> None:
    """Above even chances, a stage that may take longer, or one stage more, never shortens the buffer's end."""
    low, likely, high = other
    usual = chain_buffer([*stages, other], certainty)
    assert chain_buffer([*stages, (low, likely, high + worse)], certainty) >= usual

    def ends(of: list[tuple[float, float, float]]) -> float:
        return sum(likely for _, likely, _ in of) + chain_buffer(of, certainty)

    # Each end is whole days above its likely days, rounded up by less than one.
    assert ends([*stages, other]) > ends(stages) - 1 + low - 1e-6


def test_certain_days_need_no_buffer() -> None:
    """Stages without spread, and a chain without stages, take no buffer."""
    assert chain_buffer([(7, 7, 7), (12, 12, 12)], 0.99) == 0
    assert chain_buffer([], 0.9) == 0


@pytest.mark.parametrize("certainty", [0.0, 1.0, -0.1, 1.5])
def test_impossible_certainty_is_refused(certainty: float) -> None:
    """A certainty of nought or one has no finite buffer and is a ValueError."""
    with pytest.raises(ValueError, match=r"0\.0 < p < 1\.0"):
        chain_buffer([(5, 7, 10)], certainty)
