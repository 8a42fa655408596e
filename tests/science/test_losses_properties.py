"""Laws of survival, and the exact answer against plain enumeration."""

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.science.losses import (
    beta_binomial_pmf,
    beta_from,
    chance_at_least,
    fewest_started,
    survivors,
    with_restarts,
)

shapes = st.floats(0.2, 60)
shares = st.floats(0, 1)
small_groups = st.lists(st.lists(st.integers(0, 3), min_size=0, max_size=4), min_size=1, max_size=4)


def enumerate_survivors(
    groups: list[list[int]], a: float, b: float, load_loss: float, hidden: float
) -> list[float]:
    """Every fate of every load and parent, one by one."""
    parents = max((len(row) for row in groups), default=0)
    pmf = [0.0] * (sum(map(sum, groups)) + 1)
    for fates in itertools.product((True, False), repeat=len(groups) + parents):
        loads, well = fates[: len(groups)], fates[len(groups) :]
        chance = math.prod(1 - load_loss if whole else load_loss for whole in loads)
        chance *= math.prod(1 - hidden if healthy else hidden for healthy in well)
        spared = sum(
            units
            for row, whole in zip(groups, loads, strict=True)
            if whole
            for j, units in enumerate(row)
            if well[j]
        )
        for good, share in enumerate(beta_binomial_pmf(spared, a, b)):
            pmf[good] += chance * share
    return pmf


@given(small_groups, shapes, shapes, shares, shares)
def test_survivors_are_those_of_enumeration(
    groups: list[list[int]], a: float, b: float, load_loss: float, hidden: float
) -> None:
    """Loads and parents in any arrangement, parents across loads included, give the enumerated chances."""
    expected = enumerate_survivors(groups, a, b, load_loss, hidden)
    assert survivors(groups, a, b, load_loss, hidden) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(
    "groups",
    [
        [[2, 1, 1]],
        [[1], [2], [1], [1]],
        [[2, 1, 0], [0, 1, 2], [1, 0, 1]],
        [[1, 1, 1, 1], [1, 1, 1, 1]],
        [[1, 1], [1, 1], [1, 1], [1, 1]],
        [[0, 3], [], [2]],
        [[]],
    ],
)
def test_survivors_of_telling_arrangements(groups: list[list[int]]) -> None:
    """One load, one parent, a chain across loads, wide and tall blocks and gaps are all exact."""
    expected = enumerate_survivors(groups, 17.5, 3.5, 0.1, 0.2)
    assert survivors(groups, 17.5, 3.5, 0.1, 0.2) == pytest.approx(expected, abs=1e-12)


def test_a_full_season_of_loads_is_quick_to_count() -> None:
    """Sixty bags of thirty jars in fifteen loads, jars across loads, add up to one without enumerating fates."""
    groups = [[0] * 30 for _ in range(15)]
    for bag in range(60):
        groups[bag // 4][bag // 2 if bag % 8 else 0] += 1
    pmf = survivors(groups, 18, 2, 0.02, 0.03)
    assert len(pmf) == 61 and math.fsum(pmf) == pytest.approx(1, abs=1e-9)
    expected = 60 * 0.98 * 0.97 * 0.9
    assert math.fsum(good * p for good, p in enumerate(pmf)) == pytest.approx(expected, abs=1e-9)


@given(st.integers(0, 8), shapes, shapes, shares, shares)
def test_one_load_of_one_parent(n: int, a: float, b: float, load_loss: float, hidden: float) -> None:
    """With one load and one parent the chances are the beta-binomial ones, shrunk by both losses."""
    spared = (1 - load_loss) * (1 - hidden)
    expected = [spared * p for p in beta_binomial_pmf(n, a, b)]
    expected[0] += 1 - spared
    assert survivors([[n]], a, b, load_loss, hidden) == pytest.approx(expected, abs=1e-12)


def test_spreading_over_loads_helps_only_against_load_losses() -> None:
    """Two loads beat one when half is needed, and change nothing when loads and parents are never lost."""
    one, two = [[8]], [[4, 0], [0, 4]]
    assert chance_at_least(survivors(two, 18, 2, 0.1, 0.05), 4) > chance_at_least(
        survivors(one, 18, 2, 0.1, 0.05), 4
    )
    assert survivors(two, 18, 2, 0, 0) == pytest.approx(survivors(one, 18, 2, 0, 0), abs=1e-12)


@given(st.integers(0, 60), shapes, shapes)
def test_chances_add_up(n: int, a: float, b: float) -> None:
    """The chances sum to one, fall as the need rises, and have the mean of the Beta law."""
    pmf = beta_binomial_pmf(n, a, b)
    assert len(pmf) == n + 1 and math.fsum(pmf) == pytest.approx(1, abs=1e-9)
    tails = [chance_at_least(pmf, need) for need in range(-1, n + 2)]
    assert tails == sorted(tails, reverse=True) and tails[0] == pytest.approx(1) and tails[-1] == 0
    assert math.fsum(x * p for x, p in enumerate(pmf)) == pytest.approx(n * a / (a + b), abs=1e-6)


def test_sure_units() -> None:
    """A loss rate of nought keeps all, a rate of one keeps none."""
    assert beta_binomial_pmf(3, *beta_from(1, 20)) == [0, 0, 0, 1]
    assert beta_binomial_pmf(3, *beta_from(0, 20)) == [1, 0, 0, 0]


@given(st.floats(0, 1), st.floats(0.1, 100))
def test_prior_has_the_mean_and_weight_asked_for(mean: float, weight: float) -> None:
    """a / (a + b) is the mean and a + b the weight."""
    a, b = beta_from(mean, weight)
    assert a + b == pytest.approx(weight) and a == pytest.approx(mean * weight)


@pytest.mark.parametrize(("mean", "weight"), [(1.2, 10), (-0.1, 10), (0.5, 0)])
def test_impossible_priors_are_refused(mean: float, weight: float) -> None:
    """A mean outside 0..1 and a weight of nought are ValueErrors."""
    with pytest.raises(ValueError, match="no Beta law"):
        beta_from(mean, weight)


@given(st.integers(0, 12), shapes, shapes, st.floats(0.05, 0.99))
def test_fewest_started_is_the_smallest(need: int, a: float, b: float, wish: float) -> None:
    """The number found reaches the wish, one fewer does not, and None means that the most does not either."""

    def chance(started: int) -> float:
        return chance_at_least(beta_binomial_pmf(started, a, b), need)

    started = fewest_started(need, a, b, wish, 40)
    if started is None:
        assert chance(40) < wish
    else:
        assert need <= started <= 40 and chance(started) >= wish
        assert started == need or chance(started - 1) < wish


@given(st.floats(0, 1), st.integers(0, 5))
def test_restarts_never_hurt(p: float, restarts: int) -> None:
    """Each restart adds to the chance, and none leaves it as it is."""
    assert with_restarts(p, 0) == pytest.approx(p, abs=1e-12)
    assert with_restarts(p, restarts) <= with_restarts(p, restarts + 1) <= 1


@pytest.mark.parametrize("groups", [[[2] * 25] * 3, [[2] * 3] * 25])
def test_parents_all_over_the_loads_can_be_counted(groups: list[list[int]]) -> None:
    """Many parents over few loads and few parents over many loads do not take a step for each fate of the many."""
    pmf = survivors(groups, 18, 2, 0.02, 0.03)
    mean = math.fsum(good * p for good, p in enumerate(pmf))
    assert mean == pytest.approx(150 * 0.98 * 0.97 * 0.9, abs=1e-9)


@given(st.integers(0, 12), shapes, shapes, st.floats(0.05, 0.99), st.floats(0, 1), st.integers(0, 5))
def test_more_is_started_for_more_loss_need_or_certainty(
    need: int, a: float, b: float, wish: float, worse: float, more: int
) -> None:
    """A higher loss rate (of the same weight), a larger need and a higher wish each never take fewer units."""

    def started(of: int = need, lost: float = 0.0, sure: float = wish) -> float:
        found = fewest_started(of, a * (1 - lost), b + a * lost, sure, 60)
        return math.inf if found is None else found

    usual = started()
    assert started(lost=worse) >= usual
    assert started(of=need + more) >= usual
    assert started(sure=wish + worse * (0.999 - wish)) >= usual


@given(small_groups, shapes, shapes, shares, shares, shares, st.integers(0, 12))
def test_survivors_fall_with_every_loss(
    groups: list[list[int]], a: float, b: float, load_loss: float, hidden: float, worse: float, need: int
) -> None:
    """Of units, of loads and of parents: whatever is lost more often never leaves more."""

    def left(lost: float = 0.0, load: float = load_loss, parent: float = hidden) -> float:
        return chance_at_least(survivors(groups, a * (1 - lost), b + a * lost, load, parent), need)

    usual = left() + 1e-9
    assert left(lost=worse) <= usual
    assert left(load=load_loss + worse * (1 - load_loss)) <= usual
    assert left(parent=hidden + worse * (1 - hidden)) <= usual
