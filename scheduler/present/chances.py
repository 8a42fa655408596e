"""Chances that were played, as they are printed."""

from __future__ import annotations


def percent(share: float) -> str:
    """A chance in tenths of a percent that never promises certainty."""
    if share >= 0.9995:
        return "over 99.9 %"
    return f"{100 * share:.1f} %" if share >= 0.0005 else "under 0.1 %"


def sure(chance: float, stderr: float) -> str:
    """A chance with its standard error."""
    return f"{percent(chance)} +- {100 * stderr:.1f}"


def whole(wished: float) -> str:
    """A wished chance as it was typed."""
    return f"{100 * wished:g} %"
