"""How long the yard work of a planting takes a piece: spare logs and heavy loads counted in, by station.

The solver reckons in whole minutes a piece. Felling, bucking and hauling are one work to it, so they are
rounded up together, from the end: what is left to the grower by whoever fells is never too little, and no
minute is added twice.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from scheduler.lines.shapes import YardPart, YardStep
from scheduler.trade.shapes import Figure, Method, Part, Step

FELLING_KINDS = ("fell", "buck", "haul")
"""Kinds of work that bring the wood: spare logs go through them, and through nothing after."""


def spares(method: Method, pieces: int, spare_from: float) -> int:
    """Logs felled beyond the need: the method's share of them, at least one from so many pieces on."""
    share = method.figures.get("spare_share")
    if share is None or not share.likely:
        return 0
    return max(1 if pieces >= spare_from else 0, math.floor(share.likely * pieces + 0.5))


def counted_among(things: int, pieces: int, before: int, count: int) -> int:
    """Of `things` for all pieces, those of `count` after `before` others; the first pieces have them."""
    return -(-things * (before + count) // pieces) + (-things * before // pieces)


def trips(groups: Iterable[tuple[int, float]], cart_kg: float) -> int:
    """Trips of a cart for groups of (count, kg each); whole pieces, and one at least."""
    return sum(math.ceil(count / max(1, math.floor(cart_kg / mass))) for count, mass in groups if mass > 0)


def steps(
    method: Method, pieces: int, *, more: int = 0, scale: float = 1.0, trip_minutes: float = 0.0
) -> tuple[YardStep, ...]:
    """The steps of a planting of so many pieces, and `more` to fell, each of `scale` times a full piece.

    `trip_minutes` are those of all trips with a cart: they count where they are more than the haul's own.
    """
    found: list[YardStep] = []
    later, whole = 0.0, 0
    for step in reversed(method.steps):
        factor, fixed = scale, step.fixed_minutes.likely / pieces if step.fixed_minutes else 0.0
        exact = step.minutes.likely * factor + fixed
        minutes = math.ceil(exact)
        if step.kind in FELLING_KINDS:
            factor *= (pieces + more) / pieces
            if step.kind == "haul":
                factor = max(factor, trip_minutes / pieces / step.minutes.likely)
            later += step.minutes.likely * factor + fixed
            minutes = math.ceil(later - _NOISE) - whole
            whole += minutes
        found.append(
            YardStep(
                kind=step.kind,
                minutes_per_piece=minutes,
                drill_per_piece=math.ceil(step.drill.likely * scale) if step.drill else 0,
                parts=tuple(_part(part, factor) for part in step.parts or (_whole(step),)),
                set_up=_spread(step.fixed_minutes, 1.0) if step.fixed_minutes else (0.0, 0.0, 0.0),
                set_up_what=step.set_up,
            )
        )
    return tuple(reversed(found))


_NOISE = 1e-9
"""Minutes that come of adding fractions and not of work."""


def _whole(step: Step) -> Part:
    """A step that its profile does not split is one station."""
    return Part(station=step.kind, what="", minutes=step.minutes, holds="drill" if step.drill else None)


def _part(part: Part, factor: float) -> YardPart:
    low, likely, high = _spread(part.minutes, factor)
    return YardPart(
        station=part.station,
        what=part.what,
        low=low,
        likely=likely,
        high=high,
        holds=part.holds or "",
        ahead=part.ahead.what if part.ahead else "",
        ahead_minutes=round(part.ahead.minutes.likely) if part.ahead else 0,
    )


def _spread(figure: Figure, factor: float) -> tuple[float, float, float]:
    return figure.lowest * factor, figure.likely * factor, figure.highest * factor
