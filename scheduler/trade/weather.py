"""The shape of ``profiles/weather.toml``: by which rules dates are read from daily temperatures."""

from __future__ import annotations

from scheduler.trade.shapes import Figure, Shape


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


class Heat(Shape):
    """So many `days` in a row of at least `day`; the longest and shortest window that is filled in."""

    day: Figure
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
    heat: Heat


class Opens(Shape):
    """What a method's spring window waits for: `days` as warm as `day`, or the last night at `night`."""

    day: Figure | None = None
    days: Figure | None = None
    night: Figure | None = None


class Weather(Shape):
    """The whole file; `opens` is by method name."""

    rules: Rules
    opens: dict[str, Opens]
