"""A planting that was put off, as a change of what the season file says."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from scheduler.plan import Rewrite
from scheduler.season.days import period
from scheduler.season.notation import Document, block, blocks, toml
from scheduler.season.wrong import Wrong


def put_off(document: Document, planting: str, until: date) -> Iterator[Rewrite]:
    """The window from a day on; one that would be over is moved as it is, and its best span with it.

    A best span that would be over before its window gives way to all that is left of the window.
    Nothing where the planting has no window that can be read: the file's own fault is said elsewhere.
    """
    table = next((one for one in blocks(document, "planting") if one.get("name") == planting), {})
    try:
        first, last = period(table.get("window"))
    except Wrong:
        return
    if until <= first:
        return
    end = last if until <= last else until + (last - first)
    place = block("planting", planting)
    yield Rewrite(f"{place}: window", toml(table["window"]), toml(f"{until}/{end}"))
    if "best" not in table:
        return
    try:
        best = period(table["best"])
    except Wrong:
        return
    if until > last:
        best = (best[0] + (until - first), best[1] + (until - first))
    left = toml(f"{max(until, best[0])}/{best[1]}") if until <= best[1] <= end else None
    yield Rewrite(f"{place}: best", toml(table["best"]), left)
