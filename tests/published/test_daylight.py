"""Day length against FAO Irrigation and Drainage Paper 56 [fao-56], spherical astronomy and open data."""

import pytest

from scheduler.science.daylight import daylight_hours
from tests.open_data import aspen_days


def test_worked_example_of_the_paper() -> None:
    """20 S on 3 September (day 246) has 11.67 h of light; the paper's example prints 11.7."""
    assert daylight_hours(-20, 246) == pytest.approx(11.67, abs=0.005)


@pytest.mark.parametrize(
    ("latitude", "hours"), [(0, 12.0), (40, 14.84), (66, 22.25), (70, 24.0), (-40, 9.16), (-70, 0.0)]
)
def test_june_solstice(latitude: float, hours: float) -> None:
    """With the sun over the tropic at 23.44 N, hours from sunrise to sunset are those of spherical astronomy."""
    # The paper's declination is short of 23.44 degrees by a hundredth, which is under a minute even at 66 N.
    assert daylight_hours(latitude, 172) == pytest.approx(hours, abs=0.02)


def test_day_length_of_the_aspen_sites() -> None:
    """The hours that come with the aspen observations, 232 site-years from 32 to 49 N [npn-aspen], to two minutes."""
    days = list(aspen_days())
    assert len({(site, year) for site, year, *_ in days}) == 232
    worst = max(
        abs(daylight_hours(latitude, day) - hours) for _, _, latitude, day, hours in days if 1 <= day <= 365
    )
    # The hours are printed to two places, by another formula of the sun's declination.
    assert worst < 2 / 60
