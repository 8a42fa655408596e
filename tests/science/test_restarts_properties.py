"""Tries with restarts against every policy there is, what they tend to, and what never happens."""

import itertools
import math
from collections.abc import Callable, Mapping, Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.science.losses import beta_binomial_pmf
from scheduler.science.restarts import Try, tries

shapes = st.floats(0.3, 20)
costs = st.floats(0, 20)


def allowances(
    need: int, restarts: int, most: int, a: float, b: float, set_up: float, each: float, missed: float
) -> tuple[Try, ...]:
    """Tries of up to `most` beta-binomial units; nothing may be started too, at no cost."""
    return tries(
        need,
        restarts,
        lots=range(most + 1),
        cost=lambda lot: set_up + each * lot if lot else 0.0,
        short=lambda missing: missed * missing,
        law=lambda lot: beta_binomial_pmf(lot, a, b),
    )


def expected(
    policy: Mapping[tuple[int, int], int],
    need: int,
    left: int,
    cost: Callable[[int], float],
    short: Callable[[int], float],
    law: Sequence[Sequence[float]],
) -> float:
    """What it costs to follow a policy: the lot to start by tries left and units missing."""
    if not need:
        return 0.0
    if not left:
        return short(need)
    lot = policy[left, need]
    return cost(lot) + sum(
        chance * expected(policy, max(0, need - good), left - 1, cost, short, law)
        for good, chance in enumerate(law[lot])
    )


@given(st.integers(1, 2), st.integers(0, 1), shapes, shapes, costs, costs, st.floats(0, 200))
def test_no_policy_costs_less(
    need: int, restarts: int, a: float, b: float, set_up: float, each: float, missed: float
) -> None:
    """Every way to fix a lot for each number of tries left and of units missing, played out by its chances."""
    law = [beta_binomial_pmf(lot, a, b) for lot in range(4)]
    states = list(itertools.product(range(1, restarts + 2), range(1, need + 1)))
    cheapest = min(
        expected(
            dict(zip(states, lots, strict=True)),
            need,
            restarts + 1,
            lambda lot: set_up + each * lot if lot else 0.0,
            lambda missing: missed * missing,
            law,
        )
        for lots in itertools.product(range(4), repeat=len(states))
    )
    found = allowances(need, restarts, 3, a, b, set_up, each, missed)
    assert found[0].cost == pytest.approx(cheapest, abs=1e-9)


@given(st.integers(0, 6), shapes, shapes, costs, costs, st.floats(0, 500))
def test_the_margin_never_falls_as_the_chances_for_a_restart_fall(
    restarts: int, a: float, b: float, set_up: float, each: float, missed: float
) -> None:
    """While one good unit is missing, each later try is at least as large and as dear as the one before it."""
    found = allowances(1, restarts, 12, a, b, set_up, each, missed)
    for earlier, later in itertools.pairwise(found):
        assert earlier.lots[0] <= later.lots[0]
        assert earlier.lots[-1] <= later.lots[-1]
        assert earlier.cost <= later.cost + 1e-9


@given(st.integers(1, 4), st.integers(0, 4), shapes, shapes, costs, costs, st.floats(0, 200))
def test_a_restart_more_never_costs_more(
    need: int, restarts: int, a: float, b: float, set_up: float, each: float, missed: float
) -> None:
    """It need not be taken; and a larger need never costs less."""
    usual = allowances(need, restarts, 6, a, b, set_up, each, missed)[0].cost
    assert allowances(need, restarts + 1, 6, a, b, set_up, each, missed)[0].cost <= usual + 1e-9
    assert allowances(need + 1, restarts, 6, a, b, set_up, each, missed)[0].cost >= usual - 1e-9


@pytest.mark.parametrize(("good", "set_up", "each"), [(0.5, 3.0, 1.0), (0.3, 20.0, 1.0), (0.9, 1.0, 5.0)])
def test_with_restarts_without_end_it_is_the_best_lot_over_and_over(
    good: float, set_up: float, each: float
) -> None:
    """Tries of one size until one unit is good: (set-up + units) / chance of success, whatever a miss costs."""
    steady = min((set_up + each * lot) / (1 - (1 - good) ** lot) for lot in range(1, 30))
    found = tries(
        1,
        400,
        lots=range(1, 30),
        cost=lambda lot: set_up + each * lot,
        short=lambda _: 1000.0,
        law=lambda lot: ((1 - good) ** lot, 1 - (1 - good) ** lot),
    )
    assert found[0].cost == pytest.approx(steady, rel=1e-9)


def test_limits() -> None:
    """What is sure is made once, in the amount needed; what a miss does not repay is not made."""
    assert allowances(5, 2, 9, 1.0, 0.0, 2.0, 1.0, 100.0)[-1] == Try(7.0, (5,))
    assert allowances(5, 2, 9, 1.0, 1.0, 2.0, 1.0, 0.0)[0] == Try(0.0, (0,))
    assert allowances(2, 3, 9, 0.0, 1.0, 2.0, 1.0, 100.0)[0] == Try(200.0, (0,))
    alone = allowances(1, 0, 40, 1.0, 1.0, 0.0, 1e-9, 1e9)[0]
    assert alone.lots == (40,)
    for need, restarts, lots in ((0, 0, (1,)), (1, -1, (1,)), (1, 0, ())):
        with pytest.raises(ValueError, match="no tries"):
            tries(need, restarts, lots=lots, cost=float, short=float, law=lambda lot: (1.0,))


def test_one_more_unit_wanted_is_not_one_more_try() -> None:
    """What a try leaves missing is all that the next one makes: two wanted, one came, one is made."""
    found = tries(
        2, 1, lots=(0, 1, 2), cost=float, short=lambda missing: 50.0 * missing, law=lambda lot: _half(lot)
    )
    assert found[1].lots == (2,)
    # 2 started: 1/4 both (0), 1/2 one (then 2 for one, missed one time in four), 1/4 none (then two, one missed).
    assert found[0].cost == pytest.approx(2 + 0.5 * (2 + 50 / 4) + 0.25 * (2 + 50 * 1.0))


def _half(lot: int) -> list[float]:
    return [math.comb(lot, good) / 2**lot for good in range(lot + 1)]
