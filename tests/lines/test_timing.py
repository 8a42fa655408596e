"""Likely days in a room, before any date is known."""

from datetime import date

import pytest

from scheduler.lines import timing
from scheduler.lines.shapes import Growth
from scheduler.season.season import Room, Season
from tests.grower import catalogue, season

SAWDUST = Growth(21, 30, 45, 1.5, 10)


def shelf(temperature: str) -> Season:
    """A season with a shelf of that temperature."""
    return season(lab=f"[lab.shelf]\ntemperature = {temperature}")


def test_a_month_that_is_not_named_is_like_the_nearest() -> None:
    """December and March are given: August to January are like December, the other months like March."""
    room = Room({12: 10.0, 3: 14.0}, volume_l=100)
    found = {month: timing.room_on(room, date(2027, month, 15)) for month in range(1, 13)}
    assert [found[month] for month in (11, 12, 1)] == [10.0] * 3
    assert [found[month] for month in (2, 3, 4, 5, 6, 7)] == [14.0] * 6
    assert [found[month] for month in (8, 9, 10)] == [10.0] * 3


def test_a_constant_room_is_the_same_every_day() -> None:
    """One temperature for all months."""
    assert {timing.room_on(Room(21.5, volume_l=1), date(2027, month, 1)) for month in range(1, 13)} == {21.5}


def test_at_the_reference_temperature_nothing_is_stretched() -> None:
    """24 C is what shiitake's days are for; consolidation comes on top of them."""
    of = shelf('"24 C"')
    assert timing.stretch(of, catalogue(), "shiitake", SAWDUST) == pytest.approx(1)
    assert timing.likely_days(of, catalogue(), "shiitake", SAWDUST) == pytest.approx(40)


def test_in_the_cold_everything_takes_longer_but_the_lag_and_the_rest() -> None:
    """Consolidation is not scaled, nor is the lag in the days."""
    of = shelf('"15 C"')
    factor = timing.stretch(of, catalogue(), "shiitake", SAWDUST)
    assert 1.5 < factor < 4
    assert timing.likely_days(of, catalogue(), "shiitake", SAWDUST) == pytest.approx(30 * factor + 10)
    all_lag = Growth(10, 10, 10, 10, 0)
    assert timing.stretch(of, catalogue(), "shiitake", all_lag) == pytest.approx(1)


def test_months_count_by_their_mean() -> None:
    """12 and 18 C through the months are sized as 15 C."""
    by_month = timing.stretch(shelf('{ jan = "12 C", feb = "18 C" }'), catalogue(), "shiitake", SAWDUST)
    assert by_month == pytest.approx(timing.stretch(shelf('"15 C"'), catalogue(), "shiitake", SAWDUST))


def test_where_nothing_grows_sizes_are_found_all_the_same() -> None:
    """A frozen room is found and explained where dates are looked for, not here."""
    assert timing.stretch(shelf('"1 C"'), catalogue(), "shiitake", SAWDUST) == 1
