"""Steam and pressure against IAPWS check values, the standard atmosphere and canning tables."""

import pytest

from scheduler.science.heat import (
    cook_minutes,
    hold_factor,
    pressure_at_altitude,
    saturation_temperature,
    steam_temperature,
)
from tests.published.cited import cited

FOOT_M = 0.3048

# Feet, water boils (C), steam at 15 psig (C), psig that make 121.1 C, hold factor at 15 psig with z = 10 C: computed
# elsewhere from the standard atmosphere and the IAPWS saturation line, printed to one place.
ALTITUDE = [
    (0, 100.0, 121.0, 15.1, 1.0),
    (1000, 99.0, 120.4, 15.7, 1.2),
    (2000, 97.9, 119.8, 16.2, 1.3),
    (3000, 96.9, 119.3, 16.7, 1.5),
    (4000, 95.9, 118.7, 17.1, 1.7),
    (5000, 94.9, 118.2, 17.6, 1.9),
    (6000, 93.9, 117.7, 18.1, 2.2),
    (8000, 91.9, 116.7, 18.9, 2.8),
    (10000, 89.8, 115.7, 19.7, 3.5),
]


@pytest.mark.parametrize(
    ("feet", "boils_c", "steam_c", "psig", "factor"),
    [cited("iapws-if97", f"steam at {row[0]} ft", *row) for row in ALTITUDE],
)
def test_altitude_table(feet: float, boils_c: float, steam_c: float, psig: float, factor: float) -> None:
    """Boiling point, steam at 15 psi, the gauge that 121.1 C takes and the hold factor match the printed table."""
    # Half a unit of the printed place, and a hair for values that fall on a half.
    assert steam_temperature(0, feet * FOOT_M) == pytest.approx(boils_c, abs=0.055)
    assert steam_temperature(15, feet * FOOT_M) == pytest.approx(steam_c, abs=0.055)
    # A tenth of a pound is a tenth of a degree.
    assert steam_temperature(psig, feet * FOOT_M) == pytest.approx(121.1, abs=0.055)
    assert hold_factor(15, feet * FOOT_M) == pytest.approx(factor, abs=0.055)


# Dial gauge pounds that USDA canning guidance asks for at the top of each band, to reach 240 F (115.6 C).
DIAL = [(2000, 11, 115.2), (4000, 12, 115.2), (6000, 13, 115.3), (8000, 14, 115.5), (10000, 15, 115.7)]


@pytest.mark.parametrize(
    ("feet", "pounds", "steam_c"),
    [cited("usda-canning-guide", f"dial gauge up to {row[0]} ft", *row) for row in DIAL],
)
def test_dial_gauge_table(feet: float, pounds: float, steam_c: float) -> None:
    """The USDA dial gauge rule gives the printed steam temperature, near 240 F at every altitude."""
    steam = steam_temperature(pounds, feet * FOOT_M)
    assert steam == pytest.approx(steam_c, abs=0.055)
    # The rule is in whole pounds, each worth about 0.9 C.
    assert steam == pytest.approx(115.6, abs=0.5)


def test_canning_at_sea_level() -> None:
    """10.5 lb at sea level is 240 F (Univ. Missouri Extension, from USDA) [mu-canning]."""
    # 0.1 lb, the printed place, is 0.1 C; 240 F is 115.56 C and the band goes up to 1000 ft (0.6 C cooler).
    assert steam_temperature(10.5, 0) == pytest.approx(115.56, abs=0.6 / 2)


@pytest.mark.parametrize(
    ("mpa", "kelvin"),
    [
        cited("iapws-if97", f"{mpa} MPa, table 36", mpa, kelvin)
        for mpa, kelvin in ((0.1, 372.755919), (1.0, 453.035632), (10.0, 584.149488))
    ],
)
def test_saturation_line_check_values(mpa: float, kelvin: float) -> None:
    """The saturation line gives the computer-program check values of IAPWS-IF97, table 36."""
    assert saturation_temperature(mpa * 1000) + 273.15 == pytest.approx(kelvin, abs=1e-6)


@pytest.mark.parametrize(
    ("altitude_m", "kpa"),
    [
        cited("iso-2533", f"{altitude} m", altitude, kpa)
        for altitude, kpa in ((0, 101.325), (1000, 89.875), (2000, 79.495), (3000, 70.109))
    ],
)
def test_standard_atmosphere(altitude_m: float, kpa: float) -> None:
    """Pressure against altitude follows the tables of the standard atmosphere (ISO 2533)."""
    assert pressure_at_altitude(altitude_m) == pytest.approx(kpa, abs=0.001)


def test_home_cook_at_five_thousand_feet() -> None:
    """Ninety minutes for quart jars become 175 where 15 psi steam is only 118.2 C (published factor 1.9)."""
    factor = hold_factor(15, 5000 * FOOT_M)
    assert cook_minutes(20, 90, factor, 40) == pytest.approx(20 + 90 * 1.9 + 40, abs=90 * 0.05)
