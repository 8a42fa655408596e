"""Laws of saw cuts, and what they hold against numerical integration."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from scheduler.science.cuts import Cut, kerf_ml, layout, left_whole, segment_cm2, wedge_ml

diameters = st.floats(5, 60)
fractions = st.floats(0.05, 1.0)
shallow = st.floats(0.05, 0.499)


def chord_cm(diameter: float, down: float) -> float:
    """Length of the chord at a depth below the bark."""
    return 2 * math.sqrt(max(0.0, down * (diameter - down)))


@given(diameters, st.floats(2, 12), fractions)
def test_wedge_is_the_integral_of_width_times_chord(
    diameter: float, width_mm: float, fraction: float
) -> None:
    """One wedge holds what integrating its width and chord over the depth gives."""
    depth = fraction * diameter
    volume, error = quad(lambda z: width_mm / 10 * (1 - z / depth) * chord_cm(diameter, z), 0, depth)
    assert wedge_ml(diameter, width_mm, depth) == pytest.approx(volume, rel=1e-6, abs=10 * error)


@given(diameters, st.floats(2, 12), fractions)
def test_kerf_is_the_integral_of_the_chord(diameter: float, width_mm: float, fraction: float) -> None:
    """A kerf is as wide at the bottom as at the bark."""
    depth = fraction * diameter
    volume, error = quad(lambda z: width_mm / 10 * chord_cm(diameter, z), 0, depth)
    assert kerf_ml(diameter, width_mm, depth) == pytest.approx(volume, rel=1e-6, abs=10 * error)


@given(diameters, st.floats(2, 12), fractions)
def test_a_wedge_holds_less_than_a_kerf_as_wide_at_the_bark(
    diameter: float, width_mm: float, fraction: float
) -> None:
    """It narrows to nothing where the chord is longest, so that it holds less than half in the upper half of a log."""
    depth = fraction * diameter
    wedge, kerf = wedge_ml(diameter, width_mm, depth), kerf_ml(diameter, width_mm, depth)
    assert 0 < wedge < kerf
    if fraction <= 0.5:
        assert wedge < kerf / 2


@given(diameters)
def test_whole_and_half_sections(diameter: float) -> None:
    """A cut to the heart takes half of the cross-section, one through the log all of it."""
    whole = math.pi / 4 * diameter**2
    assert segment_cm2(diameter, diameter / 2) == pytest.approx(whole / 2)
    assert segment_cm2(diameter, diameter) == pytest.approx(whole)
    assert left_whole(diameter, diameter / 3) == pytest.approx(0.708, abs=0.001)


@given(diameters, shallow, shallow)
def test_more_than_half_of_the_wood_is_left(diameter: float, one: float, other: float) -> None:
    """Cuts that do not reach the heart leave more than half, and a deeper one never leaves more."""
    depths = sorted((one, other))
    left = [left_whole(diameter, fraction * diameter) for fraction in depths]
    assert 0.5 < left[1] <= left[0] < 1


@given(st.floats(20, 300), st.floats(5, 40), shallow)
def test_no_cross_section_is_cut_twice(length: float, spacing: float, fraction: float) -> None:
    """Openings stand apart, by turns on either side, half a step from both ends, no closer than was asked for."""
    width_mm = spacing * 9.99
    cuts = layout(length, spacing, width_mm, fraction)
    assert [cut.side_deg for cut in cuts] == [(0, 180)[n % 2] for n in range(len(cuts))]
    assert cuts[0].at_cm == pytest.approx(length - cuts[-1].at_cm)
    assert all(0 < cut.at_cm < length for cut in cuts)
    for before, after in pairwise(cuts):
        assert after.at_cm - before.at_cm >= spacing - 1e-6 > width_mm / 10
        assert after.at_cm - before.at_cm == pytest.approx(2 * cuts[0].at_cm)
    assert len(cuts) == max(1, math.floor(length / spacing + 1e-9))


def test_cuts_stand_at_whole_spacings() -> None:
    """A metre at 15 cm has six cuts, 90 cm at 12.5 cm seven."""
    assert len(layout(100, 15, 9, 1 / 3)) == 6
    assert layout(50, 12.5, 25, 1 / 3) == (Cut(6.25, 0), Cut(18.75, 180), Cut(31.25, 0), Cut(43.75, 180))
    assert [round(cut.at_cm) for cut in layout(90, 12.5, 25, 1 / 3)] == [6, 19, 32, 45, 58, 71, 84]
    assert layout(20, 30, 25, 1 / 3) == (Cut(10, 0),), "a short log has one all the same"


@pytest.mark.parametrize(
    ("width_mm", "fraction", "why"),
    [
        (125, 0.33, "meets the next"),
        (25, 0.5, "below one half"),
        (25, 0.7, "below one half"),
        (25, 0, "above 0"),
    ],
)
def test_cuts_that_meet_are_refused(width_mm: float, fraction: float, why: str) -> None:
    """Neither openings as wide as their spacing nor cuts to the heart are laid out."""
    with pytest.raises(ValueError, match=why):
        layout(100, 12.5, width_mm, fraction)


@given(st.floats(5, 40), st.floats(2, 40), st.floats(0.05, 0.4), st.floats(1, 1.2))
def test_cuts_grow_with_every_measure(
    diameter: float, width_mm: float, fraction: float, factor: float
) -> None:
    """Thicker logs, wider and deeper cuts never take less; the depth follows the log."""
    for volume in (wedge_ml, kerf_ml):
        usual = volume(diameter, width_mm, fraction * diameter) - 1e-9
        assert usual <= volume(diameter * factor, width_mm, fraction * diameter * factor)
        assert usual <= volume(diameter, width_mm * factor, fraction * diameter)
        assert usual <= volume(diameter, width_mm, fraction * diameter * factor)
