"""Where a chance can be worked out, or another library knows a law, the played seasons agree with it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from scheduler.lines import spares
from scheduler.lines.spares import Odds
from scheduler.outlook.course import NEVER, Again
from scheduler.outlook.dice import pert
from scheduler.outlook.grow import ready_days
from scheduler.outlook.simulate import simulate
from scheduler.science.growth import Cardinal, development, optimum_days, ready_table
from tests.outlook.made_up import bags, course, planting, run, spawn

SEASONS = 40_000


def near(found: float, exact: float, seasons: int = SEASONS) -> bool:
    """Whether a share of seasons lies within three standard errors of the exact chance."""
    return abs(found - exact) <= 3 * math.sqrt(max(exact * (1 - exact), 1e-4) / seasons)


@pytest.mark.parametrize(
    ("units", "need", "good", "bad"), [(6, 3, 17.0, 3.0), (8, 5, 4.0, 2.0), (3, 3, 18.0, 2.0)]
)
def test_single_losses_are_beta_binomial(units: int, need: int, good: float, bad: float) -> None:
    """One stage without loads, parents or redo: scipy's beta-binomial law."""
    batch = bags(units=units, odds=Odds(good, bad, 0.0, 0.0))
    played = simulate(course((batch,), (spawn(need=need),), (planting(need=need),)), SEASONS, 7)
    assert near(played.made("Bed A").mean(), stats.betabinom(units, good, bad).sf(need - 1))
    left = played.spawn_g["Bed A"][played.made("Bed A")]
    law = stats.betabinom(units, good, bad)
    assert near((left == 1000 * units).mean() * played.made("Bed A").mean(), law.pmf(units))


@pytest.mark.parametrize("odds", [Odds(18.0, 2.0, 0.02, 0.03), Odds(8.0, 4.0, 0.2, 0.1)])
@pytest.mark.parametrize(("units", "holds", "need"), [(5, 10, 2), (9, 5, 5)])
def test_losses_are_those_that_the_spares_are_reckoned_with(
    odds: Odds, units: int, holds: int, need: int
) -> None:
    """Single losses, whole loads and hidden infections together: the chance of `lines.spares`."""
    sizes = spares.split_evenly(units, holds)
    loads = tuple(f"load {number}" for number, size in enumerate(sizes) for _ in range(size))
    batch = bags(units=units, odds=odds, loads=loads)
    played = simulate(course((batch,), (spawn(need=need),), (planting(need=need),)), SEASONS, 3)
    assert near(played.made("Bed A").mean(), spares.chance(need, units, holds, 0, odds))


def test_a_hidden_infection_takes_all_children_of_a_jar() -> None:
    """Two sure jars of four children each: the spares' chance for parents of four."""
    odds = Odds(18.0, 2.0, 0.0, 0.2)
    jars = bags("A-G1a", stage="grain", planned=0, units=2, odds=None, feeds=4.0, grams=0.0)
    batch = bags(units=8, odds=odds, loads=(), starts=False)
    stages = (
        spawn(key="A:grain", name="grain G1", need=2),
        spawn(need=4, parent="A:grain", by_jar=True),
    )
    played = simulate(course((jars, batch), stages, (planting(need=4),)), SEASONS, 3)
    assert near(played.made("Bed A").mean(), spares.chance(4, 8, 100, 4, odds))


def test_two_lines_that_share_nothing_multiply() -> None:
    """The chance of both plantings is the product of their chances."""
    odds = Odds(6.0, 4.0, 0.0, 0.0)
    both = course(
        (bags(odds=odds), bags("B-Sa", line="B", odds=odds, load="other")),
        (spawn(), spawn(line="B")),
        (planting(), planting(line="B")),
    )
    played = simulate(both, SEASONS, 11)
    one = stats.betabinom(6, 6, 4).sf(2)
    assert near(played.made("Bed A").mean(), one)
    assert near(played.made("Bed B").mean(), one)
    assert near(played.all_made().mean(), one * one)


def test_batches_of_one_load_fail_together() -> None:
    """Two lines in one load that is lost one time in four are both made three times in four."""
    odds = Odds(1.0, 0.0, 0.25, 0.0)
    both = course(
        (bags(odds=odds), bags("B-Sa", line="B", odds=odds)),
        (spawn(), spawn(line="B")),
        (planting(), planting(line="B")),
    )
    assert near(simulate(both, SEASONS, 5).all_made().mean(), 0.75)


def test_a_second_try_is_one_minus_both_failing() -> None:
    """Only whole loads are lost, each is noticed in time, and one batch is made again."""
    odds = Odds(1.0, 0.0, 0.3, 0.0)
    again = Again(by=200, wait=5, units=6)
    played = simulate(course((bags(odds=odds),), (spawn(again=again),), (planting(until=150),)), SEASONS, 2)
    assert near(played.made("Bed A").mean(), 1 - 0.3**2)
    assert near(played.remade["A:spawn"].mean(), 0.3)


def test_a_loss_that_shows_after_the_redo_by_is_not_made_good() -> None:
    """Four losses in five show by the look on day 8; the redo-by lies on the day of that look."""
    odds = Odds(1.0, 0.0, 0.3, 0.0)
    again = Again(by=38, wait=5, units=6)
    played = simulate(course((bags(odds=odds),), (spawn(again=again),), (planting(until=150),)), SEASONS, 2)
    assert near(played.made("Bed A").mean(), 0.7 + 0.3 * 0.8 * 0.7)


@pytest.mark.parametrize("days", [(8, 12, 16), (21, 28, 45), (10, 10, 20), (10, 20, 20)])
def test_days_follow_the_pert_law(days: tuple[float, float, float]) -> None:
    """Quantiles of the table are those of scipy's Beta law, to a thousandth of the span."""
    low, likely, high = days
    law = stats.beta(
        1 + 4 * (likely - low) / (high - low), 1 + 4 * (high - likely) / (high - low), low, high - low
    )
    chances = np.array([0.001, 0.01, 0.05, 0.25, 0.5, 0.75, 0.95, 0.99, 0.999])
    found = pert(stats.norm.ppf(chances), *days)
    assert found == pytest.approx(law.ppf(chances), abs=1e-3 * (high - low))


def test_a_late_batch_is_too_late_as_often_as_the_law_says() -> None:
    """Ready after 20 to 60 days, likely 30; the window closes 35 days after the inoculation."""
    batch = bags(run=run(20, 30, 60))
    played = simulate(course((batch,), plantings=(planting(until=65),)), SEASONS, 4)
    law = stats.beta(1 + 4 * 10 / 40, 1 + 4 * 30 / 40, 20, 40)
    assert near(played.made("Bed A").mean(), law.cdf(35))
    assert near((played.planted_on["Bed A"] == 60).mean(), law.cdf(30))


@pytest.mark.parametrize("together", [0.0, 0.5, 1.0])
def test_batches_of_a_line_are_slow_together_as_far_as_the_course_says(together: float) -> None:
    """Both are ready in time as often as two normal numbers of that correlation are small together."""
    batches = (bags(run=run(20, 120, 220), planned=0), bags("A-Sb", run=run(20, 120, 220), planned=0))
    stages, plantings = (spawn(need=12),), (planting(need=12, planned=100, until=120),)
    both = course(batches, stages, plantings, together=together)
    law = stats.multivariate_normal([0, 0], [[1, together], [together, 1]], allow_singular=True)
    edge = stats.norm.ppf(stats.beta(3, 3, 20, 200).cdf(120))
    assert near(simulate(both, SEASONS, 1).made("Bed A").mean(), law.cdf([edge, edge]))


ROOMS = st.lists(st.sampled_from([2.0, 8.0, 14.0, 21.0, 24.0]), min_size=40, max_size=80)


@settings(max_examples=60)
@given(
    ROOMS,
    st.floats(1.0, 30.0),
    st.floats(0.0, 4.0),
    st.integers(0, 10),
)
def test_days_in_a_changing_room_are_those_of_the_growth_tables(
    room: list[float], days: float, lag: float, rest: int
) -> None:
    """The arrays say of every start what `science.growth.ready_table` says of it."""
    cardinal = Cardinal(5.0, 24.0, 30.0)
    lag = min(lag, days)
    table = ready_table(room, days, lag, rest, 22.0, cardinal, 4.0)
    asked = replace(
        run(days, days, days, lag, rest),
        rate=optimum_days(1.0, 0.0, 22.0, cardinal),
        development=tuple(development(room, cardinal, 4.0)),
    )
    starts = np.arange(len(room) + 5)
    found = ready_days(asked, starts, np.full(starts.shape, days))
    assert found.tolist() == [table.get(start, NEVER) for start in starts.tolist()]
