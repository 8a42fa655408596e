"""Water, mass and spawn rates of grain and substrate against printed recipes."""

from __future__ import annotations

import pytest

from scheduler.science.quantities import pellets_for, units_fed, water_to_add
from scheduler.trade.catalogue import load
from tests.published.cited import cited

LAB = load().lab
POUND_KG = 0.45359237
NATIVE_PCT = 11
"""Moisture of dry grain: 8 to 12 % are printed."""


@pytest.mark.parametrize(
    ("rye_g", "water_ml", "moisture_pct"),
    [
        cited("stamets-1993", "pint bottle, p. 130", 100, 150, 60),
        cited("stamets-1993", "quart jar, p. 130", 200, 200, 50),
        cited("stamets-1993", "gallon jar, p. 130", 800, 600, 43),
    ],
)
def test_water_for_rye_as_the_book_counts(rye_g: float, water_ml: float, moisture_pct: float) -> None:
    """The printed water brings the rye, counted as dry, to the printed moisture."""
    low, high = (water_to_add(rye_g, 0, moisture_pct + half) for half in (-0.5, 0.5))
    # Printed in whole percents.
    assert low < water_ml < high


@pytest.mark.parametrize(
    ("rye_g", "water_ml", "moisture_pct"),
    [
        cited("stamets-1993", "quart jar with the grain's own water", 200, 200, 55),
        cited("stamets-1993", "spawn bag with the grain's own water, p. 131", 3300, 1400, 37),
    ],
)
def test_water_for_rye_with_its_own_water(rye_g: float, water_ml: float, moisture_pct: float) -> None:
    """Rye at 11 % that takes the printed water is truly wetter than the book counts."""
    low, high = (water_to_add(rye_g, NATIVE_PCT, moisture_pct + half) for half in (-0.6, 0.6))
    # 55.5 and 37.5 %, printed without the half.
    assert low < water_ml < high


@pytest.mark.parametrize(
    ("jar", "rye_g", "water_ml", "gypsum_g"),
    [
        cited("stamets-1993", "quart jar, 401 g", "quart jar", 200, 200, 1),
        cited("stamets-1993", "spawn bag, 4712 g", "4.8 kg bag", 3300, 1400, 12),
    ],
)
def test_a_recipe_fits_its_container(jar: str, rye_g: float, water_ml: float, gypsum_g: float) -> None:
    """What the recipe weighs lies in the band of the container."""
    grain = LAB.container[jar].grain
    assert grain is not None
    whole = rye_g + water_ml + gypsum_g
    assert grain.lowest <= whole <= grain.highest


@pytest.mark.parametrize(
    ("spawn_lb", "dry_share_pct"),
    [
        cited("stamets-1993", "30 lb of spawn for 1000 lb, p. 128", 30, 1.5),
        cited("stamets-1993", "70 lb of spawn for 1000 lb, p. 128", 70, 3.5),
    ],
)
def test_dry_share_of_bought_spawn(spawn_lb: float, dry_share_pct: float) -> None:
    """Grain spawn at 50 % moisture is half dry: 30 to 70 lb in 1000 lb of dry substrate are 1.5 to 3.5 %."""
    assert pellets_for(spawn_lb, 0, 50) / 1000 * 100 == pytest.approx(dry_share_pct, abs=1e-9)


@pytest.mark.parametrize(
    ("parent", "feed", "fed"),
    [
        cited("stamets-1993", "a quart makes five half-gallons at 1:10, p. 126", 1, 2 / 10, 5),
        cited("stamets-1993", "two steps of 1:10, p. 138", 1, 1 / 10 / 10, 100),
        cited("stamets-1993", "the least of a master, five times, p. 123", 1, 1 / 5, 5),
        cited("stamets-1993", "the most of a master, twenty times, p. 123", 1, 1 / 20, 20),
        cited("stamets-1993", "half a gallon of 0.9 kg makes four 5 lb bags", 0.9, 5 * POUND_KG * 0.099, 4),
    ],
)
def test_expansion(parent: float, feed: float, fed: int) -> None:
    """One unit of spawn makes so many of the next."""
    assert units_fed(parent, feed) == fed


def test_the_catalogue_expands_as_the_book_does() -> None:
    """Grain to grain goes 5 to 20 times, usually tenfold (Stamets 1993, p. 123 and 126) [stamets-1993]."""
    expands = LAB.culture.children_per_grain
    assert (expands.lowest, expands.likely, expands.highest) == (5, 10, 20)
