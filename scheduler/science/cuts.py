"""Saw cuts across a log that are packed with spawn: where they stand, what they hold, what they leave whole.

Seen from the end of the log a cut is a segment of a circle, bounded by the bark and the chord at its bottom.
Lengths are cm unless the name says mm. Widths, depths and spacings are arguments: the catalogue has them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from scheduler.science.rounding import whole_down


@dataclass(frozen=True)
class Cut:
    """One cut: its middle in cm from an end of the log, and the side it comes from, in degrees."""

    at_cm: float
    side_deg: Literal[0, 180]


def layout(length_cm: float, spacing_cm: float, width_mm: float, depth_fraction: float) -> tuple[Cut, ...]:
    """One cut for each whole spacing of the length, at least one, from opposite sides by turns.

    They are spread evenly, so that both ends lie half a step from a cut. Raises ValueError where a
    cross-section would be cut twice (an opening as wide as the spacing) or by half or more (cuts that reach
    the heart).
    """
    if width_mm / 10 >= spacing_cm:
        raise ValueError(f"a cut {width_mm} mm wide every {spacing_cm} cm meets the next one")
    if not 0 < depth_fraction < 0.5:
        raise ValueError(f"a cut of {depth_fraction} of the diameter is not above 0 and below one half")
    count = max(1, whole_down(length_cm / spacing_cm))
    return tuple(Cut((n + 0.5) * length_cm / count, 180 if n % 2 else 0) for n in range(count))


def segment_cm2(diameter_cm: float, depth_cm: float) -> float:
    """Area of the segment that a cut takes out of the cross-section: R^2 acos(1 - d/R) - (R - d) h."""
    radius = diameter_cm / 2
    beyond = radius - depth_cm
    return radius**2 * math.acos(beyond / radius) - beyond * half_chord_cm(diameter_cm, depth_cm)


def half_chord_cm(diameter_cm: float, depth_cm: float) -> float:
    """Half the length of the chord at a depth below the bark."""
    return math.sqrt(max(0.0, depth_cm * (diameter_cm - depth_cm)))


def kerf_ml(diameter_cm: float, width_mm: float, depth_cm: float) -> float:
    """What a plain saw cut holds, equally wide at the bark and at the bottom: segment times width."""
    return segment_cm2(diameter_cm, depth_cm) * width_mm / 10


def wedge_ml(diameter_cm: float, width_mm: float, depth_cm: float) -> float:
    """What a wedge cut holds, `width_mm` wide at the bark and nothing at the bottom.

    With radius R, depth d, segment area S and half chord h its volume is the integral of width times chord
    over the depth: w (S - (R S - 2/3 h^3) / d).
    """
    segment = segment_cm2(diameter_cm, depth_cm)
    moment = diameter_cm / 2 * segment - half_chord_cm(diameter_cm, depth_cm) ** 3 * 2 / 3
    return width_mm / 10 * (segment - moment / depth_cm)


def left_whole(diameter_cm: float, depth_cm: float) -> float:
    """Share of a cross-section that a cut leaves whole, above one half where it does not reach the heart."""
    return 1 - segment_cm2(diameter_cm, depth_cm) / (math.pi / 4 * diameter_cm**2)
