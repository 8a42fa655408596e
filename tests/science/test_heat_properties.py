"""Laws of steam and daylight."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.science.daylight import daylight_hours
from scheduler.science.heat import (
    cook_minutes,
    hold_factor,
    pressure_at_altitude,
    saturation_temperature,
    steam_temperature,
)

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


@given(st.floats(0, 60), st.floats(1, 240), st.floats(0, 60), metres, metres, pounds)
def test_altitude_never_shortens_cooking(
    heat_up: float, hold: float, cool: float, one: float, other: float, gauge: float
) -> None:
    """Higher up at the same gauge a load cooks at least as long, and at least as long as in the book."""
    down, up = (cook_minutes(heat_up, hold, hold_factor(gauge, h), cool) for h in sorted((one, other)))
    assert heat_up + hold + cool - 1e-6 <= down <= up


@given(st.floats(0, 89), st.floats(0, 89), st.integers(81, 263))
def test_summer_days_are_longer_further_north(one: float, other: float, day: int) -> None:
    """Between the equinoxes of March and September; in the other half of the year they are shorter."""
    south, north = sorted((one, other))
    assert daylight_hours(south, day) <= daylight_hours(north, day) + 1e-9
    assert daylight_hours(-south, day) >= daylight_hours(-north, day) - 1e-9


@given(metres, metres)
def test_air_is_thinner_and_water_boils_cooler_higher_up(one: float, other: float) -> None:
    """Pressure and boiling point both fall with altitude."""
    down, up = sorted((one, other))
    assert pressure_at_altitude(up) <= pressure_at_altitude(down)
    assert steam_temperature(0, up) <= steam_temperature(0, down)
