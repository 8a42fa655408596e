"""Steam under pressure at altitude, and how long a cook must be held for it.

A gauge shows the pressure above that of the air outside, so the same reading means cooler steam higher up.
Hold times are lengthened instead of raising the pressure, which must stay below the vessel's rating.
"""

from __future__ import annotations

import math

from scheduler.science.rounding import whole_up

SEA_LEVEL_KPA = 101.325
KPA_PER_PSI = 6.894757
STERILISING_C = 121.1
"""250 F, the temperature at which hold times for full sterilisation are stated."""

_N = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)
"""Coefficients n1 to n10 of the saturation line, IAPWS-IF97 table 34."""


def pressure_at_altitude(altitude_m: float) -> float:
    """Air pressure in kPa at an altitude in the standard atmosphere (ISO 2533), valid up to 11 km."""
    return SEA_LEVEL_KPA * math.pow(1 - 0.0065 * altitude_m / 288.15, 5.25588)


def saturation_temperature(kpa: float) -> float:
    """Temperature in C at which water boils under an absolute pressure: IAPWS-IF97, equation 31.

    Valid from 0.611 kPa to 22.064 MPa.
    """
    n1, n2, n3, n4, n5, n6, n7, n8, n9, n10 = _N
    beta = math.pow(kpa / 1000, 0.25)
    e = beta**2 + n3 * beta + n6
    f = n1 * beta**2 + n4 * beta + n7
    g = n2 * beta**2 + n5 * beta + n8
    d = 2 * g / (-f - math.sqrt(f**2 - 4 * e * g))
    return (n10 + d - math.sqrt((n10 + d) ** 2 - 4 * (n9 + n10 * d))) / 2 - 273.15


def steam_temperature(gauge_psi: float, altitude_m: float) -> float:
    """Temperature in C of air-free steam in a vessel whose gauge shows `gauge_psi` at that altitude."""
    return saturation_temperature(pressure_at_altitude(altitude_m) + gauge_psi * KPA_PER_PSI)


def hold_factor(
    gauge_psi: float, altitude_m: float, z: float = 10.0, reference_c: float = STERILISING_C
) -> float:
    """How many times longer to hold than at `reference_c`, never below 1.

    Every `z` C below the reference takes ten times as long to kill as many spores. It applies to the hold at
    temperature only, not to heating up.
    """
    short = reference_c - steam_temperature(gauge_psi, altitude_m)
    return max(1.0, math.pow(10, short / z))


def cook_minutes(heat_up: float, hold: float, factor: float, cool: float) -> int:
    """Whole minutes of one cook from lighting to opening: heat-up, lengthened hold, cooling."""
    return whole_up(heat_up + hold * factor + cool)
