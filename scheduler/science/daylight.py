"""Hours of light on a day of the year, for work that is done outdoors."""

from __future__ import annotations

import math


def daylight_hours(latitude: float, day_of_year: int) -> float:
    """Hours from sunrise to sunset by FAO Irrigation and Drainage Paper 56, equations 24, 25 and 34.

    Latitude in degrees, south negative. 0 through the polar night, 24 through the polar day.
    """
    declination = 0.409 * math.sin(2 * math.pi / 365 * day_of_year - 1.39)
    half_day = -math.tan(math.radians(latitude)) * math.tan(declination)
    return 24 / math.pi * math.acos(min(1.0, max(-1.0, half_day)))
