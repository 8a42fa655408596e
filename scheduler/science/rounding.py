"""Rounds to whole days, holes and minutes without falling for the noise of floating point.

48 inches hold eight spacings of 6 inches, although 121.92 / 15.24 may come out a hair below 8.
"""

from __future__ import annotations

import math

NOISE = 1e-9
"""Differences below this are arithmetic noise, not an amount."""


def whole_up(amount: float) -> int:
    """Smallest whole number not below `amount`: days to wait, minutes to allow."""
    return math.ceil(amount - NOISE)


def whole_down(amount: float) -> int:
    """Largest whole number not above `amount`: holes that fit, units that can be fed."""
    return math.floor(amount + NOISE)
