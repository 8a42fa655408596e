"""Laws of drying wood."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.science.wood import (
    condition,
    cumulative_loss,
    days_down_to,
    dried,
    dry_mass,
    is_dry_week,
    latest_use,
    latest_use_table,
    lost_too_much,
    mass_loss_at,
    moisture_after,
    moisture_at,
    waterlogged,
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


masses = st.floats(0.5, 60)
moistures = st.floats(5, 70)


@given(masses, masses, masses, moistures)
def test_a_lighter_log_is_never_moister(one: float, other: float, start: float, at_first: float) -> None:
    """The same log at two weights: the lighter one holds less water, and none holds less than none."""
    dry = dry_mass(start, at_first)
    lighter, heavier = sorted((one, other))
    assert 0 <= moisture_at(lighter, dry) <= moisture_at(heavier, dry) < 100


@given(masses, moistures)
def test_a_log_at_its_starting_weight_is_as_moist_as_then(start: float, at_first: float) -> None:
    """No weight lost, no water lost; and the loss of a share says what `moisture_after` does."""
    dry = dry_mass(start, at_first)
    assert moisture_at(start, dry) == pytest.approx(at_first, abs=1e-9)
    assert moisture_at(0.96 * start, dry) == pytest.approx(moisture_after(at_first, 0.04), abs=1e-9)


@given(st.floats(30, 60), st.floats(0, 0.1), st.floats(0, 0.1))
def test_drying_in_two_spans_is_drying_in_one(fresh: float, first: float, then: float) -> None:
    """Rates are told by the fresh mass, so it does not matter where in between a moisture was known."""
    once = dried(fresh, fresh, first + then)
    assert dried(dried(fresh, fresh, first), fresh, then) == pytest.approx(once, abs=1e-9)


@given(moistures, moistures)
def test_a_drier_log_is_never_better_off(one: float, other: float) -> None:
    """Words follow the moisture, from dead risk to best."""
    order = ["dead risk", "danger", "below target", "good", "best"]
    words = [order.index(condition(found, 23, 25, 30, 35)) for found in sorted((one, other))]
    assert words == sorted(words)


@pytest.mark.parametrize("latitude", [44.6, -33.0])
@given(st.floats(36, 44))
def test_the_nearer_summer_the_sooner_too_dry(latitude: float, now: float) -> None:
    """From midwinter to the first of summer, each month later leaves fewer days; in the south half a year apart."""
    weekly = weekly_loss_by_month(latitude, 0.004, 0.008, 0.015)
    midwinter = 1 if latitude > 0 else 7
    days = []
    for start in range(6):
        months = [(midwinter - 1 + start + day // 30) % 12 + 1 for day in range(800)]
        found = days_down_to(now, now, 35, cumulative_loss(months, weekly, 1.0))
        assert found is not None
        days.append(found)
    assert days == sorted(days, reverse=True)


@given(losses, moistures, st.floats(20, 40))
def test_days_until_too_dry_are_the_first_below_the_limit(
    daily: list[float], now: float, limit: float
) -> None:
    """On the day found the wood is below the limit, on the day before it is not; None where it never is."""
    lost = [sum(daily[:day]) for day in range(len(daily))]
    days = days_down_to(now, 50, limit, lost)
    if days is None:
        assert dried(now, 50, lost[-1]) >= limit - 1e-6
        return
    assert dried(now, 50, lost[days]) < limit
    assert days == 0 or dried(now, 50, lost[days - 1]) >= limit - 1e-6


@given(st.floats(300, 900), st.floats(300, 900))
def test_light_wood_holds_more_water(one: float, other: float) -> None:
    """A third of a cubic metre of cell walls leaves two thirds for water; denser wood leaves less."""
    lighter, denser = sorted((one, other))
    assert waterlogged(denser, 1500) <= waterlogged(lighter, 1500) < 100
    assert waterlogged(500, 1500) == pytest.approx(100 * 2000 / 3500)


@given(masses, st.floats(0, 60))
def test_the_rule_of_water_is_a_share_of_the_starting_weight(start: float, limit: float) -> None:
    """Just above the share it is not watered, below it is; and rain counts from what is enough."""
    assert not lost_too_much(start * (1 - limit / 100) * 1.001, start, limit)
    assert lost_too_much(start * (1 - limit / 100) * 0.999, start, limit)
    assert is_dry_week(25.3, 25.4) and not is_dry_week(25.4, 25.4)
