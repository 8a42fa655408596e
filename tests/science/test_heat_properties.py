"""Laws of steam and daylight."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.science.daylight import daylight_hours
from scheduler.science.heat import cook_minutes, hold_factor, saturation_temperature, steam_temperature

pounds = st.floats(0, 30)
metres = st.floats(-100, 4000)


@given(pounds, metres, pounds, metres)
def test_more_pressure_is_hotter_and_higher_is_cooler(p: float, h: float, q: float, k: float) -> None:
    """Steam gets hotter with the gauge and cooler with altitude, and the hold factor the other way round."""
    (low, high), (down, up) = sorted((p, q)), sorted((h, k))
    assert steam_temperature(low, down) <= steam_temperature(high, down)
    assert steam_temperature(low, up) <= steam_temperature(low, down)
    assert hold_factor(low, up) >= hold_factor(low, down) >= hold_factor(high, down) >= 1


@given(st.floats(70, 300))
def test_one_z_below_the_reference_takes_ten_times_as_long(kpa: float) -> None:
    """The factor is ten for each z below the reference, and one at it or above."""
    steam = saturation_temperature(kpa)
    psi = (kpa - 101.325) / 6.894757
    assert hold_factor(psi, 0, z=8, reference_c=steam + 8) == pytest.approx(10, rel=1e-6)
    assert hold_factor(psi, 0, reference_c=steam - 1) == 1


def test_only_the_hold_is_lengthened() -> None:
    """Heat-up and cooling stay as they are, and broken minutes are rounded up."""
    assert cook_minutes(20, 90, 1.0, 40) == 150
    assert cook_minutes(20, 90, 1.5, 40) == 195
    assert cook_minutes(20, 90.2, 1.0, 40) == 151


@given(st.floats(-90, 90), st.integers(1, 365))
def test_both_hemispheres_share_the_day(latitude: float, day: int) -> None:
    """Light here and light at the opposite latitude make 24 hours, each between none and all."""
    here, there = daylight_hours(latitude, day), daylight_hours(-latitude, day)
    assert 0 <= here <= 24 and here + there == pytest.approx(24, abs=1e-9)
