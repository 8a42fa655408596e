"""Where things stand in a row of the season's picture: letters apart from one another, bars between them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from scheduler.present.season_marks import FRAME

HAIR = 0.5
"""What is thinner is not drawn."""


def months(first: date, last: date) -> Iterator[date]:
    """The first day of each month of the picture; of the one it begins in too."""
    month = first.replace(day=1)
    while month <= last:
        yield month
        month = (month + timedelta(days=32)).replace(day=1)


def apart(wished: Sequence[float], gap: float) -> list[float]:
    """Places in order, as near to the wished ones as they can be and `gap` apart: crowds spread evenly."""
    crowds: list[tuple[float, int]] = []  # sum of where each wishes its crowd to begin, and how many they are
    for number, x in enumerate(wished):
        total, many = x - number * gap, 1
        while crowds and crowds[-1][0] / crowds[-1][1] > total / many:
            before, of = crowds.pop()
            total, many = total + before, many + of
        crowds.append((total, many))
    begins = [total / many for total, many in crowds for _ in range(many)]
    return [begin + number * gap for number, begin in enumerate(begins)]


def free(left: float, right: float, places: Sequence[float]) -> Iterator[tuple[float, float]]:
    """What is left of a bar between frames."""
    for x in places:
        begin, end = x - FRAME / 2, x + FRAME / 2
        if begin > left and min(begin, right) - left > HAIR:
            yield left, min(begin, right)
        left = max(left, end)
    if right - left > HAIR:
        yield left, right
