"""Changed courses: more spares, more margin and an earlier start never lower the chance; the rest stays as it is."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from scheduler.outlook import changed
from scheduler.outlook.course import Course
from scheduler.outlook.share import share
from scheduler.outlook.simulate import Played, simulate
from tests.command import PLANNED
from tests.outlook.made_up import bags, course, example, spawn
from tests.outlook.test_reference import rough

SEASONS = 4000


def lower(before: Played, after: Played) -> dict[str, float]:
    """Plantings whose chance fell by more than three standard errors, reckoned season by season."""
    found = {}
    for name in after.planted_on:
        more = after.made(name).astype(float) - before.made(name)
        if more.mean() < -3 * more.std() / math.sqrt(more.size):
            found[name] = float(more.mean())
    return found


def stages(of: Course) -> list[str]:
    """Stages of which something is still to be made."""
    return [
        stage.key
        for stage in of.stages
        if not stage.is_test and any(changed.is_to_make(batch) for batch in of.of(stage.key))
    ]


@pytest.mark.parametrize("name", PLANNED)
def test_a_spare_more_never_lowers_a_chance(name: str) -> None:
    """Of any stage of any line, in a season as it is."""
    before = simulate(example(name), SEASONS, 1)
    for line in example(name).lines():
        alone = example(name).only(line)
        for stage in stages(alone):
            assert lower(before, simulate(changed.with_spare(alone, stage), SEASONS, 1)) == {}, stage


@pytest.mark.parametrize("name", PLANNED)
def test_a_week_more_never_lowers_a_chance(name: str) -> None:
    """Of any line, in a season as it is."""
    before = simulate(example(name), SEASONS, 1)
    for line in example(name).lines():
        earlier = changed.with_margin(example(name), line, 7).only(line)
        assert all(
            new.planned <= old.planned
            for new, old in zip(earlier.batches, example(name).only(line).batches, strict=True)
        )
        assert lower(before, simulate(earlier, SEASONS, 1)) == {}, line


@pytest.mark.parametrize("name", PLANNED)
def test_a_later_start_never_raises_a_chance(name: str) -> None:
    """Through all starts that make a difference, in a season as it is and in a rough lab; at the end nothing is left."""
    for one in (example(name), rough(example(name))):
        days = changed.starts(one)
        played = [simulate(changed.begun_from(one, day), 1000, 1) for day in days]
        for later, earlier in zip(played[1:], played, strict=False):
            assert lower(later, earlier) == {}
        last = changed.begun_from(one, len(one.batches[-1].openings.begin))  # type: ignore[union-attr]
        assert not simulate(last, 1000, 1).all_made().any()


def test_what_is_planned_first_is_the_first_start() -> None:
    """Nothing changes where nothing may be begun before the day on which the season begins anyway."""
    for name in PLANNED:
        first = changed.starts(example(name))[0]
        as_it_is = simulate(example(name), SEASONS, 1)
        begun = simulate(changed.begun_from(example(name), first), SEASONS, 1)
        for planting in as_it_is.planted_on:
            assert np.array_equal(as_it_is.planted_on[planting], begun.planted_on[planting])


def test_a_change_in_one_line_leaves_the_others_alone() -> None:
    """The others are played with the very same luck, alone as among all."""
    market = example("market")
    before = simulate(market, SEASONS, 1)
    after = simulate(changed.with_spare(market, "OYS:OYS-Sa"), SEASONS, 1)
    for planting in market.plantings:
        alone = simulate(market.only(planting.line), SEASONS, 1)
        same = np.array_equal(before.planted_on[planting.name], after.planted_on[planting.name])
        assert same is (planting.line != "OYS")
        assert np.array_equal(before.planted_on[planting.name], alone.planted_on[planting.name])


def test_the_same_seed_gives_the_same_seasons_and_another_one_others() -> None:
    """A pure function of course, number and seed."""
    one, again, other = (simulate(rough(example("backyard")), SEASONS, seed) for seed in (1, 1, 2))
    for planting in one.planted_on:
        assert np.array_equal(one.planted_on[planting], again.planted_on[planting])
        assert np.array_equal(one.spawn_g[planting], again.spawn_g[planting])
        assert not np.array_equal(one.planted_on[planting], other.planted_on[planting])


def test_there_is_no_spare_of_what_grows_already() -> None:
    """Nothing can be added to a batch that was begun."""
    with pytest.raises(KeyError):
        changed.with_spare(course((bags(begun=True),), (spawn(),)), "A:spawn")


def test_a_share_comes_with_its_standard_error() -> None:
    """One season in four, of a hundred: 0.25, and the root of p (1 - p) / 100 with p = 26 / 102."""
    happened = np.arange(100) % 4 == 0
    assert share(happened) == (0.25, pytest.approx(0.04358, abs=1e-5))


@pytest.mark.parametrize("always", [True, False])
def test_what_happens_always_or_never_is_not_sure(always: bool) -> None:
    """Of a hundred seasons the error is about one point, by the rule of succession: p = 1 / 102."""
    chance, stderr = share(np.full(100, always))
    assert chance == float(always)
    assert stderr == pytest.approx(0.00985, abs=1e-5)


@pytest.mark.parametrize("name", PLANNED)
def test_a_unit_fewer_never_raises_a_chance(name: str) -> None:
    """Of any stage of any line, in a season as it is; one more after it is what there was."""
    before = simulate(example(name), SEASONS, 1)
    for line in example(name).lines():
        alone = example(name).only(line)
        for stage in stages(alone):
            fewer = changed.with_units(alone, stage, -1)
            assert sum(b.units for b in fewer.batches) == sum(b.units for b in alone.batches) - 1
            after = simulate(fewer, SEASONS, 1)
            assert lower(after, before_of(before, after)) == {}, stage


def before_of(before: Played, after: Played) -> Played:
    """What was played before, of the plantings of one line."""
    return replace(before, planted_on={name: before.planted_on[name] for name in after.planted_on})


def test_units_come_and_go() -> None:
    """Two more and two fewer are what there was; the last unit takes its batch with it; no more can go."""
    one = course((bags(units=2), bags("A-Sb", units=1)), (spawn(),))
    assert changed.with_units(changed.with_units(one, "A:spawn", 0), "A:spawn", 0) == one
    assert [(b.id, b.units) for b in changed.with_units(one, "A:spawn", -1).batches] == [("A-Sa", 2)]
    alone = course((bags(units=2),), (spawn(),))
    more = changed.with_units(alone, "A:spawn", 2)
    assert (more.batches[0].units, len(more.batches[0].loads)) == (4, 4)
    assert changed.with_units(more, "A:spawn", -2) == alone
    with pytest.raises(KeyError):
        changed.with_units(alone, "A:spawn", -3)


def test_a_margin_is_taken_back() -> None:
    """A week earlier and a week later is the day that was planned, or the next open one."""
    one = course((bags(planned=30),), (spawn(),))
    earlier = changed.with_margin(one, "A", 7)
    assert earlier.batches[0].planned == 23
    assert changed.with_margin(earlier, "A", -7) == one
    assert changed.with_margin(one, "A", 40).batches[0].planned == 0, "not before today"
