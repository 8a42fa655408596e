"""Which part of the pieces each bag of spawn is for: in a row, in proportion to what the bags hold."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate


def parts(amounts: Sequence[float]) -> list[tuple[float, float]]:
    """Where the part of each amount begins and ends, between 0 and 1: of 1 and 3 at 0, 0.25 and 1."""
    total = sum(amounts)
    ends = [reached / total for reached in accumulate(amounts)]
    return list(zip([0.0, *ends], ends, strict=False))


def pieces(amounts: Sequence[float], count: int) -> list[tuple[int, int]]:
    """First and last of `count` whole pieces, from 1, that each amount is for.

    Each amount has a piece and each piece an amount; where there are fewer pieces than amounts, several
    amounts go to the same piece.
    """
    many = len(amounts)
    if many > count:
        return [(place * count // many + 1,) * 2 for place in range(many)]
    found, last = [], 0
    for number, (_, end) in enumerate(parts(amounts), start=1):
        first, last = last + 1, min(max(round(end * count), last + 1), count - (many - number))
        found.append((first, last))
    return found
