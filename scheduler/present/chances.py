"""Chances that were played, as they are printed."""

from __future__ import annotations

import math


def percent(share: float, seasons: int) -> str:
    """A chance in tenths of a percent that never promises certainty, nor more than so many seasons bear."""
    # What never happened in n seasons has a chance of 1 in n + 2, by Laplace's rule of succession.
    edge = max(1, math.ceil(1000 / (seasons + 2))) / 10
    if share >= 0.9995:
        return f"over {100 - edge:.1f} %"
    return f"{100 * share:.1f} %" if share >= 0.0005 else f"under {edge:.1f} %"


def sure(chance: float, stderr: float, seasons: int) -> str:
    """A chance with its standard error."""
    error = f"{100 * stderr:.1f}" if stderr >= 0.0005 else "under 0.1"
    return f"{percent(chance, seasons)} +- {error}"


def whole(wished: float) -> str:
    """A wished chance as it was typed."""
    return f"{100 * wished:g} %"
