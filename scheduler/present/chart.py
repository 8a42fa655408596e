"""A curve of chances over days in plain characters, for a page of any width."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from scheduler.chances import StartPoint
from scheduler.workdays import MONTHS

ROWS = 10
"""Rows above the axis; each is a tenth."""
LABEL = 6
LEAST = 20
"""Columns that a curve is never narrower than."""


def curve(points: Sequence[StartPoint], width: int, indent: int, wished: float) -> list[str]:
    """The curve, with a dotted line at the chance that is wished for; empty without points.

    A column stands for the days from the one before; the lowest chance among the starts that fall into it is
    drawn, so that what looks safe is.
    """
    if not points:
        return []
    first, last = points[0].start, points[-1].start
    columns = max(LEAST, min(width - indent - LABEL - 2, (last - first).days + 1))
    chances = [_chance(points, day) for day in _days(first, last, columns)]
    lines = []
    for row in range(ROWS, -1, -1):
        label = f"{100 * row // ROWS:3d} %"
        dotted = row == round(wished * ROWS)
        cells = "".join(
            "o" if round(chance * ROWS) == row else "." if dotted and column % 2 else " "
            for column, chance in enumerate(chances)
        )
        lines.append((" " * indent + f"{label:>{LABEL}} |{cells}").rstrip())
    lines.append(" " * (indent + LABEL + 1) + "+" + "-" * columns)
    lines.append((" " * (indent + LABEL + 2) + _months(_days(first, last, columns))).rstrip())
    return lines


def _days(first: date, last: date, columns: int) -> list[date]:
    """Last day that each column stands for."""
    span = (last - first).days
    return [first + timedelta(days=round(span * column / (columns - 1))) for column in range(columns)]


def _chance(points: Sequence[StartPoint], day: date) -> float:
    """The chance of a start on a day: that of the next start there is."""
    return next((point.chance for point in points if point.start >= day), points[-1].chance)


def _months(days: Sequence[date]) -> str:
    """Names of the months below the first column of each, as far as there is room."""
    line = ""
    for column, day in enumerate(days):
        begins = column == 0 or day.month != days[column - 1].month
        if begins and len(line) < column + (column == 0) and column + 3 <= len(days):
            line = line.ljust(column) + MONTHS[day.month - 1]
    return line
