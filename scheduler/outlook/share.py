"""The share of seasons in which something happened, as a chance with its standard error."""

from __future__ import annotations

import math

from scheduler.outlook.dice import Flags

DIGITS = 5
"""Of a chance: more would be noise."""


def share(happened: Flags) -> tuple[float, float]:
    """The share of seasons in which something happened, and its standard error.

    In the error the chance is taken by Laplace's rule of succession, (k + 1) / (n + 2): what happened always,
    or never, in the seasons that were played is not sure for that.
    """
    likely = (float(happened.sum()) + 1) / (happened.size + 2)
    stderr = math.sqrt(likely * (1 - likely) / happened.size)
    return round(float(happened.mean()), DIGITS), round(stderr, DIGITS)
