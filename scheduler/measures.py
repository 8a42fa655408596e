"""Amounts in words, metric or imperial: ``1.2 kg`` or ``2 lb 10 oz``, ``1 h 30``, ``92 %``, ``2 loads``.

Millilitres stay millilitres: syringes and culture bottles are marked in them everywhere.

Factors are the exact definitions of the international pound and inch and of the US gallon.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction
from typing import Literal

Units = Literal["metric", "imperial"]

GRAMS_PER_OUNCE = 28.349523125
LITRES_PER_QUART = 0.946352946
CM_PER_INCH = 2.54
SQUARE_FEET_PER_M2 = 10.763910417
OUNCES_PER_POUND = 16
WHOLE_POUNDS_FROM_OUNCES = 20 * OUNCES_PER_POUND
INCHES_PER_FOOT = 12
QUARTS_PER_GALLON = 4


def number(value: float) -> str:
    """A number as a person writes it: at most three figures that count, no trailing zeros."""
    if abs(value) >= 100:
        return f"{value:.0f}"
    return f"{value:.3g}" if abs(value) >= 1 or value == 0 else f"{value:.2g}"


def _tenths(value: float) -> str:
    return f"{value:.0f}" if value >= 100 else f"{value:.1f}".removesuffix(".0")


def counted(count: int, word: str) -> str:
    """``1 load``, ``2 loads``, ``2 bags of dowels``."""
    if count == 1:
        return f"{count} {word}"
    head, of, rest = word.partition(" of ")
    return f"{count} {head}s{of}{rest}"


def mass(grams: float, units: Units) -> str:
    """A mass: grams below a kilogram; two figures of ounces below ten, whole pounds from 20 lb on."""
    if units == "metric":
        return f"{grams:.0f} g" if round(grams) < 1000 else f"{_tenths(grams / 1000)} kg"
    if grams < 10 * GRAMS_PER_OUNCE:
        return f"{float(f'{grams / GRAMS_PER_OUNCE:.2g}'):g} oz"
    ounces = round(grams / GRAMS_PER_OUNCE)
    if ounces >= WHOLE_POUNDS_FROM_OUNCES:
        return f"{ounces / OUNCES_PER_POUND:.0f} lb"
    pounds, rest = divmod(ounces, OUNCES_PER_POUND)
    if not pounds:
        return f"{rest} oz"
    return f"{pounds} lb {rest} oz" if rest else f"{pounds} lb"


def volume(litres: float, units: Units) -> str:
    """A volume: millilitres below a litre; fluid ounces, quarts and, from one on, gallons (US)."""
    if units == "metric":
        return f"{number(litres * 1000)} mL" if round(litres * 1000) < 1000 else f"{_tenths(litres)} L"
    quarts = litres / LITRES_PER_QUART
    if quarts < 1:
        return f"{number(quarts * 32)} fl oz"
    gallons = quarts / QUARTS_PER_GALLON
    return f"{_tenths(quarts)} qt" if gallons < 1 else f"{_tenths(gallons)} gal"


def length(cm: float, units: Units) -> str:
    """A length: metres from 1 m on, feet from 4 ft on."""
    if units == "metric":
        return f"{number(cm)} cm" if cm < 100 else f"{number(cm / 100)} m"
    inches = cm / CM_PER_INCH
    return (
        f"{number(inches)} in" if inches < 4 * INCHES_PER_FOOT else f"{number(inches / INCHES_PER_FOOT)} ft"
    )


def spacing(along_cm: float, around_cm: float, units: Units) -> str:
    """A hole pattern, along the log by around it: ``15 x 5 cm``."""
    if units == "metric":
        return f"{number(along_cm)} x {number(around_cm)} cm"
    return f"{_tenths(along_cm / CM_PER_INCH)} x {_tenths(around_cm / CM_PER_INCH)} in"


def rain(mm: float, units: Units) -> str:
    """Rain to the millimetre, or to a tenth of an inch."""
    return f"{mm:.0f} mm" if units == "metric" else f"{_tenths(mm / 10 / CM_PER_INCH)} in"


def bore(mm: float, units: Units) -> str:
    """Diameter or depth of a hole: ``8.5 mm``, or to a sixteenth of an inch, ``5/16 in``, ``1 1/4 in``."""
    if units == "metric":
        return f"{number(mm)} mm"
    whole, rest = divmod(round(mm / 10 / CM_PER_INCH * 16), 16)
    parts = [str(whole)] * bool(whole or not rest) + [str(Fraction(rest, 16))] * bool(rest)
    return f"{' '.join(parts)} in"


def area(m2: float, units: Units) -> str:
    """An area in m2 or square feet."""
    return f"{number(m2)} m2" if units == "metric" else f"{number(m2 * SQUARE_FEET_PER_M2)} sq ft"


def pieces(grams: float, takes_g: float, piece: str) -> float:
    """Whole pieces that so many grams do for at `takes_g` each; of a bed (m2) tenths."""
    parts = 10 if piece == "m2" else 1
    return math.floor(grams / takes_g * parts + 1e-9) / parts


def temperature(celsius: float, units: Units) -> str:
    """A temperature to the degree, C or F."""
    return f"{celsius:.0f} C" if units == "metric" else f"{celsius * 9 / 5 + 32:.0f} F"


def duration(minutes: float) -> str:
    """Minutes as ``45 min``, ``2 h`` or ``1 h 30``."""
    hours, rest = divmod(round(minutes), 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest:02d}" if rest else f"{hours} h"


def between(low: float, high: float) -> str:
    """Fewest and most minutes: ``3 h to 7 h 05``."""
    return duration(low) if round(low) == round(high) else f"{duration(low)} to {duration(high)}"


def chance(share: float) -> str:
    """A chance in whole percent that never promises certainty."""
    percent = round(share * 100)
    if percent >= 100:
        return "over 99 %"
    return f"{percent} %" if percent else "under 1 %"


_MEASURED: dict[str, Callable[[float, Units], str]] = {
    "g": mass,
    "kg": lambda value, units: mass(value * 1000, units),
    "ml": lambda value, units: volume(value / 1000, "metric"),
    "l": volume,
    "cm": length,
    "m": lambda value, units: length(value * 100, units),
    "m2": area,
    "c": temperature,
    "min": lambda value, units: duration(value),
}


def quantity(value: float, unit: str, units: Units) -> str:
    """So much of anything: measured units are converted, everything else is counted (``12 bags``)."""
    measured = _MEASURED.get(unit.lower())
    if measured:
        return measured(value, units)
    counted = unit.removesuffix("s") if value == 1 else unit
    return f"{number(value)} {counted}".strip()


def amount(item: str, value: float, unit: str, units: Units) -> str:
    """So much of something: ``900 g rye``, ``2 portions of dry medium``, ``16 x label``."""
    if unit == "pieces":
        return f"{number(value)} x {item}"
    return f"{quantity(value, unit, units)} {'of ' if unit == 'portions' else ''}{item}"
