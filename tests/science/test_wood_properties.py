"""Laws of drying wood."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.science.wood import (
    cumulative_loss,
    latest_use,
    latest_use_table,
    mass_loss_at,
    moisture_after,
    weekly_loss_by_month,
)

losses = st.lists(st.floats(0, 0.01), min_size=1, max_size=80)


@given(st.floats(20, 60), st.floats(0, 0.19), st.floats(0, 0.19))
def test_drying_is_monotone_and_reversible(fresh: float, one: float, other: float) -> None:
    """More loss means drier wood, and the loss can be read back from the moisture."""
    less, more = sorted((one, other))
    wetter, drier = moisture_after(fresh, less), moisture_after(fresh, more)
    # A billionth of a percent for rounding.
    assert fresh + 1e-9 >= wetter >= drier - 1e-9 and drier >= 0
    assert mass_loss_at(fresh, moisture_after(fresh, more)) == pytest.approx(more, abs=1e-9)


def test_wood_does_not_get_drier_than_dry() -> None:
    """Past the loss of all its water wood has no moisture, and wetter than fresh is no loss."""
    assert moisture_after(45, 0.45) == moisture_after(45, 1.3) == 0
    assert mass_loss_at(45, 50) == 0


def test_seasons_of_both_hemispheres() -> None:
    """January dries at the winter rate in the north and at the summer rate in the south, six months apart."""
    north = weekly_loss_by_month(44.6, 1, 2, 3)
    south = weekly_loss_by_month(-33, 1, 2, 3)
    assert north == (1, 1, 1, 2, 2, 3, 3, 3, 2, 2, 1, 1)
    assert [south[(month + 6) % 12] for month in range(12)] == list(north)


def test_losses_add_up_from_the_day_of_felling() -> None:
    """The day of felling has lost nothing; each later day adds a seventh of its month's weekly rate."""
    weekly = [0.07] + [0.14] * 11
    assert cumulative_loss([1, 1, 2, 2], weekly, 1.0) == pytest.approx([0, 0.01, 0.02, 0.04])
    assert cumulative_loss([1, 1, 2, 2], weekly, 2.0) == pytest.approx([0, 0.02, 0.04, 0.08])
    assert cumulative_loss([5], weekly, 1.0) == [0]


@given(losses, st.floats(0, 0.2))
def test_latest_use_is_the_last_day_within_the_limit(daily: list[float], limit: float) -> None:
    """The day found is within the limit, the next one is not, and later felling never ends sooner."""
    lost = [sum(daily[:day]) for day in range(len(daily))]
    table = latest_use_table(lost, limit)
    assert list(table) == list(range(len(lost))) and list(table.values()) == sorted(table.values())
    for start, last in table.items():
        assert last == latest_use(lost, start, limit) >= start
        assert lost[last] - lost[start] <= limit + 1e-8
        assert last == len(lost) - 1 or lost[last + 1] - lost[start] > limit


@given(
    st.floats(25, 60), st.lists(st.integers(1, 12), min_size=2, max_size=200), st.floats(1, 2.5), st.data()
)
def test_longer_storage_is_never_moister_and_later_felling_never_drier(
    fresh: float, months: list[int], factor: float, data: st.DataObject
) -> None:
    """Wood that lies longer, that is felled sooner, or that dries faster is no moister on its day."""
    lost = cumulative_loss(months, [0.004, 0.008, 0.015] * 4, 1.0)
    felled, later, planted = sorted(data.draw(st.tuples(*[st.integers(0, len(months) - 1)] * 3)))

    def moisture(from_day: int, to_day: int, of: list[float] = lost) -> float:
        return moisture_after(fresh, of[to_day] - of[from_day])

    assert moisture(felled, planted) <= moisture(later, planted) + 1e-9
    assert moisture(felled, planted) <= moisture(felled, later) + 1e-9
    faster = cumulative_loss(months, [0.004, 0.008, 0.015] * 4, factor)
    assert moisture(felled, planted, faster) <= moisture(felled, planted) + 1e-9


@given(losses, st.floats(0, 0.1), st.floats(0, 0.1))
def test_wood_that_may_lose_more_may_lie_longer(daily: list[float], limit: float, more: float) -> None:
    """The last day of use does not come sooner where more loss is allowed."""
    lost = [sum(daily[:day]) for day in range(len(daily))]
    usual, longer = latest_use_table(lost, limit), latest_use_table(lost, limit + more)
    assert all(longer[start] >= last for start, last in usual.items())
