"""Log drying against extension guidance on log moisture and measured stacks."""

import pytest

from scheduler.science.wood import (
    cumulative_loss,
    latest_use,
    mass_loss_at,
    moisture_after,
    weekly_loss_by_month,
)
from scheduler.trade import catalogue


def test_moisture_bands() -> None:
    """Only wood from 30 % is planted, and only from 35 % without a soak.

    Univ. Kentucky FOR-82: lethal below 23 %, ideal from 35 %. Ohio State F-0041: death risk below 25 %, keep
    above 30 %.
    """
    rules = catalogue.load().wood_rules
    assert (rules.moisture_floor.likely, rules.moisture_ideal.likely) == (30, 35)


@pytest.mark.parametrize(("moisture_pct", "weight_pct"), [(35, 84.6), (30, 78.6), (25, 73.3), (23, 71.4)])
def test_weight_at_the_moisture_bands(moisture_pct: float, weight_pct: float) -> None:
    """From 45 % a log reaches each band at the published share of its starting weight, and back again."""
    loss = mass_loss_at(45, moisture_pct)
    # Printed to one place.
    assert 100 * (1 - loss) == pytest.approx(weight_pct, abs=0.05)
    assert moisture_after(45, loss) == pytest.approx(moisture_pct, abs=1e-9)


def test_the_thirty_five_pound_log() -> None:
    """A log of 35 lb at 45 % that weighs 29 lb is at 33.6 % (example of Univ. Kentucky FOR-83)."""
    assert moisture_after(45, 1 - 29 / 35) == pytest.approx(33.6, abs=0.05)


def test_the_winter_stack_in_poland() -> None:
    """Oak that lost 7 % from 30 November to 4 April (Baltic Forestry 28:123, 2022) went from 45 to 40.9 %."""
    assert moisture_after(45, 0.07) == pytest.approx(40.9, abs=0.05)


def test_winter_rate_of_the_stack_in_poland() -> None:
    """0.4 % a week over those 125 days loses the 7 % that were measured."""
    weekly = weekly_loss_by_month(52, 0.004, 0.008, 0.015)
    months = [11] + [12] * 31 + [1] * 31 + [2] * 28 + [3] * 31 + [4] * 4
    lost = cumulative_loss(months, weekly, 1.0)[125]
    # 7 % is printed without a decimal, and the measured rate is 0.39 % a week.
    assert lost == pytest.approx(0.07, abs=0.005)


@pytest.mark.parametrize(("weekly", "weeks"), [(0.004, 39), (0.008, 19), (0.015, 10)])
def test_weeks_from_fresh_to_thirty_five_percent(weekly: float, weeks: int) -> None:
    """At 0.4, 0.8 and 1.5 % a week a log goes from 45 to 35 % in about 39, 19 and 10 weeks (published)."""
    lost = cumulative_loss([1] * 400, [weekly] * 12, 1.0)
    days = latest_use(lost, 0, mass_loss_at(45, 35))
    # "About", in whole weeks: the slowest is 38.5.
    assert days / 7 == pytest.approx(weeks, abs=0.6)
