"""Reads quantities as growers write them, metric or imperial: ``13 cm``, ``5 in``, ``68 F``, ``15 x 5 cm``.

The unit registry holds only what a season file can need, and pint is imported at the first quantity,
without the array libraries that it would load.
"""

from __future__ import annotations

import re
import sys
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from typing import TYPE_CHECKING, Literal

from scheduler.season.wrong import Wrong, shown

if TYPE_CHECKING:
    from pint import UnitRegistry

Measure = Literal["length", "area", "volume", "mass", "pressure", "temperature", "time"]

EXAMPLES: dict[Measure, str] = {
    "length": 'a length such as "13 cm", "5 in" or "310 m"',
    "area": 'an area such as "6 m2" or "50 ft2"',
    "volume": 'a volume such as "200 L" or "50 gal"',
    "mass": 'a mass such as "1.7 kg" or "4 lb"',
    "pressure": 'a pressure such as "15 psi" or "1 bar"',
    "temperature": 'a temperature such as "20 C" or "68 F"',
    "time": 'a number of days such as "14 d"',
}
"""What is allowed, by measure; the same words stand in every message."""

# Names are lower case, because the text is lowered before it is looked up. Volumes are US measure.
_UNITS = """
metre = [length] = m = metres = meter = meters
centimetre = 0.01 * metre = cm = centimetres = centimeter = centimeters
millimetre = 0.001 * metre = mm = millimetres = millimeter = millimeters
inch = 0.0254 * metre = in = inches
foot = 12 * inch = ft = feet
yard = 3 * foot = yd = yards
square_metre = metre ** 2 = m2 = sq_m = sqm = square_metres = square_meter = square_meters
square_foot = foot ** 2 = ft2 = sq_ft = sqft = square_feet
square_yard = yard ** 2 = yd2 = sq_yd = square_yards
litre = 0.001 * metre ** 3 = l = litres = liter = liters
millilitre = 0.001 * litre = ml = cc = millilitres = milliliter = milliliters
cubic_metre = metre ** 3 = m3 = cubic_metres = cubic_meter = cubic_meters
cubic_foot = foot ** 3 = ft3 = cu_ft = cubic_feet
gallon = 3.785411784 * litre = gal = gallons
quart = gallon / 4 = qt = quarts
fluid_ounce = gallon / 128 = fl_oz = fluid_ounces
gram = [mass] = g = grams
kilogram = 1000 * gram = kg = kilograms
pound = 453.59237 * gram = lb = lbs = pounds
ounce = pound / 16 = oz = ounces
pascal = [pressure] = pa
kilopascal = 1000 * pascal = kpa
bar = 100000 * pascal = bars
psi = 6894.757293168 * pascal = pounds_per_square_inch
kelvin = [temperature] = K
celsius = kelvin; offset: 273.15 = c = degc = deg_c = degrees_c
fahrenheit = 5 / 9 * kelvin; offset: 255.3722222222222 = f = degf = deg_f = degrees_f
day = [time] = d = days
week = 7 * day = wk = weeks
"""

KNOWN: dict[tuple[str, str], float] = {
    ("m", "m"): 1.0,
    ("cm", "cm"): 1.0,
    ("m", "cm"): 100.0,
    ("mm", "cm"): 0.1,
    ("m2", "m2"): 1.0,
    ("l", "l"): 1.0,
    ("ml", "l"): 0.001,
    ("ml", "ml"): 1.0,
    ("l", "ml"): 1000.0,
    ("g", "g"): 1.0,
    ("kg", "g"): 1000.0,
    ("psi", "psi"): 1.0,
    ("c", "degc"): 1.0,
    ("d", "day"): 1.0,
    ("day", "day"): 1.0,
    ("days", "day"): 1.0,
    ("in", "cm"): 2.54,
    ("ft", "m"): 0.3048,
    ("ft", "cm"): 30.48,
    ("ft2", "m2"): 0.09290304,
    ("lb", "g"): 453.59237,
    ("gal", "l"): 3.785411784,
}
"""What a written unit stands for in the one that is asked for, where that is exact by definition and often
written: the library that converts all others takes a tenth of a command to load."""

_BASE: dict[Measure, str] = {
    "length": "metre",
    "area": "square_metre",
    "volume": "litre",
    "mass": "gram",
    "pressure": "pascal",
    "temperature": "kelvin",
    "time": "day",
}

_NUMBER = r"([-+]?\d+(?:\.\d+)?)"
_QUANTITY = re.compile(rf"{_NUMBER}\s*([^\d\s.,].*)")
_SPACING = re.compile(rf"{_NUMBER}\s*([^\d\s.,].*?)?\s*[x×]\s*{_NUMBER}\s*([^\d\s.,].*)", re.IGNORECASE)
_VULGAR = re.compile("[\u00bc-\u00be\u2150-\u215e]")
_FRACTION = re.compile(r"(?:(\d{1,4})[\s-]+)?(\d{1,3})/([1-9]\d{0,2})\s*([^\d\s].{0,20})")
_UNIT = re.compile(r"[a-z][a-z0-9_]*")
_SPELLINGS = {"°": "", "º": "", "^": "", "″": "in", "”": "in", '"': "in", "′": "ft", "’": "ft", "'": "ft"}


@contextmanager
def _without(*libraries: str) -> Iterator[None]:
    """Inside, these look as if they were not installed, where they are not loaded already."""
    hidden = [name for name in libraries if name not in sys.modules]
    sys.modules.update(dict.fromkeys(hidden))  # type: ignore[arg-type]
    try:
        yield
    finally:
        for name in hidden:
            del sys.modules[name]


@cache
def _registry() -> UnitRegistry[float]:
    # Wherever it finds them pint loads both, for arrays that no season file has: numpy alone would take a
    # sixth of the time of a check, Dask more than all the rest.
    with _without("numpy", "dask"):
        from pint import UnitRegistry

    registry: UnitRegistry[float] = UnitRegistry(None)
    registry.load_definitions(_UNITS.strip().splitlines())
    return registry


def quantity(value: object, measure: Measure, unit: str) -> float:
    """Reads a quantity and turns it into `unit` (a name of the registry, such as ``cm`` or ``degc``).

    Raises `Wrong` where it is no text, has no unit, or the unit measures something else.
    """
    parts = _QUANTITY.fullmatch(_short(value))
    if parts is None:
        raise Wrong(shown(value), EXAMPLES[measure], _likely(value))
    return _converted(float(parts[1]), parts[2], value, measure, unit)


def spacing(value: object, unit: str) -> tuple[float, float]:
    """Reads two lengths, ``15 x 5 cm`` or ``6 in x 2 in``: along the log, then between rows.

    Raises `Wrong` as `quantity` does.
    """
    parts = _SPACING.fullmatch(_short(value))
    if parts is None:
        raise Wrong(
            shown(value), 'a spacing along the log and between rows such as "15 x 5 cm" or "6 x 2 in"'
        )
    first, first_unit, second, second_unit = parts.groups()
    return (
        _converted(float(first), first_unit or second_unit, value, "length", unit),
        _converted(float(second), second_unit, value, "length", unit),
    )


def amount(value: object) -> tuple[float, Literal["mL", "g"]]:
    """Reads what is in hand: a volume of liquid in mL or a mass in g. Raises `Wrong` as `quantity` does."""
    allowed = 'an amount such as "12 mL" of liquid culture or "1.7 kg" of grain or spawn'
    try:
        return quantity(value, "volume", "ml"), "mL"
    except Wrong:
        pass
    try:
        return quantity(value, "mass", "g"), "g"
    except Wrong as wrong:
        raise Wrong(wrong.found, allowed, wrong.hint) from None


def _short(value: object) -> str:
    # No quantity is longer; what is no text at all is read as an empty one.
    return value.strip()[:60] if isinstance(value, str) else ""


def _converted(number: float, unit_text: str, value: object, measure: Measure, unit: str) -> float:
    name = _unit_name(unit_text)
    if (name, unit) in KNOWN:
        return round(number * KNOWN[name, unit], 6)
    if (name, unit) == ("f", "degc"):
        return round((number - 32) / 1.8, 6)
    registry = _registry()
    from pint import DimensionalityError, UndefinedUnitError

    try:
        if not _UNIT.fullmatch(name):
            raise UndefinedUnitError(name)
        given = registry.Quantity(number, name)
        return round(float(given.to(unit).magnitude), 6)
    except UndefinedUnitError:
        hint = _likely(value)
        unknown = "" if hint else f": no known unit {shown(unit_text)}"
        raise Wrong(shown(value) + unknown, EXAMPLES[measure], hint) from None
    except DimensionalityError:
        other = next(
            (kind for kind, base in _BASE.items() if given.is_compatible_with(base)), "other quantity"
        )
        raise Wrong(f"{shown(value)} is {_with_article(other)}", EXAMPLES[measure]) from None


def _unit_name(text: str) -> str:
    lowered = unicodedata.normalize("NFKC", text).lower().rstrip(".")
    for spelling, plain in _SPELLINGS.items():
        lowered = lowered.replace(spelling, plain)
    return "_".join(lowered.replace(".", " ").split())


def _with_article(noun: str) -> str:
    return f"{'an' if noun[0] in 'aeiou' else 'a'} {noun}"


def _likely(value: object) -> str:
    """The hint for a quantity that is written in another way; an empty text where nothing comes to mind."""
    text = _short(value)
    plain = _VULGAR.sub(lambda one: " " + unicodedata.normalize("NFKC", one[0]), text).replace("\u2044", "/")
    fraction = _FRACTION.fullmatch(plain.strip())
    if fraction:
        whole, above, below, unit = fraction.groups()
        number = int(whole or 0) + int(above) / int(below)
        return f'did you mean "{number:g} {_unit_name(unit).replace("_", " ")}"?'
    if re.match(r"\d{1,3}(,\d{3})+(?![\d,])", text):
        return "leave out the comma; a decimal is written with a point"
    if re.match(r"\d+,\d", text):
        return "write a decimal point, not a comma"
    if re.match(r"[\d.]+\s*[^\d\s]*\s*(-|\u2013|to\b)\s*\d", text):
        return "write one number, such as the middle of the two"
    if isinstance(value, int | float) or re.fullmatch(_NUMBER, text):
        return "write the number together with its unit, in quotes"
    return ""
