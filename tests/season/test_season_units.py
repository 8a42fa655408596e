"""Quantities as growers write them."""

from __future__ import annotations

import pytest

from scheduler.season import units
from scheduler.season.units import amount, quantity, spacing
from scheduler.season.wrong import Wrong

# Conversions: NIST Special Publication 811 (2008), appendix B; 1 US gallon = 3.785411784 L, 1 psi = 6.894757 kPa.
READ = [
    ("13 cm", "length", "cm", 13),
    ("13cm", "length", "cm", 13),
    ("130 mm", "length", "cm", 13),
    ("5 in", "length", "cm", 12.7),
    ('5"', "length", "cm", 12.7),
    ("5 inches", "length", "cm", 12.7),
    ("4 ft", "length", "cm", 121.92),
    ("4'", "length", "cm", 121.92),
    ("2 yards", "length", "m", 1.8288),
    ("1.2 m", "length", "cm", 120),
    ("310 m", "length", "m", 310),
    ("1000 feet", "length", "m", 304.8),
    ("-3 m", "length", "m", -3),
    ("6 m2", "area", "m2", 6),
    ("6 m²", "area", "m2", 6),
    ("6 m^2", "area", "m2", 6),
    ("6 sq m", "area", "m2", 6),
    ("50 ft2", "area", "m2", 4.645152),
    ("50 sq ft", "area", "m2", 4.645152),
    ("50 sq. ft.", "area", "m2", 4.645152),
    ("50 square feet", "area", "m2", 4.645152),
    ("200 L", "volume", "l", 200),
    ("200 litres", "volume", "l", 200),
    ("0.2 m3", "volume", "l", 200),
    ("55 gal", "volume", "l", 208.197648),
    ("1 qt", "volume", "l", 0.946353),
    ("12 mL", "volume", "ml", 12),
    ("12 ML", "volume", "ml", 12),
    ("2 cu ft", "volume", "l", 56.633693),
    ("1 fl oz", "volume", "ml", 29.573530),
    ("1.7 kg", "mass", "g", 1700),
    ("5 lb", "mass", "g", 2267.96185),
    ("5 lbs.", "mass", "g", 2267.96185),
    ("8 oz", "mass", "g", 226.796185),
    ("15 psi", "pressure", "psi", 15),
    ("15 PSI", "pressure", "psi", 15),
    ("1 bar", "pressure", "psi", 14.503774),
    ("100 kPa", "pressure", "psi", 14.503774),
    ("20 C", "temperature", "degc", 20),
    ("20 °C", "temperature", "degc", 20),
    ("20 degC", "temperature", "degc", 20),
    ("20 deg C", "temperature", "degc", 20),
    ("68 F", "temperature", "degc", 20),
    ("68°F", "temperature", "degc", 20),
    ("68 degF", "temperature", "degc", 20),
    ("32 Fahrenheit", "temperature", "degc", 0),
    ("-40 F", "temperature", "degc", -40),
    ("14 d", "time", "day", 14),
    ("14 days", "time", "day", 14),
    ("3 weeks", "time", "day", 21),
]


@pytest.mark.parametrize(("text", "measure", "unit", "expected"), READ)
def test_quantities_are_read_in_both_unit_systems(text, measure, unit, expected):
    """Each spelling gives the same number as the published conversion."""
    assert quantity(text, measure, unit) == pytest.approx(expected, abs=1e-6)


WRONG = [
    ("13", "length", '"13"', "write the number together with its unit, in quotes"),
    ("13.5", "length", '"13.5"', "write the number together with its unit, in quotes"),
    (13, "length", "13", "write the number together with its unit, in quotes"),
    (13.5, "length", "13.5", "write the number together with its unit, in quotes"),
    ("1,5 m", "length", '"1,5 m"', "write a decimal point, not a comma"),
    ("13 kg", "length", '"13 kg" is a mass', ""),
    ("13 m2", "length", '"13 m2" is an area', ""),
    ("20 C", "mass", '"20 C" is a temperature', ""),
    ("13 spans", "length", '"13 spans": no known unit "spans"', ""),
    ("13 m/s", "length", '"13 m/s": no known unit "m/s"', ""),
    ("thirteen", "length", '"thirteen"', ""),
    ("", "length", '""', ""),
    (True, "volume", "true", "write the number together with its unit, in quotes"),
    (["13 cm"], "length", "a list", ""),
    ({"cm": 13}, "length", "a table", ""),
    (10**400, "length", "a very large number", "write the number together with its unit, in quotes"),
]


@pytest.mark.parametrize(("value", "measure", "found", "hint"), WRONG)
def test_what_is_no_quantity_says_what_was_found(value, measure, found, hint):
    """The message names what was found and gives an example of the measure that is meant."""
    with pytest.raises(Wrong) as caught:
        quantity(value, measure, "cm")
    assert (caught.value.found, caught.value.hint) == (found, hint)
    assert " such as " in caught.value.allowed


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("15 x 5 cm", (15, 5)),
        ("15x5cm", (15, 5)),
        ("15 × 5 cm", (15, 5)),
        ("6 x 2 in", (15.24, 5.08)),
        ("6 in x 2 in", (15.24, 5.08)),
        ("6 IN X 50 mm", (15.24, 5)),
    ],
)
def test_spacings_have_one_unit_or_two(text, expected):
    """A pattern's unit may be written once for both lengths."""
    assert spacing(text, "cm") == pytest.approx(expected)


@pytest.mark.parametrize(
    "text", ["15 cm", "15 x 5", "15 by 5 cm", "x", "15 cm x", 15, "15 x 5 kg", "15 x 5 x 2 cm"]
)
def test_what_is_no_spacing_is_refused(text):
    """A pattern needs two lengths."""
    with pytest.raises(Wrong):
        spacing(text, "cm")


def test_amounts_are_volumes_or_masses():
    """What is in hand is measured in mL or g, as it was written."""
    assert amount("12 mL") == (12, "mL")
    assert amount("1.7 kg") == (1700, "g")
    with pytest.raises(Wrong, match="length"):
        amount("3 cm")


@pytest.mark.parametrize(("written", "asked"), units.KNOWN)
def test_a_known_unit_is_what_the_library_says(written: str, asked: str) -> None:
    """Units that are read without the library come out as it would convert them."""
    converted = units._registry().Quantity(7.5, written).to(asked).magnitude
    assert 7.5 * units.KNOWN[written, asked] == pytest.approx(float(converted))


@pytest.mark.parametrize("degrees", [-40, 0, 14.5, 32, 68, 250])
def test_fahrenheit_is_what_the_library_says(degrees: float) -> None:
    """It is read without the library too, and rounded alike."""
    converted = units._registry().Quantity(degrees, "f").to("degc").magnitude
    assert quantity(f"{degrees} F", "temperature", "degc") == round(float(converted), 6)
