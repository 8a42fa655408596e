"""What is learned from fates and runs: counts, what cannot be told apart, and bands that hold what is true."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from functools import cache

import pytest

from scheduler.learned import LossLearned
from scheduler.lines.learned_days import learn_days
from scheduler.lines.learned_losses import learn_losses
from scheduler.lines.observed import Fate, Observed, RunSeen
from scheduler.trade.catalogue import Catalogue, load
from tests.lines import growers
from tests.lines.growers import WORKSPACE

GROWERS = 500
NOMINAL = 0.9
PLAY = 4 * math.sqrt(NOMINAL * (1 - NOMINAL) / GROWERS)
"""Four standard errors of a share of 500: were the bands right, one test in 16,000 would fall outside. Seeds
are fixed, so that one that passes stays so."""


@cache
def catalogue() -> Catalogue:
    """The trade's figures."""
    return load()


def fate(lost: bool, **other: object) -> Fate:
    """A unit of nameko grain, alone in its load and with its parent, of which all is known."""
    usual = Fate("nameko", "grain", "b", 0.0, None, None, lost, 1.0)
    return replace(usual, **other)  # type: ignore[arg-type]


def learned(fates: list[Fate]) -> dict[str, LossLearned]:
    """What fates teach, by stage."""
    return {one.stage: one for one in learn_losses(catalogue(), WORKSPACE, fates)}


def test_plain_units_are_counted() -> None:
    """Of 26 jars 2 were lost: a prior of 2 in 20 becomes 4 in 46."""
    found = learned([fate(n < 2) for n in range(26)])
    assert list(found) == ["grain"]
    grain = found["grain"]
    assert (grain.made, grain.lost, grain.growing, grain.unknown) == (26, 2, 0, 0)
    assert (grain.prior.rate, grain.prior.worth) == pytest.approx((0.1, 20))
    assert (grain.posterior.rate, grain.posterior.worth) == pytest.approx((4 / 46, 46))
    assert grain.own_share == pytest.approx(26 / 46)
    assert grain.how == "much"


def test_units_that_nobody_looked_at_say_nothing() -> None:
    """They are counted as unknown, and the figure stays the trade's."""
    grain = learned([fate(False, seen=0.0)] * 4)["grain"]
    assert (grain.made, grain.unknown, grain.how) == (0, 4, "nothing")
    assert grain.posterior == grain.prior


def test_a_unit_that_still_grows_says_less_than_one_that_is_ready() -> None:
    """The longer it was watched, the more it says; at the end it is a plain count."""
    rates = [learned([fate(False, seen=seen)] * 10)["grain"].posterior.rate for seen in (0.2, 0.8, 0.99, 1)]
    assert rates == sorted(rates, reverse=True)
    assert rates[0] < 0.1
    assert rates[-1] == pytest.approx(2 / 30)
    assert rates[-2] == pytest.approx(2 / 30, rel=2e-2)


def test_a_species_that_is_lost_more_often_is_no_proof_of_a_careless_hand() -> None:
    """Four of 20 bags of maitake weigh less on the lab than four of nameko; clean ones more."""
    assert catalogue().species["maitake"].losses.likely > 1

    def rate(species: str, lost: int) -> float:
        return learned([fate(n < lost, species=species) for n in range(20)])["grain"].posterior.rate

    assert rate("maitake", 4) < rate("nameko", 4)
    assert rate("maitake", 0) < rate("nameko", 0)
    steam = learned([fate(n < 4, extra=0.02) for n in range(20)])["grain"]
    assert steam.posterior.rate < rate("nameko", 4)


def test_a_whole_load_may_have_been_lost_as_one() -> None:
    """Seven jars of one load say much of loads and little of jars; the same seven of many loads, only of jars."""
    clean = [fate(False, load=f"clean {n % 6}", parent=f"p{n}") for n in range(36)]
    one = learned([*clean, *[fate(True, load="lost", parent=f"q{n}") for n in range(7)]])
    many = learned([*clean, *[fate(True, load=f"clean {n % 6}", parent=f"q{n}") for n in range(7)]])
    assert one["grain"].posterior.rate < many["grain"].posterior.rate / 2
    assert one["load"].posterior.rate == pytest.approx(2 / 57, rel=0.01)
    assert (one["load"].made, one["load"].lost) == (7, 1)
    assert one["grain"].with_others == pytest.approx(7, abs=0.1)
    assert many["load"].posterior.rate == pytest.approx(1 / 56)
    assert (many["load"].made, many["load"].lost) == (6, 0)
    assert many["grain"].with_others < 3


def test_a_family_may_have_been_lost_to_its_parent() -> None:
    """Four bags of one jar say less of bags than four of four jars, each of which has a child that lives."""
    bags = [fate(False, stage="sawdust", parent=f"p{n % 5}") for n in range(20)]
    one = [fate(True, stage="sawdust", parent="sick") for _ in range(4)]
    four = [fate(True, stage="sawdust", parent=f"p{n}") for n in range(4)]
    assert (
        learned([*bags, *one])["sawdust"].posterior.rate < learned([*bags, *four])["sawdust"].posterior.rate
    )


def test_a_load_of_two_stages_counts_for_both() -> None:
    """Sawdust and dowels lost in one load: as one, or each by itself."""
    load = [fate(True, stage=stage, load="one") for stage in ("sawdust", "sawdust", "dowels", "dowels")]
    found = learned(load)
    assert list(found) == ["sawdust", "dowels", "load"]
    assert found["sawdust"].posterior.rate < 4 / 22
    assert found["load"].posterior.rate > 1 / 51 * 1.9


def test_seasons_together_are_the_sum_of_their_data() -> None:
    """What two seasons teach together is what one of all their units and batches would."""
    first = Observed((fate(True), fate(False)), (RunSeen("nameko", "grain", "grain", 8, 9, True),))
    second = Observed((fate(False),) * 5, (RunSeen("nameko", "grain", "grain", 7, math.inf),))
    both = first + second
    assert learned([*both.fates])["grain"].made == 7
    assert learned([*both.fates]) == learned([*second.fates, *first.fates])
    days = learn_days(catalogue(), both.runs, both.unknown_runs)
    assert days == learn_days(catalogue(), second.runs + first.runs, ())
    assert (days[0].known, days[0].growing) == (1, 1)


def test_days_without_data_are_the_trades() -> None:
    """A batch of which nothing is known is counted, and changes nothing."""
    (found,) = learn_days(catalogue(), (), [RunSeen("shiitake", "sawdust", "grain", 0, math.inf)])
    assert (found.unknown, found.how) == (1, "nothing")
    assert found.factor == pytest.approx(1)
    assert found.narrower == pytest.approx(1)
    assert found.posterior.likely == pytest.approx(found.prior.likely)


def test_slow_batches_make_the_next_ones_slow() -> None:
    """Five batches that took half as long again: the factor goes most of that way, and the spread narrows."""
    figure = catalogue().species["shiitake"].days.sawdust
    days = 1.5 * figure.likely
    runs = [RunSeen("shiitake", "sawdust", "grain", days - 1, days, True)] * 5
    (found,) = learn_days(catalogue(), runs, ())
    assert 1.15 < found.factor < 1.5
    assert found.factor_low < found.factor < found.factor_high
    assert found.narrower < 1
    assert found.posterior.likely == pytest.approx(figure.likely * found.factor)
    assert found.posterior.high / found.posterior.likely < figure.highest / figure.likely
    assert (found.known, found.how) == (5, "much")


@pytest.mark.parametrize(
    ("loads", "stopped", "species"),
    [(4, 0.0, "nameko"), (12, 0.0, "nameko"), (12, 0.4, "maitake")],
    ids=["a first season", "some seasons", "some still growing, of a delicate species"],
)
def test_bands_of_losses_hold_what_is_true(loads: int, stopped: float, species: str) -> None:
    """Over 500 growers, with lost loads and hidden infections, bands hold the truth nine times of ten.

    Nine times of ten they hold the chance of a unit, and that of a load.
    """
    dice = random.Random(20270424)
    units = whole = 0
    for _ in range(GROWERS):
        truth = growers.lab(catalogue(), dice)
        made = growers.fates(catalogue(), truth, dice, loads=loads, stopped=stopped, species=species)
        found = learned(list(made))
        units += found["grain"].posterior.low <= truth.unit_loss <= found["grain"].posterior.high
        whole += found["load"].posterior.low <= truth.load_loss <= found["load"].posterior.high
    assert units / GROWERS == pytest.approx(NOMINAL, abs=PLAY)
    assert whole / GROWERS == pytest.approx(NOMINAL, abs=PLAY)


@pytest.mark.parametrize(
    ("batches", "species", "stage"),
    [(1, "oyster", "plate"), (6, "shiitake", "sawdust")],
    ids=["one batch", "six batches"],
)
def test_bands_of_days_hold_what_is_true(batches: int, species: str, stage: str) -> None:
    """Over 500 growers whose batches are found ready on a day, between looks, or not yet: nine of ten."""
    dice = random.Random(20270515)
    inside = 0
    for _ in range(GROWERS):
        truth = growers.true_factor(catalogue(), dice, species, stage)
        runs = list(growers.runs(catalogue(), truth, dice, batches=batches, species=species, stage=stage))
        (found,) = learn_days(catalogue(), runs, ())
        inside += found.factor_low <= truth <= found.factor_high
    assert inside / GROWERS == pytest.approx(NOMINAL, abs=PLAY)
