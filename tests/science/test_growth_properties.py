"""Laws that growth must obey at every temperature."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from scheduler.science.growth import Cardinal, ctmi, days_at, optimum_days, ready_after, ready_table
from scheduler.science.rounding import whole_down, whole_up

NAMEKO = Cardinal(4, 24, 32)


@st.composite
def cardinals(draw: st.DrawFn) -> Cardinal:
    """Limits at least 10 C apart, and an optimum in their upper half."""
    low = draw(st.floats(-5, 10))
    wide = draw(st.floats(10, 40))
    return Cardinal(low, low + wide * draw(st.floats(0.52, 0.95)), low + wide)


rooms = st.lists(st.floats(0, 40).map(lambda t: round(t, 1)), min_size=1, max_size=90)


@given(cardinals(), st.floats(-20, 70))
def test_rate_lies_between_nought_and_one(c: Cardinal, t: float) -> None:
    """The relative rate is within 0..1, one at the optimum, and zero at and outside the limits."""
    assert 0 <= ctmi(t, c.min_c, c.optimum_c, c.max_c) <= 1 + 1e-12
    assert ctmi(c.optimum_c, c.min_c, c.optimum_c, c.max_c) == pytest.approx(1, abs=1e-12)
    assert ctmi(c.min_c, c.min_c, c.optimum_c, c.max_c) == 0 == ctmi(c.max_c, c.min_c, c.optimum_c, c.max_c)


@given(cardinals(), st.floats(0, 1), st.floats(0, 1))
def test_rate_rises_to_the_optimum_and_falls_after_it(c: Cardinal, x: float, y: float) -> None:
    """Warmer is faster below the optimum and slower above it."""
    near, far = sorted((x, y))
    below = [c.rate(c.optimum_c - share * (c.optimum_c - c.min_c)) for share in (near, far)]
    above = [c.rate(c.optimum_c + share * (c.max_c - c.optimum_c)) for share in (near, far)]
    assert below[0] >= below[1] - 1e-12 and above[0] >= above[1] - 1e-12


@pytest.mark.parametrize("limits", [(5, 20, 35), (5, 40, 35), (30, 20, 10), (5, 35, 35), (5, math.nan, 35)])
def test_impossible_limits_are_refused(limits: tuple[float, float, float]) -> None:
    """An optimum that is not in the upper half of its limits is a ValueError."""
    with pytest.raises(ValueError, match="optimum"):
        Cardinal(*limits)


@given(cardinals(), st.floats(1, 60), st.floats(0, 5))
def test_days_at_the_reference_are_the_reference_days(c: Cardinal, days: float, lag: float) -> None:
    """At the reference temperature a culture takes exactly its reference days, whatever the lag."""
    assert days_at(days, lag, c.optimum_c, c.optimum_c, c, 0) == pytest.approx(days)


@given(cardinals(), st.floats(0.05, 0.95), st.floats(6, 60), st.floats(0, 5), st.floats(0, 4))
def test_colder_never_takes_fewer_days(
    c: Cardinal, share: float, days: float, lag: float, core: float
) -> None:
    """Below the optimum, days grow as the room gets colder, but the lag never does."""
    assume(c.optimum_c + core <= c.max_c)
    room = c.min_c + share * (c.optimum_c - c.min_c)
    here = days_at(days, lag, c.optimum_c, room, c, core)
    warmer = days_at(days, lag, c.optimum_c, (room + c.optimum_c) / 2, c, core)
    assert here is not None and warmer is not None and here >= warmer - 1e-9 and warmer > lag


@given(cardinals(), rooms, st.floats(1, 20), st.floats(0, 4), st.floats(0.1, 5))
def test_a_warmer_room_below_the_optimum_is_never_slower(
    c: Cardinal, room: list[float], days: float, lag: float, warmer: float
) -> None:
    """Day by day: what is ready in a room below the optimum is ready as soon in a warmer one below it."""
    cool = [min(t, c.optimum_c - warmer) for t in room]
    usual = ready_after(cool, 0, days, lag, c.optimum_c, c, 0)
    warm = ready_after([t + warmer for t in cool], 0, days, lag, c.optimum_c, c, 0)
    assert usual is None or (warm is not None and warm <= usual)


@given(cardinals(), rooms, st.floats(1, 20), st.floats(0, 4), st.floats(0, 5))
def test_more_days_or_a_longer_lag_are_never_sooner(
    c: Cardinal, room: list[float], days: float, lag: float, more: float
) -> None:
    """A slower stage ends no sooner, whatever the room does; neither does one whose lag grows with its days."""
    usual = ready_after(room, 0, days + lag, lag, c.optimum_c, c, 0)
    for slower in (
        ready_after(room, 0, days + lag + more, lag, c.optimum_c, c, 0),
        ready_after(room, 0, days + lag + more, lag + more, c.optimum_c, c, 0),
    ):
        assert slower is None or (usual is not None and slower >= usual)


def test_the_upper_limit_sees_the_core() -> None:
    """A room just cool enough for the core grows, a hair more does not."""
    assert days_at(21, 2, 22, 28, NAMEKO, 4) is not None
    assert days_at(21, 2, 22, 28.01, NAMEKO, 4) is None
    assert days_at(21, 2, 22, 3, NAMEKO, 4) is None


def test_days_observed_where_nothing_grows_are_refused() -> None:
    """Reference days at a temperature without growth are a ValueError."""
    with pytest.raises(ValueError, match="reference temperature"):
        optimum_days(20, 2, 3, NAMEKO)


def test_a_lag_longer_than_the_days_counts_as_the_days() -> None:
    """A very quick culture is all lag: its days stay the reference days at any temperature that grows."""
    assert days_at(3, 5, 22, 15, NAMEKO, 0) == 3
    assert ready_after([15.0] * 10, 0, 3, 5, 22, NAMEKO, 0) == 3


@given(cardinals(), st.floats(0.2, 1.0), st.floats(0.5, 50), st.floats(0, 6), st.integers(0, 5))
def test_constant_room_agrees_with_days_at(
    c: Cardinal, share: float, days: float, lag: float, start: int
) -> None:
    """Adding up day by day in a constant room gives the rounded-up days of the formula, from any start."""
    room = c.min_c + share * (c.optimum_c - c.min_c)
    exact = days_at(days, lag, c.optimum_c, room, c, 0)
    assert exact is not None
    # Where the exact days are whole but for rounding, either side of it is right.
    assume(abs(exact - round(exact)) > 1e-6 or exact == round(exact))
    sequence = [room] * (start + whole_up(exact))
    assert ready_after(sequence, start, days, lag, c.optimum_c, c, 0) == whole_up(exact)
    assert ready_after(sequence[1:], start, days, lag, c.optimum_c, c, 0) is None


@given(cardinals(), rooms, st.floats(1, 20), st.floats(0, 4), st.floats(0, 3), st.floats(0, 5))
def test_table_is_the_day_by_day_answer(
    c: Cardinal, room: list[float], days: float, lag: float, rest: float, core: float
) -> None:
    """The table holds for every start what the single computation says, plus whole days of consolidation."""
    table = ready_table(room, days, lag, rest, c.optimum_c, c, core)
    for start in range(len(room)):
        run = ready_after(room, start, days, lag, c.optimum_c, c, core)
        assert table.get(start) == (None if run is None else start + run + whole_up(rest))


@given(cardinals(), rooms, st.floats(1, 20), st.floats(0, 4), st.floats(0, 5))
def test_a_later_start_is_never_ready_earlier(
    c: Cardinal, room: list[float], days: float, lag: float, core: float
) -> None:
    """Starts in the table form an unbroken beginning of the days, and ready days do not go back."""
    table = ready_table(room, days, lag, 3, c.optimum_c, c, core)
    assert list(table) == list(range(len(table)))
    assert list(table.values()) == sorted(table.values())


@pytest.mark.parametrize("days", [18, 21, 30])
def test_whole_reference_days_stay_whole_from_every_start(days: int) -> None:
    """At the reference temperature every start of a year takes the reference days, not one more by rounding."""
    table = ready_table([22.0] * 365, days, 2, 0, 22, NAMEKO, 4)
    assert {ready - start for start, ready in table.items()} == {days} and len(table) == 365 - days + 1


def _grow_in_small_steps(room: list[float], need: float, lag: float, c: Cardinal) -> int:
    """A plain simulation in hundredths of a day, for comparison."""
    grown, step = 0.0, round(100 * lag)
    while grown < 100 * need - 1e-6:
        grown += c.rate(room[step // 100])
        step += 1
    return math.ceil(step / 100)


@given(rooms, st.integers(3, 15), st.sampled_from([0, 0.25, 0.5, 1, 1.75, 2]))
def test_a_changing_room_agrees_with_a_simulation(room: list[float], days: int, lag: float) -> None:
    """Development through a changing room is that of a simulation in small steps, broken lags included."""
    long_enough = [*room, *[24.0] * 20]
    simulated = _grow_in_small_steps(long_enough, optimum_days(days, lag, 22, NAMEKO), lag, NAMEKO)
    assert ready_after(long_enough, 0, days, lag, 22, NAMEKO, 0) == simulated


def test_whole_amounts_forgive_noise_but_no_more() -> None:
    """A hair above a whole number rounds to it both ways; a thousandth does not."""
    assert (whole_up(3 + 1e-12), whole_down(3 - 1e-12)) == (3, 3)
    assert (whole_up(3.001), whole_down(2.999)) == (4, 2)
