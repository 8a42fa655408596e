"""From the size of a planting to grams of spawn, and the water, wood and chips that go with it.

Every figure (densities, depths, rates) is an argument: the catalogue has them with their sources. Lengths are
cm unless the name says mm, moisture is percent of wet mass.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from scheduler.science.rounding import whole_down


def rows(diameter_cm: float, around_cm: float) -> int:
    """Rows of holes around a log: girth over row spacing, to the nearest whole number, at least one."""
    return max(1, round(math.pi * diameter_cm / around_cm))


def holes_per_row(length_cm: float, along_cm: float) -> int:
    """Holes in one row along a log: as many whole spacings as its length holds."""
    return whole_down(length_cm / along_cm)


def holes(diameter_cm: float, length_cm: float, along_cm: float, around_cm: float) -> int:
    """Holes in one log drilled `along_cm` by `around_cm`."""
    return rows(diameter_cm, around_cm) * holes_per_row(length_cm, along_cm)


def hole_grams(diameter_mm: float, depth_mm: float, density_g_ml: float) -> float:
    """Grams of spawn that fill one drilled hole at a packing density."""
    return _disc_ml(diameter_mm / 10, depth_mm) * density_g_ml


def totem_grams(diameter_cm: float, layers: int, layer_depth_mm: float, density_g_ml: float) -> float:
    """Grams of spawn between the pieces of one totem: layers x cut face x depth x packing density."""
    return layers * _disc_ml(diameter_cm, layer_depth_mm) * density_g_ml


def stump_grams(diameter_cm: float, layer_depth_mm: float, density_g_ml: float) -> float:
    """Grams of spawn for one stump: a single layer on the cut face, under the disc that is put back."""
    return _disc_ml(diameter_cm, layer_depth_mm) * density_g_ml


def raft_area_m2(groups: Iterable[tuple[int, float, float]]) -> float:
    """Ground covered by logs lying side by side; groups are (count, diameter_cm, length_cm)."""
    return math.fsum(count * diameter * length for count, diameter, length in groups) / 10_000


def bed_grams(area_m2: float, kg_per_m2: float) -> float:
    """Grams of spawn for a bed or raft at a rate per area."""
    return area_m2 * kg_per_m2 * 1000


def chip_litres(area_m2: float, depth_cm: float) -> float:
    """Litres of chips for a bed of that depth."""
    return area_m2 * depth_cm * 10


def log_mass_kg(diameter_cm: float, length_cm: float, density_kg_m3: float) -> float:
    """Mass of a round log at its density with bark."""
    return _disc_ml(diameter_cm, length_cm * 10) * density_kg_m3 / 1_000_000


def water_to_add(dry_kg: float, moisture_now_pct: float, moisture_wanted_pct: float) -> float:
    """Litres of water that bring `dry_kg` of pellets or sawdust, weighed as bought, to the wanted moisture.

    (Mt - M0) / (1 - Mt) for each kg; nothing where it is that wet already.
    """
    wanted = moisture_wanted_pct - moisture_now_pct
    return max(0.0, dry_kg * wanted / (100 - moisture_wanted_pct))


def pellets_for(wet_kg: float, moisture_now_pct: float, moisture_wanted_pct: float) -> float:
    """Kg of pellets, weighed as bought, in `wet_kg` of wetted substrate."""
    return wet_kg * (100 - moisture_wanted_pct) / (100 - moisture_now_pct)


def units_fed(parent: float, feed: float) -> int:
    """Units that one parent unit can inoculate at `feed` each, both in g or both in mL."""
    return whole_down(parent / feed)


def _disc_ml(diameter_cm: float, depth_mm: float) -> float:
    """Millilitres of a round disc, hole or log."""
    return math.pi / 4 * diameter_cm**2 * depth_mm / 10
