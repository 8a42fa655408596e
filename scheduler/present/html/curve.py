"""The curve of the chance against the start, drawn in the ink of its page."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from xml.etree.ElementTree import Element, SubElement, tostring

from markupsafe import Markup

from scheduler import measures
from scheduler.chances import StartPoint
from scheduler.present.dates import Dates
from scheduler.present.svg import add, figure, line, text
from scheduler.workdays import MONTHS

WIDE, HIGH, LEFT, TOP, BELOW = 640.0, 260.0, 46.0, 14.0, 30.0
SIZE, NAME = 13, 32
STEP = 20
"""Percent between two lines."""


def drawn(points: Sequence[StartPoint], wished: float, today: date) -> Markup:
    """The curve as SVG: a step for each start, and a dashed line at the chance that is wished for."""
    first, last = points[0].start, points[-1].start
    days = max(1, (last - first).days)

    def x(day: date) -> float:
        return LEFT + (WIDE - LEFT - 6) * (day - first).days / days

    def y(chance: float) -> float:
        return TOP + (HIGH - TOP - BELOW) * (1 - chance)

    root = Element("svg", {"viewBox": f"0 0 {WIDE:g} {HIGH:g}", "role": "img", "fill": "currentColor"})
    SubElement(root, "title").text = _told(points, Dates(today))
    for percent in range(0, 101, STEP):
        line(root, LEFT, y(percent / 100), WIDE, y(percent / 100), 0.18)
        text(root, f"{percent} %", LEFT - 6, y(percent / 100) + 4, SIZE, anchor="end")
    line(root, LEFT, y(wished), WIDE, y(wished), 0.8, dashes="2 4")
    for month in _months(first, last):
        line(root, x(month), TOP, x(month), HIGH - BELOW, 0.18)
        if WIDE - x(month) > NAME:
            text(root, MONTHS[month.month - 1], x(month) + 2, HIGH - 10, SIZE)
    # The chance of a start on a day is that of the next start that was played.
    path = [f"M{figure(x(first))} {figure(y(points[0].chance))}"]
    path += [f"V{figure(y(point.chance))}H{figure(x(point.start))}" for point in points[1:]]
    add(root, "path", d="".join(path), fill="none", stroke="currentColor", stroke_width=3)
    # The library escapes every text and attribute.
    return Markup(tostring(root, encoding="unicode"))


def _told(points: Sequence[StartPoint], words: Dates) -> str:
    """The curve in words: every start at which it changes by a tenth or more."""
    told = [points[0]]
    for point in points:
        if abs(point.chance - told[-1].chance) >= 0.1:
            told.append(point)
    return "Chance of all plantings by the first start: " + ", ".join(
        f"{measures.chance(point.chance)} from {words.day(point.start)}" for point in told
    )


def _months(first: date, last: date) -> list[date]:
    found, month = [], first.replace(day=1)
    while month <= last:
        if month >= first:
            found.append(month)
        month = (month + timedelta(days=32)).replace(day=1)
    return found
