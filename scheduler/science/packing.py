"""How many packs of which size: as little left over as the sizes allow, and then as few packs as will do."""

from __future__ import annotations

from collections.abc import Sequence

from scheduler.science.rounding import whole_up


def packs_for(need: float, sizes: Sequence[float]) -> tuple[int, ...]:
    """Packs of each size that hold at least `need`: the least in all, then the fewest packs.

    Sizes (positive, in the unit of the need) stand in any order. ``packs_for(21, (5, 25))`` is ``(0, 1)``.
    """
    by_size = sorted(range(len(sizes)), key=lambda place: -sizes[place])
    _, _, counts = _least(need, [sizes[place] for place in by_size])
    found = dict(zip(by_size, counts, strict=True))
    return tuple(found[place] for place in range(len(sizes)))


def _least(need: float, sizes: Sequence[float]) -> tuple[float, int, tuple[int, ...]]:
    """What is bought in all, in how many packs, and how many of each size, the largest size first."""
    largest, *smaller = sizes
    most = max(0, whole_up(need / largest))
    if not smaller:
        return most * largest, most, (most,)
    ways = []
    for count in range(most, -1, -1):
        amount, packs, counts = _least(need - count * largest, smaller)
        # Rounded, so that two ways to the same amount are equal and the fewer packs decide.
        ways.append((round(amount + count * largest, 6), packs + count, (count, *counts)))
    return min(ways, key=lambda way: way[:2])
