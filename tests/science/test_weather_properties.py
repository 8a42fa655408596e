"""Dates from daily temperatures: signs, order and limits, on drawn years."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from scheduler.science import weather

DAYS = st.lists(st.integers(0, 364), min_size=1, max_size=60)
SHARES = st.floats(0, 1)
TEMPERATURES = st.lists(st.one_of(st.none(), st.integers(-300, 350).map(lambda t: t / 10)), max_size=80)


@given(DAYS, SHARES)
def test_quantiles_are_those_of_numpy_and_scipy(days: list[int], share: float) -> None:
    """Linear interpolation between ordered values, as numpy's default and scipy's alpha = beta = 1."""
    found = weather.quantile(days, share)
    assert found == pytest.approx(np.quantile(days, share), abs=1e-9)
    [theirs] = stats.mstats.mquantiles(days, [share], alphap=1, betap=1)
    assert found == pytest.approx(theirs, abs=1e-9)


@given(DAYS, SHARES, SHARES)
def test_the_signs_of_freeze_chances(days: list[int], one: float, other: float) -> None:
    """NOAA: a smaller chance of a later freeze is a later day in spring; in autumn it is an earlier one."""
    small, large = sorted((one, other))
    assert weather.last_freeze(days, small) >= weather.last_freeze(days, large) - 1e-9
    assert weather.first_freeze(days, small) <= weather.first_freeze(days, large) + 1e-9
    assert weather.last_freeze(days, 0.5) == weather.first_freeze(days, 0.5)


@given(DAYS, st.integers(0, 20), SHARES)
def test_a_year_without_a_freeze_makes_freezes_rarer(days: list[int], without: int, chance: float) -> None:
    """Years without a freeze bring the last freeze forward and put the first one off, or leave no such day."""
    mixed = [*days, *(None,) * without]
    spring, autumn = weather.last_freeze(mixed, chance), weather.first_freeze(mixed, chance)
    assert spring is None or spring <= weather.last_freeze(days, chance) + 1e-9
    assert autumn is None or autumn >= weather.first_freeze(days, chance) - 1e-9
    assert weather.quantile([None] * max(1, without), chance) is None


def test_no_year_has_no_quantile() -> None:
    """Of no years at all nothing is known."""
    assert weather.quantile([], 0.5) is None


@given(TEMPERATURES, st.integers(-200, 200).map(lambda t: t / 10))
def test_first_and_last_cold_nights_bound_all_others(nights: list[float | None], threshold: float) -> None:
    """No night outside of the two is as cold as the threshold; both are."""
    cold = [day for day, night in enumerate(nights) if night is not None and night <= threshold]
    assert weather.first_at_or_below(nights, threshold) == (cold[0] if cold else None)
    assert weather.last_at_or_below(nights, threshold) == (cold[-1] if cold else None)


@given(TEMPERATURES, st.integers(1, 5), st.integers(-20, 20), st.integers(-20, 20))
def test_a_warm_run_is_the_first_one(
    days: list[float | None], length: int, by_day: float, by_night: float
) -> None:
    """As if every start were tried: all days of the run are known and warm enough, by day and by night."""
    nights = [None if day is None else day - 5 for day in days]

    def holds(start: int) -> bool:
        run = range(start, start + length)
        return all(days[i] is not None and days[i] >= by_day and nights[i] >= by_night for i in run)

    starts = [start for start in range(len(days) - length + 1) if holds(start)]
    found = weather.first_warm_run(days, nights, length, day=by_day, night=by_night)
    assert found == (starts[0] if starts else None)
    chilly = [None if day is None else -day for day in days]
    assert weather.first_cold_run(chilly, length, -by_day) == weather.first_warm_run(
        days, nights, length, day=by_day
    )


@given(TEMPERATURES, st.integers(1, 5), st.integers(-20, 20), st.integers(-20, 20))
def test_the_last_warm_run_is_the_first_from_behind(
    days: list[float | None], length: int, by_day: float, by_night: float
) -> None:
    """Its last day, in a year that is read backwards, is that of the first run; one run is both."""
    nights = [None if day is None else day - 5 for day in days]
    first = weather.first_warm_run(days, nights, length, day=by_day, night=by_night)
    last = weather.last_warm_run(days, nights, length, day=by_day, night=by_night)
    backwards = weather.first_warm_run(days[::-1], nights[::-1], length, day=by_day, night=by_night)
    assert (first is None) == (last is None) == (backwards is None)
    if first is not None and last is not None and backwards is not None:
        assert first <= last == len(days) - length - backwards
        assert (
            weather.first_warm_run(days[last + 1 :], nights[last + 1 :], length, day=by_day, night=by_night)
            is None
        )


@given(TEMPERATURES, st.integers(1, 5), st.integers(-20, 20), st.integers(0, 10), st.integers(0, 3))
def test_asking_for_more_warmth_never_opens_sooner_nor_closes_later(
    days: list[float | None], length: int, threshold: float, warmer: float, longer: int
) -> None:
    """A warmer threshold, or a longer run, puts the first warm run off and brings the last one's end forward."""
    usual = (
        weather.first_warm_run(days, days, length, day=threshold),
        weather.last_warm_run(days, days, length, day=threshold),
    )
    for more in ((length, threshold + warmer), (length + longer, threshold)):
        first, last = (
            find(days, days, more[0], day=more[1]) for find in (weather.first_warm_run, weather.last_warm_run)
        )
        assert first is None or (usual[0] is not None and first >= usual[0])
        assert last is None or (usual[1] is not None and last <= usual[1])


@given(st.lists(st.integers(-10, 25), min_size=30, max_size=120), st.integers(0, 8), st.integers(0, 30))
def test_buds_break_earlier_in_a_warmer_spring(mean: list[float], warmer: int, from_day: int) -> None:
    """Without a need for chilling more warmth is never later; more forcing, or a later begin, never earlier."""
    usual = weather.bud_break(mean, 100, 0, from_day)
    warm = weather.bud_break([t + warmer for t in mean], 100, 0, from_day)
    assert usual is None or (warm is not None and warm <= usual)
    late = weather.bud_break(mean, 120, 0, from_day + 3)
    assert late is None or (usual is not None and late >= usual >= from_day)


@given(st.lists(st.integers(-10, 25), min_size=30, max_size=120), st.integers(0, 60), st.integers(0, 10))
def test_more_chilling_is_never_sooner(mean: list[float], chill: int, more: int) -> None:
    """Buds that want a longer winter do not break sooner, and not before it has been cold so many days."""
    usual, longer = (weather.bud_break(mean, 50, 0, 0, need) for need in (chill, chill + more))
    assert longer is None or (usual is not None and longer >= usual)
    if usual is not None:
        assert sum(t < 10 for t in mean[:usual]) >= chill


@given(st.lists(st.integers(-5, 25), min_size=60, max_size=120), st.integers(0, 8))
def test_leaves_turn_later_in_a_warmer_autumn(mean: list[float], warmer: int) -> None:
    """A warmer autumn is never earlier, a shorter need never later, and nothing turns while days are long."""
    light = [15 - 0.04 * day for day in range(len(mean))]
    usual = weather.leaf_turn(mean, light, 14.5, 28.5, 8000)
    warm = weather.leaf_turn([t + warmer for t in mean], light, 14.5, 28.5, 8000)
    assert warm is None or (usual is not None and warm >= usual)
    less = weather.leaf_turn(mean, light, 14.5, 28.5, 4000)
    assert usual is None or (less is not None and less <= usual and light[less] < 14.5)


@given(st.floats(-30, 40), st.floats(0, 20), st.floats(-5, 15), st.floats(0, 10))
def test_degree_days_grow_with_warmth(night: float, span: float, base: float, more: float) -> None:
    """Never negative, never fewer on a warmer day; with a ceiling never more than from base to ceiling."""
    day = night + span
    assert (
        0
        <= weather.degree_days(night, day, base)
        <= weather.degree_days(night + more, day + more, base) + 1e-9
    )
    assert 0 <= weather.degree_days(night, day, base, base + 20) <= 20 + 1e-9


@given(TEMPERATURES, st.integers(0, 6))
def test_bridges_span_short_gaps_only(values: list[float | None], longest: int) -> None:
    """What was measured stays, a bridge lies between its ends, and a longer gap stays open."""
    found = weather.bridged(values, longest)
    assert len(found) == len(values)
    assert all(after == before for before, after in zip(values, found, strict=True) if before is not None)
    known = [value for value in values if value is not None]
    assert all(min(known) - 1e-9 <= value <= max(known) + 1e-9 for value in found if value is not None)
    assert weather.longest_gap(found) <= weather.longest_gap(values)
    if weather.longest_gap(found) > 0 and known:
        inner = found[found.index(known[0]) : len(found) - found[::-1].index(known[-1])]
        gaps = "".join("." if value is None else "x" for value in inner).replace("x", " ").split()
        assert all(len(gap) > longest for gap in gaps)


def test_a_mean_takes_both_extremes() -> None:
    """Half way between night and day; unknown where one of them is."""
    assert weather.mean_of(2.0, 9.0) == 5.5
    assert weather.mean_of(None, 9.0) is weather.mean_of(2.0, None) is None
    assert weather.quantile([1, None], 0.5, never=-math.inf) is None
