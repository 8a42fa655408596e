"""The shape of ``profiles/weather.toml``: by which rules dates are read from daily temperatures.

What weather a planting waits for is put together here, from its species and its method, and nowhere else.
"""

from __future__ import annotations

from dataclasses import dataclass

from scheduler.trade.shapes import Figure, Frost, Method, Shape
from scheduler.trade.species import Species


class BudBreak(Shape):
    """Chilling, then warmth; `swell_before` is days from bud swell to bud break."""

    forcing: Figure
    base: Figure
    chill_hours: Figure
    chill_below: Figure
    swell_before: Figure


class LeafTurn(Shape):
    """Cold summed below `base` once daylight is shorter than `daylight`, until it reaches `need`."""

    daylight: Figure
    base: Figure
    need: Figure


class Thaw(Shape):
    """So many `days` in a row with a mean of at least `mean`."""

    mean: Figure
    days: Figure


class Cold(Shape):
    """So many `days` in a row at or below `mean`, and how long before that is the last planting day."""

    mean: Figure
    days: Figure
    planted_before: Figure


class Warm(Shape):
    """So many `days` in a row with highs of what the planting waits for."""

    days: Figure


class Heat(Shape):
    """So many `days` in a row too hot for the species; the longest and shortest window that is filled in."""

    days: Figure
    window: Figure
    least: Figure


class Rules(Shape):
    """How dates are read, and the risk at which they are taken."""

    risk: Figure
    freeze: Figure
    hard_freeze: Figure
    fewest_years: Figure
    short_record: Figure
    longest_gap: Figure
    bud_break: BudBreak
    leaf_turn: LeafTurn
    thaw: Thaw
    cold: Cold
    warm: Warm
    heat: Heat

    def night(self, frost: Frost) -> float:
        """How cold such a night is, in C."""
        return (self.freeze if frost == "freeze" else self.hard_freeze).likely


@dataclass(frozen=True)
class Conditions:
    """The weather that a planting is brought out in: highs from `day` to `hottest` in C, after a frost."""

    day: float
    hottest: float
    after: Frost | None


def conditions(species: Species, method: Method) -> Conditions:
    """What a species planted by a method waits for: the warmer days of the two, the frost of the method."""
    asks = method.planting
    day = species.planting.day.likely
    return Conditions(
        day=max(day, asks.day.likely) if asks.day else day,
        hottest=species.planting.hottest.likely,
        after=asks.after,
    )


class Weather(Shape):
    """The whole file."""

    rules: Rules
