"""What is known of the logs of a planting: how they dry, how moist they were when felled, what one weighs."""

from __future__ import annotations

from dataclasses import dataclass

from scheduler.lines.demand import mass_kg
from scheduler.science import wood
from scheduler.season.season import Planting, Standing
from scheduler.trade.catalogue import UNKNOWN_WOOD_KG_M3, Catalogue
from scheduler.trade.shapes import Figure

UNKNOWN_WOOD_MOISTURE = 45.0
"""Percent of wet mass of freshly felled wood that the catalogue does not know (common practice)."""


@dataclass(frozen=True)
class Band:
    """A value that is known roughly; masses in kg, moistures in percent of the wet mass."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True)
class Weights:
    """Between which weights a log of a planting can lie, by its size and by a weight that it once had."""

    pieces: int
    """How many logs there are."""
    lightest_g: float
    """Dry wood of the thinnest log, as much thinner than the season says as logs are."""
    heaviest_g: float
    """The thickest log, as much thicker, with every hollow full of water."""
    driest: float
    """Share of its weight when fresh that a log has with no water in it."""
    wettest: float
    """The same with every hollow full of water."""
    soaked: float
    """Times its dry wood that a log weighs with every hollow full of water."""


def has_logs(planting: Planting | Standing, catalogue: Catalogue) -> bool:
    """Whether a planting is made with logs that are felled for it, and not on stumps or chips."""
    return catalogue.methods[planting.method].wood == "logs"


def fresh_moisture(planting: Planting, catalogue: Catalogue) -> Band:
    """Percent moisture of a planting's wood when it is felled."""
    shape = catalogue.woods.get(planting.wood or "")
    if shape is None:
        return Band(UNKNOWN_WOOD_MOISTURE, UNKNOWN_WOOD_MOISTURE, UNKNOWN_WOOD_MOISTURE)
    return _band(shape.fresh_moisture)


def weekly_loss(latitude: float | None, catalogue: Catalogue) -> tuple[tuple[float, ...], ...]:
    """Shares of its fresh mass that wood loses a week, for January to December: slow, likely and fast."""
    rules = catalogue.wood_rules
    figures = (rules.loss_winter, rules.loss_spring, rules.loss_summer)
    rates = zip(*((one.lowest, one.likely, one.highest) for one in figures), strict=True)
    return tuple(
        wood.weekly_loss_by_month(latitude or 0.0, winter / 100.0, spring / 100.0, summer / 100.0)
        for winter, spring, summer in rates
    )


def drying_factor(planting: Planting, catalogue: Catalogue) -> float:
    """Times the usual loss at which a planting's thinnest logs dry."""
    rules = catalogue.wood_rules
    thinnest = min(group.diameter_cm for group in planting.groups)
    return rules.small_log_factor.likely if thinnest < rules.small_log_diameter.likely else 1.0


def fresh_mass(planting: Planting, catalogue: Catalogue) -> Band:
    """Kg of one log when it is felled, by its size and the density of its wood.

    Low and high are those of the thinnest and the thickest group, likely is the mean of all logs.
    """
    masses = [mass_kg(group, planting, catalogue) for group in planting.groups]
    total = sum(group.count * mass for group, mass in zip(planting.groups, masses, strict=True))
    density = _density(planting, catalogue)
    return Band(
        min(masses) * density.low / density.likely,
        total / _count(planting),
        max(masses) * density.high / density.likely,
    )


def weights(planting: Planting, catalogue: Catalogue) -> Weights:
    """Between which weights the logs of a planting can lie."""
    rules = catalogue.wood_rules
    size, fresh = fresh_mass(planting, catalogue), fresh_moisture(planting, catalogue)
    play = rules.size_play.likely
    # The lighter the wood, the more water it holds for each kg of it.
    lightest = wood.dry_mass(_density(planting, catalogue).low, fresh.high)
    soaked = 1 / (1 - wood.waterlogged(lightest, rules.wood_substance.likely) / 100)
    return Weights(
        pieces=_count(planting),
        lightest_g=1000 * wood.dry_mass(size.low, fresh.high) * (1 - play) ** 2,
        heaviest_g=1000 * wood.dry_mass(size.high, fresh.low) * soaked * (1 + play) ** 2,
        driest=1 - fresh.high / 100,
        wettest=(1 - fresh.low / 100) * soaked,
        soaked=soaked,
    )


def _density(planting: Planting, catalogue: Catalogue) -> Band:
    shape = catalogue.woods.get(planting.wood or "")
    if shape is None:
        return Band(UNKNOWN_WOOD_KG_M3, UNKNOWN_WOOD_KG_M3, UNKNOWN_WOOD_KG_M3)
    return _band(shape.green_density)


def _count(planting: Planting) -> int:
    return sum(group.count for group in planting.groups)


def _band(figure: Figure) -> Band:
    return Band(figure.lowest, figure.likely, figure.highest)
