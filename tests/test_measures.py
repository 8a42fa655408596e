"""Amounts in words, in both systems."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler import measures


@pytest.mark.parametrize(
    ("grams", "metric", "imperial"),
    [
        (0, "0 g", "0 oz"),
        (5, "5 g", "0.18 oz"),
        (450, "450 g", "1 lb"),  # 15.87 oz: never "16 oz"
        (999.7, "1 kg", "2 lb 3 oz"),
        (1200, "1.2 kg", "2 lb 10 oz"),
        (2267.96, "2.3 kg", "5 lb"),  # 5 lb exactly
        (21000, "21 kg", "46 lb"),
        (250000, "250 kg", "551 lb"),
    ],
)
def test_mass(grams: float, metric: str, imperial: str) -> None:
    """1 oz = 28.349523125 g by definition (international pound of 1959)."""
    assert measures.mass(grams, "metric") == metric
    assert measures.mass(grams, "imperial") == imperial


@pytest.mark.parametrize(
    ("litres", "metric", "imperial"),
    [
        (0.012, "12 mL", "0.41 fl oz"),
        (0.946352946, "946 mL", "1 qt"),
        (0.9998, "1 L", "1.1 qt"),
        (2.5, "2.5 L", "2.6 qt"),
        (3.785411784, "3.8 L", "1 gal"),  # 231 cubic inches
        (200, "200 L", "52.8 gal"),
    ],
)
def test_volume(litres: float, metric: str, imperial: str) -> None:
    """1 US gallon = 231 in3 = 3.785411784 L, four quarts."""
    assert measures.volume(litres, "metric") == metric
    assert measures.volume(litres, "imperial") == imperial


def test_length_area_and_temperature() -> None:
    """1 in = 2.54 cm; 1 m2 = 10.7639 sq ft; 32 F is 0 C and 250 F about 121 C."""
    assert measures.length(12.7, "imperial") == "5 in"
    assert measures.length(121.92, "imperial") == "4 ft"
    assert measures.length(121.92, "metric") == "1.22 m"
    assert measures.length(13, "metric") == "13 cm"
    assert measures.area(6, "imperial") == "64.6 sq ft"
    assert measures.area(6, "metric") == "6 m2"
    assert measures.temperature(0, "imperial") == "32 F"
    assert measures.temperature(121.1, "imperial") == "250 F"
    assert measures.temperature(3, "metric") == "3 C"


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(0, "0 min"), (45, "45 min"), (60, "1 h"), (65, "1 h 05"), (90, "1 h 30"), (1500, "25 h")],
)
def test_duration(minutes: int, words: str) -> None:
    """Hours and minutes as a kitchen clock says them."""
    assert measures.duration(minutes) == words


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0, "under 1 %"),
        (0.004, "under 1 %"),
        (0.92, "92 %"),
        (0.994, "99 %"),
        (0.996, "over 99 %"),
        (1, "over 99 %"),
    ],
)
def test_chance_never_promises(share: float, words: str) -> None:
    """A chance is whole percent, and never a certainty either way."""
    assert measures.chance(share) == words


@pytest.mark.parametrize(
    ("value", "unit", "metric", "imperial"),
    [
        (2.5, "kg", "2.5 kg", "5 lb 8 oz"),
        (500, "mL", "500 mL", "500 mL"),
        (6, "m2", "6 m2", "64.6 sq ft"),
        (13, "cm", "13 cm", "5.12 in"),
        (2, "m", "2 m", "6.56 ft"),
        (90, "min", "1 h 30", "1 h 30"),
        (12, "bags", "12 bags", "12 bags"),
        (1, "bags", "1 bag", "1 bag"),
        (3, "", "3", "3"),
    ],
)
def test_quantity(value: float, unit: str, metric: str, imperial: str) -> None:
    """Measured units are converted, counted ones are not."""
    assert measures.quantity(value, unit, "metric") == metric
    assert measures.quantity(value, unit, "imperial") == imperial


@pytest.mark.parametrize(("mm", "metric", "imperial"), [(25.4, "25 mm", "1 in"), (0, "0 mm", "0 in"), (7.6, "8 mm", "0.3 in")])  # fmt: skip
def test_rain(mm: float, metric: str, imperial: str) -> None:
    """Millimetres, or tenths of an inch."""
    assert (measures.rain(mm, "metric"), measures.rain(mm, "imperial")) == (metric, imperial)


@pytest.mark.parametrize(
    ("mm", "metric", "imperial"),
    [
        (8.5, "8.5 mm", "5/16 in"),  # the bit for dowels, Univ. of Kentucky FOR-77
        (25.4, "25.4 mm", "1 in"),
        (31.75, "31.8 mm", "1 1/4 in"),
        (38.1, "38.1 mm", "1 1/2 in"),
        (0.2, "0.2 mm", "0 in"),
    ],
)
def test_bits_are_named_as_they_are_sold(mm: float, metric: str, imperial: str) -> None:
    """Millimetres, or whole inches and a fraction in its lowest terms."""
    assert (measures.bore(mm, "metric"), measures.bore(mm, "imperial")) == (metric, imperial)


def test_containers_have_plurals_too() -> None:
    """The bag has the plural, and not what is in it."""
    assert [measures.counted(n, "bag of dowels") for n in (1, 2)] == ["1 bag of dowels", "2 bags of dowels"]
    assert measures.counted(2, "lost bag of dowels") == "2 lost bags of dowels"
    assert measures.counted(2, "quart jar") == "2 quart jars"


@given(grams=st.floats(0, 1e5), takes_g=st.floats(1, 1e4), piece=st.sampled_from(["log", "m2"]))
def test_pieces_take_no_more_than_there_is(grams: float, takes_g: float, piece: str) -> None:
    """So many whole logs, or tenths of a m2, and not one more."""
    found, step = measures.pieces(grams, takes_g, piece), 0.1 if piece == "m2" else 1
    assert found * takes_g <= grams + 1e-6 * takes_g
    assert (found + step) * takes_g > grams - 1e-6 * takes_g
    assert found * 10 == pytest.approx(round(found * 10))
