"""Finished spawn beyond the need: whole where nothing is lost, less on average."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.lines.shapes import BatchSpec
from scheduler.lines.stages import Stages
from scheduler.lines.surplus import Surplus, surplus
from scheduler.lines.vessels import vessel
from scheduler.plan import Unit
from scheduler.science.losses import survivors
from tests.grower import catalogue, line, season, stage

SEASON = season()
STAGES = Stages(SEASON, catalogue(), "SHI", "shiitake", "house", "wished", {}, 0.9)
BAG_G = 2300.0 * 0.88


def bags(started: int, needed: int) -> BatchSpec:
    """A batch of bags of sawdust spawn whose parents are not known."""
    like = stage(line(SEASON), "sawdust")[0]
    units = tuple(Unit(f"SHI-Sz/{number}", None) for number in range(1, started + 1))
    return replace(like, id="SHI-Sz", units=units, started=started, needed=needed, keep_back=0, parents=())


def over(started: int, need_g: float, **more: object) -> Surplus:
    """What so many bags give beyond a need."""
    batch = replace(bags(started, min(started, 1)), **more)  # type: ignore[arg-type]
    return surplus(STAGES, [batch], {batch.id: batch}, need_g)


def test_the_bag_is_as_it_is_reckoned_here() -> None:
    """2.3 kg, of which 12 % is crust and spillage."""
    assert vessel(SEASON, catalogue(), "2.3 kg bag").mass_g("sawdust") * STAGES.usable("sawdust") == BAG_G


def test_three_bags_for_half_a_one() -> None:
    """Two stay closed and half of the third is left; on average as much as the chances of losses leave."""
    found = over(3, BAG_G / 2)
    assert found.grams == pytest.approx(2.5 * BAG_G)
    assert found.closed == 2
    # One load of three, each bag from a parent of its own; a tenth of single bags is lost, by Beta(18, 2).
    pmf = survivors([[1, 1, 1]], 18.0, 2.0, 0.02, 0.03)
    average = sum(chance * max(0.0, good - 0.5) for good, chance in enumerate(pmf))
    assert found.likely_g == pytest.approx(average * BAG_G)


def test_what_is_bought_or_found_ready_is_there() -> None:
    """It is not lost any more, so both numbers are one."""
    found = over(3, BAG_G / 2, state="in hand")
    assert found.likely_g == found.grams


def test_keep_backs_are_nobodys_leftover() -> None:
    """A jar that is kept back for a redo is neither planted nor left over."""
    assert over(3, BAG_G / 2, keep_back=1).grams == pytest.approx(1.5 * BAG_G)


@given(started=st.integers(1, 6), need_g=st.integers(0, 14_000))
def test_never_more_on_average_than_without_losses(started: int, need_g: int) -> None:
    """The average lies between nothing and all; nothing is left of what does not do."""
    found = over(started, need_g)
    assert 0 <= found.likely_g <= found.grams
    assert found.grams == pytest.approx(max(0.0, started * BAG_G - need_g))
    assert found.closed == max(0, started - math.ceil(need_g / BAG_G))


@given(started=st.integers(1, 6), need_g=st.integers(0, 12_000), more_g=st.integers(0, 4_000))
def test_a_larger_need_leaves_less(started: int, need_g: int, more_g: int) -> None:
    """Both numbers fall as the need grows, and grow with every bag."""
    less, found, another = over(started, need_g + more_g), over(started, need_g), over(started + 1, need_g)
    assert less.grams <= found.grams <= another.grams
    assert less.likely_g <= found.likely_g + 1e-6
    assert found.likely_g <= another.likely_g + 1e-6
