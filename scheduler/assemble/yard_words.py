"""What a yard task says of its work beside its title: minutes by station, how far they spread, tools."""

from __future__ import annotations

import math
from collections.abc import Iterable

from scheduler import measures
from scheduler.lines.shapes import YardStep
from scheduler.measures import Units
from scheduler.plan import Tool
from scheduler.trade.shapes import Method


def spread(step: YardStep, pieces: int, of: int, minutes: int) -> tuple[int, int]:
    """Fewest and most minutes for so many of all pieces; never less at most than the `minutes` planned."""
    share = pieces / of
    low, _, high = (
        sum(each) * pieces + once * share
        for each, once in zip(
            zip(*((part.low, part.likely, part.high) for part in step.parts), strict=True),
            step.set_up,
            strict=True,
        )
    )
    return min(minutes, math.floor(low)), max(minutes, math.ceil(high))


def stations(step: YardStep, pieces: int, of: int) -> list[str]:
    """One line for each station: what is done there, and how long that takes."""
    rows: list[tuple[str, float, float, float, float]] = [
        (part.what, part.low, part.likely, part.high, pieces) for part in step.parts if part.what
    ]
    if step.set_up_what:
        rows.insert(0, (step.set_up_what, *step.set_up, pieces / of))
    return [
        f"{what}: {measures.duration(likely * times)} "
        f"({measures.between(math.floor(low * times), math.ceil(high * times))})."
        for what, low, likely, high, times in rows
    ]


def tools(method: Method, kinds: Iterable[str], spawn: str, units: Units) -> tuple[Tool, ...]:
    """What has to be at hand for some kinds of a method's work, each thing once."""
    wanted = set(kinds)
    found: dict[str, str] = {}
    for tool in method.tools:
        if wanted.isdisjoint(tool.kinds) or (tool.spawn and spawn not in tool.spawn):
            continue
        size = f", {measures.bore(method.figures[tool.size].likely, units)}" if tool.size else ""
        item = f"{tool.item}{size}"
        found[item] = f"{found[item]}; {tool.use}" if item in found else tool.use
    return tuple(Tool(item, use) for item, use in found.items())
