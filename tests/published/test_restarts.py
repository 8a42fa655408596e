"""Tries with restarts against the textbook's reject allowances."""

from collections.abc import Sequence
from math import comb

import pytest

from scheduler.science.restarts import tries
from tests.published.cited import cited


def binomial(share: float) -> "list[Sequence[float]]":
    """Chances of 0, 1, ... good items in runs of up to eight, each good with that chance."""
    return [
        [comb(lot, good) * share**good * (1 - share) ** (lot - good) for good in range(lot + 1)]
        for lot in range(9)
    ]


# One item is wanted; 300 for setting up a run (where there is one), 100 an item, 1600 if none is good in the end.
# Chance of a good item, runs, expected cost, and what may be started in each run while none is good.
ALLOWANCES = [
    cited("hillier-lieberman", "an item in two is good, three runs", 0.5, 3, 675.0, [(2,), (2, 3), (3, 4)]),
    cited("hillier-lieberman", "two items in three are good, two runs", 2 / 3, 2, 573.25, [(2,), (3,)]),
]


@pytest.mark.parametrize(("share", "runs", "cost", "lots"), ALLOWANCES)
def test_reject_allowances(share: float, runs: int, cost: float, lots: list[tuple[int, ...]]) -> None:
    """Expected cost and the lots of every run, those that cost the same included."""
    law = binomial(share)
    found = tries(
        1,
        runs - 1,
        lots=range(9),
        cost=lambda lot: 300.0 + 100.0 * lot if lot else 0.0,
        short=lambda missing: 1600.0 * missing,
        law=lambda lot: law[lot],
    )
    assert found[0].cost == pytest.approx(cost, abs=0.005)
    assert [one.lots for one in found] == lots
