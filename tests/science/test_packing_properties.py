"""Packs against counting every way of buying them."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.science.packing import packs_for

SIZES = st.lists(st.sampled_from([1.0, 2.0, 5.0, 7.5, 10.0, 25.0]), min_size=1, max_size=3, unique=True)


@given(need=st.floats(0, 60), sizes=SIZES)
def test_packs_are_the_least_of_all_ways(need: float, sizes: list[float]) -> None:
    """What is bought is enough, no way of buying is less, and none of as little takes fewer packs."""
    counts = packs_for(need, sizes)
    amount = sum(count * size for count, size in zip(counts, sizes, strict=True))
    assert amount >= need - 1e-6
    ways = product(*(range(int(need // size) + 2) for size in sizes))
    enough = [
        (sum(c * s for c, s in zip(way, sizes, strict=True)), sum(way))
        for way in ways
        if sum(c * s for c, s in zip(way, sizes, strict=True)) >= need - 1e-9
    ]
    least, fewest = min(enough)
    assert amount <= least + 1e-6
    if amount == pytest.approx(least):
        assert sum(counts) <= fewest


@given(need=st.floats(0, 500), more=st.floats(0, 100), sizes=SIZES)
def test_more_is_never_bought_as_less(need: float, more: float, sizes: list[float]) -> None:
    """A larger need is never met with a smaller amount."""

    def amount(of: float) -> float:
        return sum(count * size for count, size in zip(packs_for(of, sizes), sizes, strict=True))

    assert amount(need + more) >= amount(need) - 1e-6


@pytest.mark.parametrize(
    ("need", "sizes", "packs"),
    [
        (0.0, (5, 25), (0, 0)),
        (0.4, (5, 25), (1, 0)),
        (21.0, (5, 25), (0, 1)),
        (26.0, (5, 25), (1, 1)),
        (50.0, (25, 5), (2, 0)),
        (30.000000000001, (15,), (2,)),
    ],
)
def test_packs_by_hand(need: float, sizes: tuple[float, ...], packs: tuple[int, ...]) -> None:
    """Bags of grain and pellets as they are counted with pencil and paper; noise buys no bag."""
    assert packs_for(need, sizes) == packs
