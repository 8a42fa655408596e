"""Which bag is for which logs: in a row, nothing twice and nothing left out."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.science.sharing import parts, pieces

AMOUNTS = st.lists(st.floats(100, 5000), min_size=1, max_size=12)


@given(AMOUNTS)
def test_parts_are_the_whole(amounts: list[float]) -> None:
    """They follow one another from 0 to 1, each as large as its amount."""
    found = parts(amounts)
    assert found[0][0] == 0 and found[-1][1] == pytest.approx(1)
    assert all(before[1] == after[0] for before, after in pairwise(found))
    for amount, (low, high) in zip(amounts, found, strict=True):
        assert high - low == pytest.approx(amount / sum(amounts))


@given(AMOUNTS, st.integers(1, 80))
def test_every_piece_and_every_bag_has_its_turn(amounts: list[float], count: int) -> None:
    """Each bag has a piece, each piece a bag; a piece is shared only where there are more bags than pieces."""
    found = pieces(amounts, count)
    assert len(found) == len(amounts)
    assert found[0][0] == 1 and found[-1][1] == count
    for before, after in pairwise(found):
        assert after[0] in ((before[1], before[1] + 1) if len(amounts) > count else (before[1] + 1,))
    assert all(first <= last for first, last in found)


@given(st.integers(1, 10), st.integers(1, 80))
def test_equal_bags_go_equally_far(bags: int, count: int) -> None:
    """No bag has two pieces more than another of the same size."""
    sizes = [last - first + 1 for first, last in pieces([2300.0] * bags, count)]
    assert max(sizes) - min(sizes) <= 1


def test_twenty_logs_from_three_bags() -> None:
    """Seven, six and seven; a bag of half the size has half as many."""
    assert pieces([2300, 2300, 2300], 20) == [(1, 7), (8, 13), (14, 20)]
    assert pieces([2300, 1150, 2300], 20) == [(1, 8), (9, 12), (13, 20)]
    assert pieces([2300, 2300, 2300], 2) == [(1, 1), (1, 1), (2, 2)]
