"""Day length against FAO Irrigation and Drainage Paper 56."""

import pytest

from scheduler.science.daylight import daylight_hours


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
