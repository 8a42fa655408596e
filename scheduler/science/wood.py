"""How a felled log dries, and until which day it is still fit for planting.

Only water leaves a log between felling and planting, so its moisture follows from the share of the fresh mass
it has lost. Losses are a share of the fresh mass a week, by season.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import accumulate

from scheduler.science.rounding import NOISE

_NORTHERN = ("winter",) * 3 + ("spring",) * 2 + ("summer",) * 3 + ("spring",) * 2 + ("winter",) * 2
"""Drying season of January to December in the north: cool spring stands for autumn too."""


def moisture_after(fresh_pct: float, mass_loss_share: float) -> float:
    """Percent moisture of a log that has lost a share of its fresh mass, never below zero."""
    if mass_loss_share >= fresh_pct / 100:
        return 0.0
    return (fresh_pct - 100 * mass_loss_share) / (1 - mass_loss_share)


def mass_loss_at(fresh_pct: float, moisture_pct: float) -> float:
    """Share of its fresh mass a log has lost when it is down to `moisture_pct`; zero where it is fresher."""
    return max(0.0, 1 - (100 - fresh_pct) / (100 - moisture_pct))


def weekly_loss_by_month(latitude: float, winter: float, spring: float, summer: float) -> tuple[float, ...]:
    """Mass loss a week for January to December, in the unit of the three seasonal figures.

    In the north winter is November to March and summer June to August; cool spring covers the months between
    on either side. In the south everything lies six months later.
    """
    loss = {"winter": winter, "spring": spring, "summer": summer}
    north = tuple(loss[season] for season in _NORTHERN)
    return north if latitude >= 0 else north[6:] + north[:6]


def cumulative_loss(months: Sequence[int], weekly_by_month: Sequence[float], factor: float) -> list[float]:
    """Share of fresh mass lost before each day, counted from day 0, for wood that lies from day 0.

    `months` holds the month (1 to 12) of each day; `weekly_by_month` are shares, and `factor` scales them
    (small logs dry faster). The loss between two days is the difference of their entries.
    """
    daily = [weekly_by_month[month - 1] / 7 * factor for month in months]
    return list(accumulate(daily[:-1], initial=0.0))


def latest_use(cumulative: Sequence[float], start: int, loss_limit: float) -> int:
    """Last day index on which wood felled on day `start` has lost at most `loss_limit` of its mass."""
    return bisect_right(cumulative, cumulative[start] + loss_limit + NOISE, lo=start) - 1


def latest_use_table(cumulative: Sequence[float], loss_limit: float) -> dict[int, int]:
    """`latest_use` for every start day."""
    return {start: latest_use(cumulative, start, loss_limit) for start in range(len(cumulative))}
