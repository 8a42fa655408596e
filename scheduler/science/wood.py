"""How a felled log dries, until which day it is fit for planting, and how moist it is by its weight.

Only water leaves a log between felling and planting, so its moisture follows from the share of the fresh mass
it has lost. Losses are a share of the fresh mass a week, by season. That holds for the first year or so after
planting too; later the fungus has eaten so much of the wood that a log is moister than its weight says.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import accumulate
from typing import Literal

from scheduler.science.rounding import NOISE

DryingSeason = Literal["winter", "spring", "summer"]

_NORTHERN: tuple[DryingSeason, ...] = (
    *("winter",) * 3, *("spring",) * 2, *("summer",) * 3, *("spring",) * 2, *("winter",) * 2,
)  # fmt: skip
"""Drying season of January to December in the north: cool spring stands for autumn too."""


def moisture_after(fresh_pct: float, mass_loss_share: float) -> float:
    """Percent moisture of a log that has lost a share of its fresh mass, never below zero."""
    if mass_loss_share >= fresh_pct / 100:
        return 0.0
    return (fresh_pct - 100 * mass_loss_share) / (1 - mass_loss_share)


def mass_loss_at(fresh_pct: float, moisture_pct: float) -> float:
    """Share of its fresh mass a log has lost when it is down to `moisture_pct`; zero where it is fresher."""
    return max(0.0, 1 - (100 - fresh_pct) / (100 - moisture_pct))


def moisture_at(mass: float, dry_mass: float) -> float:
    """Percent moisture of a log by its mass and that of the dry wood in it; zero where it is no heavier.

    With ``dry_mass = W0 (1 - LMC0)`` it is the log moisture now by a starting weight W0 at a moisture LMC0:
    ``LMC = 1 - W0 (1 - LMC0) / W``. Both masses are in one unit, and above zero.
    """
    return max(0.0, 100 * (1 - dry_mass / mass))


def dry_mass(mass: float, moisture_pct: float) -> float:
    """Mass of the dry wood in a log of a mass and moisture, in the unit of the mass."""
    return mass * (1 - moisture_pct / 100)


def dried(moisture_pct: float, fresh_pct: float, lost: float) -> float:
    """Percent moisture once wood of a moisture has lost a further share `lost` of its *fresh* mass.

    `fresh_pct` is its moisture when it was felled, by which rates of drying are told; below zero is no wood.
    """
    mass_now = (100 - fresh_pct) / (100 - moisture_pct)
    return moisture_after(moisture_pct, lost / mass_now)


def days_down_to(
    moisture_pct: float, fresh_pct: float, limit_pct: float, cumulative: Sequence[float]
) -> int | None:
    """Days until wood of a moisture on day 0 is below `limit_pct`; 0 where it is, None where it stays above.

    `cumulative` is the share of fresh mass that is lost before each day from day 0 on (`cumulative_loss`).
    """
    if moisture_pct < limit_pct:
        return 0
    dry = 100 - fresh_pct
    room = dry / (100 - moisture_pct) - dry / (100 - limit_pct)
    day = bisect_right(cumulative, cumulative[0] + room + NOISE)
    return day if day < len(cumulative) else None


Condition = Literal["dead risk", "danger", "below target", "good", "best"]
"""What a moisture means for the mycelium, from the driest on."""


def condition(moisture_pct: float, lethal: float, danger: float, floor: float, best: float) -> Condition:
    """What a moisture means, by the thresholds below which it is each of the first four.

    Univ. Kentucky FOR-82: mycelium cannot survive below 23 %, ideal from 35 %. Ohio State F-0041: it may die
    below 25 %; keep above 30 %.
    """
    bounds: tuple[tuple[float, Condition], ...] = (
        (lethal, "dead risk"),
        (danger, "danger"),
        (floor, "below target"),
        (best, "good"),
    )
    return next((word for bound, word in bounds if moisture_pct < bound), "best")


def lost_too_much(mass: float, starting_mass: float, limit_pct: float) -> bool:
    """Whether a log has lost more than `limit_pct` of its starting weight, so that it is watered.

    The rule of Univ. Kentucky FOR-83; its example, 35 lb that have become 29 lb, has lost 17 %.
    """
    return mass < starting_mass * (1 - limit_pct / 100) * (1 - NOISE)


def is_dry_week(rain_mm: float, enough_mm: float) -> bool:
    """Whether the rain of seven days is less than what keeps logs moist (Univ. Kentucky FOR-82: an inch)."""
    return rain_mm < enough_mm


def waterlogged(dry_kg_m3: float, substance_kg_m3: float) -> float:
    """Percent moisture of wood whose every hollow is full of water.

    `dry_kg_m3` is dry mass by fresh volume, `substance_kg_m3` the density of cell walls: what they leave of a
    cubic metre holds water.
    """
    water = 1000 * (1 - dry_kg_m3 / substance_kg_m3)
    return 100 * water / (dry_kg_m3 + water)


def drying_seasons(latitude: float) -> tuple[DryingSeason, ...]:
    """The season by which wood dries in January to December.

    In the north winter is November to March and summer June to August; cool spring covers the months between
    on either side. In the south everything lies six months later.
    """
    return _NORTHERN if latitude >= 0 else _NORTHERN[6:] + _NORTHERN[:6]


def weekly_loss_by_month(latitude: float, winter: float, spring: float, summer: float) -> tuple[float, ...]:
    """Mass loss a week for January to December, in the unit of the three seasonal figures."""
    loss = {"winter": winter, "spring": spring, "summer": summer}
    return tuple(loss[season] for season in drying_seasons(latitude))


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
