"""Chances against a statistics library and plain enumeration; choices against the rule written out in full."""

import itertools
import math
from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import betabinom

from scheduler.lines.spares import WORTH_A_BENCH_DAY, Choice, Level, Odds, chance, choose, split_evenly

odds_of_anything = st.builds(
    Odds,
    st.floats(0.5, 40),
    st.floats(0.1, 8),
    st.sampled_from([0.0, 0.02, 0.3]),
    st.sampled_from([0.0, 0.03, 0.3]),
)
small_stages = st.tuples(st.integers(1, 6), st.integers(1, 4), st.integers(0, 3))
"""Units needed, units a load holds, children of one parent."""


def chosen(
    need: int,
    load_holds: int = 3,
    children: int = 2,
    odds: Odds = Odds(18, 2, 0.02, 0.03),  # noqa: B008
    restarts: int = 0,
    wish: float = 0.95,
    level: Level = "wished",
    most: int | None = None,
) -> Choice:
    """A choice with the usual losses of a still-air box, where a test says nothing else."""
    return choose(
        need,
        load_holds=load_holds,
        children=children,
        odds=odds,
        restarts=restarts,
        wish=wish,
        level=level,
        most=most,
    )


# --- chance --------------------------------------------------------------------------------------------


@given(st.integers(1, 12), st.integers(0, 12), st.floats(0.5, 60), st.floats(0.1, 20), st.integers(1, 8))
def test_single_losses_are_beta_binomial(need: int, spare: int, a: float, b: float, load_holds: int) -> None:
    """Where no load and no parent is lost as a whole, scipy's beta-binomial law gives the chance."""
    found = chance(need, need + spare, load_holds, 2, Odds(a, b, 0.0, 0.0))
    assert found == pytest.approx(betabinom.sf(need - 1, need + spare, a, b), abs=1e-8)


def fates(count: int, loss: float) -> Iterator[tuple[tuple[bool, ...], float]]:
    """Every way in which `count` things are spared or lost, with its probability."""
    for spared in itertools.product((True, False), repeat=count):
        yield spared, math.prod(1 - loss if one else loss for one in spared)


def enumerated(need: int, started: int, load_holds: int, children: int, odds: Odds) -> float:
    """The chance by every fate of loads and parents; unit n stands in load and under parent in this order."""

    def places(most: int) -> list[int]:
        parts = math.ceil(started / most)
        return sorted(unit % parts for unit in range(started))

    loads, parents = places(load_holds), places(children or 1)
    total = 0.0
    for whole, load_chance in fates(max(loads) + 1, odds.load_loss):
        for well, parent_chance in fates(max(parents) + 1, odds.hidden):
            left = sum(whole[load] and well[parent] for load, parent in zip(loads, parents, strict=True))
            enough = betabinom.sf(need - 1, left, odds.good_a, odds.good_b) if left >= need else 0.0
            total += load_chance * parent_chance * float(enough)
    return total


@given(small_stages, st.integers(0, 3), odds_of_anything)
def test_chance_is_that_of_enumeration(stage: tuple[int, int, int], spare: int, odds: Odds) -> None:
    """All three kinds of loss together, loads and parents filled evenly and in order."""
    need, load_holds, children = stage
    started = min(need + spare, 7)
    need = min(need, started)
    expected = enumerated(need, started, load_holds, children, odds)
    assert chance(need, started, load_holds, children, odds) == pytest.approx(expected, abs=1e-9)


def test_chance_is_what_trials_give() -> None:
    """Twelve bags in loads of five, three to a jar, tried a hundred thousand times with a fixed seed."""
    random = np.random.default_rng(7)
    trials = 100_000
    units_by_load, units_by_parent = np.repeat([0, 1, 2], 4), np.repeat([0, 1, 2, 3], 3)
    whole = random.random((trials, 3)) >= 0.1
    well = random.random((trials, 4)) >= 0.05
    good = random.random((trials, 12)) < random.beta(18, 2, (trials, 1))
    left = (good & whole[:, units_by_load] & well[:, units_by_parent]).sum(axis=1)
    share = float((left >= 9).mean())
    error = math.sqrt(share * (1 - share) / trials)
    assert chance(9, 12, 5, 3, Odds(18, 2, 0.1, 0.05)) == pytest.approx(share, abs=4 * error)


def test_certainty_is_a_wish() -> None:
    """A load in twenty lost and one load a stage: no spares carry three stages beyond 0.857."""
    sure_units = Odds(20, 0, 0.05, 0.0)
    stages = [chosen(need, load_holds=40, odds=sure_units, wish=0.97, restarts=0) for need in (1, 4, 12)]
    # Two loads a stage would do better, but are a bench day for less than five points.
    assert [one.started for one in stages] == [1, 4, 12]
    assert math.prod(one.chance for one in stages) == pytest.approx(0.857, abs=0.0005)
    most = math.prod(chance(4, started, 40, 0, sure_units) for started in (9, 9, 9))
    assert most == pytest.approx(0.95**3)


@given(st.integers(1, 300), st.integers(1, 40))
def test_units_are_split_evenly_over_the_fewest_parts(total: int, most: int) -> None:
    """As few parts as go, none too large, and no two that differ by more than one."""
    parts = split_evenly(total, most)
    assert sum(parts) == total
    assert len(parts) == math.ceil(total / most)
    assert max(parts) <= most
    assert max(parts) - min(parts) <= 1
    assert parts == sorted(parts, reverse=True)


# --- choose --------------------------------------------------------------------------------------------


def best(loads: int, need: int, load_holds: int, children: int, odds: Odds, wish: float) -> tuple[int, float]:
    """Fewest units in so many loads that reach the wish, else the fewest of the best chance; every count weighed."""
    at, reached = 0, 0.0
    for started in range(need, min(loads * load_holds, 2 * need + 1) + 1):
        got = chance(need, started, load_holds, children, odds)
        if got > reached + 1e-12:
            at, reached = started, got
        if got >= wish:
            break
    return at, reached


@given(small_stages, odds_of_anything, st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99]))
def test_choice_is_the_rule_written_out(stage: tuple[int, int, int], odds: Odds, wish: float) -> None:
    """Load after load, as long as each brings five points: what is skipped is never what would have been chosen."""
    need, load_holds, children = stage
    loads = math.ceil(need / load_holds)
    started, reached = best(loads, *stage, odds, wish)
    while reached < wish:
        for more in range(1, math.ceil((2 * need + 1) / load_holds) - loads + 1):
            bigger, gained = best(loads + more, *stage, odds, wish)
            if gained >= reached + more * 0.05:
                loads, started, reached = loads + more, bigger, gained
                break
        else:
            break
    found = chosen(need, load_holds, children, odds, 0, wish)
    assert found.chance == pytest.approx(reached, abs=1e-9)
    assert found.started == started


@given(small_stages, odds_of_anything, st.sampled_from([0.8, 0.9, 0.95, 0.99]))
def test_with_a_redo_the_cheapest_of_all_pairs_of_tries_is_chosen(
    stage: tuple[int, int, int], odds: Odds, wish: float
) -> None:
    """Every first try with every second one: further loads, a bench day for setting up again, twenty for nothing."""
    need, load_holds, children = stage
    least, ways = math.ceil(need / load_holds), []
    for loads in range(least, math.ceil((2 * need + 1) / load_holds) + 1):
        ways.append(best(loads, *stage, odds, wish))
        if 1 - (1 - ways[-1][1]) ** 2 >= wish:
            break
    second = [20.0] + [1 + more + 20 * (1 - reached) for more, (_, reached) in enumerate(ways)]
    costs = [
        min(more + (1 - reached) * failed for failed in second) for more, (_, reached) in enumerate(ways)
    ]
    found = chosen(need, load_holds, children, odds, 1, wish)
    place = next(more for more, (started, _) in enumerate(ways) if started == found.started)
    assert costs[place] == pytest.approx(min(costs), abs=1e-9)


@given(
    small_stages, odds_of_anything, st.lists(st.integers(0, 4), min_size=2, max_size=2), st.floats(0.5, 0.999)
)
def test_fewer_restarts_never_start_fewer(
    stage: tuple[int, int, int], odds: Odds, restarts: list[int], wish: float
) -> None:
    """The margin never falls as the chances for a restart fall."""
    few, many = (chosen(*stage, odds, left, wish) for left in sorted(restarts))
    assert few.started >= many.started
    assert few.chance >= many.chance - 1e-9


@given(small_stages, odds_of_anything, st.floats(0.5, 0.99), st.floats(0.5, 0.99))
def test_a_higher_wish_never_starts_fewer(
    stage: tuple[int, int, int], odds: Odds, one: float, other: float
) -> None:
    """Spares grow with the certainty that is wished."""
    need, load_holds, children = stage
    low, high = sorted((one, other))
    less = chosen(need, load_holds, children, odds, wish=low)
    more = chosen(need, load_holds, children, odds, wish=high)
    assert less.started <= more.started
    assert less.chance <= more.chance + 1e-9


@given(st.integers(1, 40), st.integers(1, 12), st.integers(0, 5), odds_of_anything, st.floats(0.5, 0.999))
def test_never_beyond_twice_the_need_and_one(
    need: int, load_holds: int, children: int, odds: Odds, wish: float
) -> None:
    """However bad the odds, a stage is started with at most twice its need and one."""
    assert need <= chosen(need, load_holds, children, odds, wish=wish).started <= 2 * need + 1


@given(small_stages, odds_of_anything, st.floats(0.5, 0.999))
def test_each_further_load_brings_five_points(stage: tuple[int, int, int], odds: Odds, wish: float) -> None:
    """Beyond the loads that the need takes anyway, every load is worth its bench day."""
    need, load_holds, children = stage
    found = chosen(need, load_holds, children, odds, wish=wish)
    bare_loads = math.ceil(need / load_holds)
    further = math.ceil(found.started / load_holds) - bare_loads
    without = max(
        chance(need, started, load_holds, children, odds)
        for started in range(need, min(bare_loads * load_holds, 2 * need + 1) + 1)
    )
    if further > 0:
        assert found.chance >= without + further * WORTH_A_BENCH_DAY - 1e-9


def test_a_load_that_is_cooked_anyway_is_filled() -> None:
    """One bag is needed and three fit: three are started, for material only."""
    assert chosen(1, load_holds=3).started == 3


def test_a_load_is_not_filled_for_its_own_sake() -> None:
    """What reaches the wish is enough."""
    assert chosen(1, load_holds=40, wish=0.9).started < 3


def test_spares_are_found_at_the_foot_of_the_curve() -> None:
    """80 bags in loads of four: one load more brings next to nothing, five together bring most of the chance."""
    odds = Odds(180, 20, 0.02, 0.03)
    assert chance(80, 84, 4, 4, odds) < chance(80, 80, 4, 4, odds) + WORTH_A_BENCH_DAY
    assert chosen(80, load_holds=4, children=4, odds=odds, wish=0.9).chance > 0.8


def test_the_redo_that_the_calendar_allows_saves_a_load() -> None:
    """With a second try in hand no further load is cooked, and the choice says why."""
    clean = Odds(38, 2, 0.02, 0.03)
    once, twice = (chosen(3, odds=clean, wish=0.9, restarts=restarts) for restarts in (0, 1))
    assert once.started > twice.started == 3
    assert twice.why == "with the redo that the calendar allows"
    assert twice.chance < 0.9 <= 1 - (1 - twice.chance) ** 2


def test_a_parent_may_give_no_more() -> None:
    """Where the culture starts two bottles at most, a third is not planned, and the choice says why."""
    found = chosen(1, load_holds=8, odds=Odds(18, 2, 0.0, 0.03), wish=0.999, most=2)
    assert found.started == 2
    assert found.why == "what it is made from allows no more"
    assert chosen(3, load_holds=8, most=1).started == 3, "the need itself is started all the same"


def test_why_says_what_held_spares_back() -> None:
    """Each reason for stopping is told apart."""
    assert chosen(5, wish=0.9).why == "wish reached"
    assert (
        chosen(1, load_holds=3, odds=Odds(5, 5, 0.0, 0.0), wish=0.99).why
        == "twice the need and one is the most"
    )
    assert chosen(5, load_holds=3, wish=0.9999).why == "another load would bring less than five points"


def test_shedding_goes_halfway_and_then_to_the_bare_need() -> None:
    """Half the spares go first (rounded down), then all; the chance falls with them, and it is said."""
    wished = chosen(18)
    halfway, bare = chosen(18, level="halfway"), chosen(18, level="bare")
    assert wished.started > 19
    assert halfway.started == 18 + (wished.started - 18) // 2
    assert bare.started == 18
    assert wished.chance > halfway.chance > bare.chance
    assert bare.why == halfway.why == "spares shed so that the season fits"
    assert bare.chance == chance(18, 18, 3, 2, Odds(18, 2, 0.02, 0.03))


@given(small_stages, st.integers(0, 4), odds_of_anything, st.floats(0, 0.5))
def test_higher_losses_never_raise_the_chance(
    stage: tuple[int, int, int], spare: int, odds: Odds, worse: float
) -> None:
    """Of single units, of whole loads and of parents, each by itself, with as many units started."""
    need, load_holds, children = stage
    lossy = (
        Odds(odds.good_a * (1 - worse), odds.good_b + odds.good_a * worse, odds.load_loss, odds.hidden),
        Odds(odds.good_a, odds.good_b, odds.load_loss + worse * (1 - odds.load_loss), odds.hidden),
        Odds(odds.good_a, odds.good_b, odds.load_loss, odds.hidden + worse * (1 - odds.hidden)),
    )
    usual = chance(need, need + spare, load_holds, children, odds)
    assert all(chance(need, need + spare, load_holds, children, one) <= usual + 1e-9 for one in lossy)


@given(small_stages, odds_of_anything, st.floats(0.5, 0.99), st.integers(1, 5))
def test_a_larger_need_never_starts_fewer(
    stage: tuple[int, int, int], odds: Odds, wish: float, more: int
) -> None:
    """Whoever needs more units starts at least as many, and at least what is needed."""
    need, load_holds, children = stage
    few, many = (chosen(n, load_holds, children, odds, wish=wish) for n in (need, need + more))
    assert need <= few.started <= many.started
