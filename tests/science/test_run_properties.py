"""Laws of the run through a log: against every point of a whole log, and against the lattice of its holes."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.science import cuts
from scheduler.science.run import (
    Inoculation,
    Row,
    Speeds,
    Spokes,
    calendar_days,
    drilled,
    flanked,
    growth_days,
    layered,
    sawn,
)

CLOSE = 0.0025
"""How near the search comes to the last point, as a share of the days."""
speeds = st.builds(Speeds, st.floats(0.03, 0.2), st.floats(0.005, 0.05))
few = settings(max_examples=25)


def points(diameter: float, length: float, outer_wood: float) -> np.ndarray:
    """(x, y, z) of a grid through the whole of a log's outer wood, ends and bark included."""
    radius = diameter / 2
    r, angle, z = np.meshgrid(
        np.linspace(max(0.0, radius - outer_wood), radius, 5),
        np.linspace(0, math.tau, 73),
        np.linspace(0, length, 81),
        indexing="ij",
    )
    return np.stack([r * np.cos(angle), r * np.sin(angle), z], axis=-1).reshape(-1, 3)


def last_reached(log: np.ndarray, spawn: np.ndarray, at: Speeds) -> float:
    """Days until the last of these points is reached from the nearest point of spawn."""
    soonest = np.full(len(log), np.inf)
    for piece in spawn:
        across = (log[:, 0] - piece[0]) ** 2 + (log[:, 1] - piece[1]) ** 2
        soonest = np.minimum(soonest, across / at.across**2 + (log[:, 2] - piece[2]) ** 2 / at.along**2)
    return float(np.sqrt(soonest.max()))


def spacing_days(diameter: float, length: float, at: Speeds, outer_wood: float) -> float:
    """Days that lie between neighbours of the grid of `points`: it cannot miss the last point by more."""
    turn = math.pi * diameter / 72
    return math.hypot(math.hypot(turn / 2, outer_wood / 8) / at.across, length / 160 / at.along)


def holes(diameter: float, length: float, rows: int, each: int, depth: float) -> np.ndarray:
    """Points of spawn, every 2 mm down each hole, written down hole by hole."""
    step = length / each
    found = []
    for row in range(rows):
        first = step / 2 if rows == 1 else step / 4 + step / 2 * (row % 2)
        angle = math.tau * row / rows
        for hole in range(each):
            for radius in np.linspace(diameter / 2 - depth, diameter / 2, round(depth * 5) + 1):
                found.append((radius * math.cos(angle), radius * math.sin(angle), first + hole * step))
    return np.array(found)


@few
@given(st.floats(8, 22), st.floats(40, 110), st.integers(1, 11), st.integers(2, 8), st.floats(2, 5), speeds)
def test_one_step_of_the_pattern_stands_for_the_whole_log(
    diameter: float, length: float, rows: int, each: int, outer_wood: float, at: Speeds
) -> None:
    """Sectors and equal stretches say what every point of the log says, seam, ends and heart included."""
    depth, wood = 2.5, min(outer_wood, diameter / 2)
    whole = last_reached(points(diameter, length, wood), holes(diameter, length, rows, each, depth), at)
    found = growth_days(drilled(diameter, length, rows, each, depth), at, wood)
    # Spawn that is written down every 2 mm may be a millimetre further away than the hole.
    assert whole - 0.1 / at.across <= found * (1 + CLOSE)
    assert found <= whole + spacing_days(diameter, length, at, wood)


@few
@given(st.floats(10, 22), st.floats(60, 110), st.floats(10, 25), st.floats(0.2, 0.45), speeds)
def test_cuts_against_every_point_of_the_log(
    diameter: float, length: float, spacing: float, fraction: float, at: Speeds
) -> None:
    """A cut is all that lies beyond its chord, from one side and from the other."""
    places, depth, wood = cuts.layout(length, spacing, 25, fraction), fraction * diameter, diameter / 2
    disc = points(diameter, 0, wood)[::81]  # every z is 0
    spawn = []
    for cut in places:
        beyond = disc[:, 0] * (1 if cut.side_deg == 0 else -1) >= diameter / 2 - depth
        edge = np.linspace(-1, 1, 41) * cuts.half_chord_cm(diameter, depth)
        bottom = (diameter / 2 - depth) * (1 if cut.side_deg == 0 else -1)
        spawn += [(x, y, cut.at_cm) for x, y, _ in disc[beyond]] + [(bottom, y, cut.at_cm) for y in edge]
    whole = last_reached(points(diameter, length, wood), np.array(spawn), at)
    found = growth_days(sawn(diameter, length, places, depth), at, wood)
    assert whole - diameter / 40 / at.across <= found * (1 + CLOSE)
    assert found <= whole + spacing_days(diameter, length, at, wood)


def unrolled(along: float, around: float, at: Speeds) -> float:
    """Days on the bark of a log so thick that it is flat, in a lattice without ends: 80 rows, drilled skin-deep.

    Holes stand on both ends, so that no end is further from them than the middle.
    """
    rows, steps = 80, 4
    radius = rows * around / math.tau
    turn = math.tau / rows
    lattice = tuple(
        Row(
            Spokes(tuple(turn * row for row in range(shifted, rows, 2)), radius, radius),
            tuple(along * (hole + shifted / 2) for hole in range(steps + 1 - shifted)),
        )
        for shifted in (0, 1)
    )
    return growth_days(Inoculation(2 * radius, steps * along, lattice, ((0.0, turn),)), at, 0.0)


@given(st.floats(5, 30), st.floats(2, 15), speeds)
def test_a_staggered_pattern_is_run_in_the_covering_radius_of_its_lattice(
    along: float, around: float, at: Speeds
) -> None:
    """In days along and across, it is the circumradius of the acute triangle of three neighbours.

    With step a and row spacing b, both in days, two sides of it are c = sqrt(a^2/4 + b^2) and the third is a,
    or 2 b where that would make it obtuse: c^2 / (2 b), or c^2 / a.
    """
    a, b = along / at.along, around / at.across
    covering = (a**2 / 4 + b**2) / max(2 * b, a)
    assert unrolled(along, around, at) == pytest.approx(covering, rel=CLOSE + 5e-4)


@given(st.floats(2, 15), speeds)
def test_a_lozenge_of_equal_days(around: float, at: Speeds) -> None:
    """Where a step along takes as long as two rows across, the pattern is a square of days: each diagonal counts alike."""
    along = 2 * around * at.along / at.across
    assert unrolled(along, around, at) == pytest.approx(around / at.across, rel=CLOSE + 5e-4)
    for wider, further in ((1.2, 1.0), (1.0, 1.2)):
        assert unrolled(along * wider, around * further, at) > around / at.across


@given(st.floats(8, 20), st.integers(2, 10), st.integers(2, 8), speeds, st.floats(1, 3))
def test_faster_growth_is_never_slower(
    diameter: float, rows: int, each: int, at: Speeds, times: float
) -> None:
    """Twice as fast takes half as long; faster in one direction alone never takes longer."""
    log = drilled(diameter, 100, rows, each, 2.5)
    now = growth_days(log, at, 4)
    assert growth_days(log, Speeds(at.along * times, at.across * times), 4) == pytest.approx(
        now / times, rel=1e-6
    )
    assert growth_days(log, Speeds(at.along * times, at.across), 4) <= now * (1 + CLOSE)
    assert growth_days(log, Speeds(at.along, at.across * times), 4) <= now * (1 + CLOSE)


@given(st.floats(8, 20), st.integers(2, 10), st.integers(1, 8), speeds, st.integers(1, 4), st.integers(1, 3))
def test_a_closer_pattern_is_never_slower(
    diameter: float, rows: int, each: int, at: Speeds, more: int, pairs: int
) -> None:
    """More holes in a row, or two rows more and two again, so that as many neighbours stand alike as before."""
    now = growth_days(drilled(diameter, 100, rows, each, 2.5), at, 4)
    assert growth_days(drilled(diameter, 100, rows, each + more, 2.5), at, 4) <= now * (1 + CLOSE)
    assert growth_days(drilled(diameter, 100, rows + 2 * pairs, each, 2.5), at, 4) <= now * (1 + CLOSE)


@given(st.floats(8, 20), st.floats(1, 2), st.integers(2, 10), st.integers(2, 8), speeds)
def test_a_thicker_log_is_never_faster(
    diameter: float, times: float, rows: int, each: int, at: Speeds
) -> None:
    """With the same holes, and with cuts as deep in proportion."""
    thin, thick = (
        growth_days(drilled(wide, 100, rows, each, 2.5), at, 4) for wide in (diameter, diameter * times)
    )
    assert thick >= thin * (1 - CLOSE)
    places = cuts.layout(100, 100 / each, 8, 0.33)
    thin, thick = (
        growth_days(sawn(wide, 100, places, 0.33 * wide), at, 4) for wide in (diameter, diameter * times)
    )
    assert thick >= thin * (1 - CLOSE)


@given(st.floats(8, 20), st.floats(1, 2), st.integers(2, 8), speeds)
def test_more_wood_to_run_is_never_faster(diameter: float, times: float, each: int, at: Speeds) -> None:
    """Wood further in, and longer logs of as many holes."""
    log = drilled(diameter, 100, 6, each, 2.5)
    now = growth_days(log, at, 3)
    assert growth_days(log, at, 3 * times) >= now * (1 - CLOSE)
    assert growth_days(drilled(diameter, 100 * times, 6, each, 2.5), at, 3) >= now * (1 - CLOSE)


@given(st.floats(15, 40), st.floats(20, 60), speeds)
def test_layers_and_flanks_by_hand(diameter: float, bolt: float, at: Speeds) -> None:
    """A bolt between two layers is run in half its length; a raft's log to its top, or its heart, one radius on."""
    totem = layered(diameter, 2 * bolt + 5, (0, bolt, 2 * bolt))
    assert growth_days(totem, at, 4) == pytest.approx(max(bolt / 2, 5) / at.along)
    # Packed 30 degrees up from the flank, it is 60 degrees to the top: a chord as long as the radius.
    raft = growth_days(flanked(diameter, 100), at, 4)
    assert raft == pytest.approx(diameter / 2 / at.across, rel=CLOSE)


@given(st.floats(1, 900), st.floats(1, 365), st.floats(150, 260), st.floats(60, 365))
def test_calendar_days_day_by_day(growth: float, planted: float, warmest: float, growing: float) -> None:
    """Of the tenths of a day until then as many lie in the growing season, and until half a day before, fewer."""
    days = calendar_days(growth, planted, warmest, growing)

    def grown(until: float) -> float:
        into = (planted + np.arange(0, until, 0.1) - (warmest - growing / 2)) % 365
        return float((into < growing).sum()) / 10

    # Each of the seasons that are touched may be cut off by a tenth at both ends.
    assert grown(days + 0.5) >= growth - 1.5
    assert grown(days) == pytest.approx(growth, abs=1.5)
    assert grown(days - 2) < growth


@given(st.floats(1, 600), st.floats(0, 200), st.floats(1, 365), st.floats(60, 364))
def test_more_growth_never_takes_fewer_days(
    growth: float, more: float, planted: float, growing: float
) -> None:
    """And a year in which logs grow on every day has no winter."""
    assert (
        calendar_days(growth + more, planted, 196, growing)
        >= calendar_days(growth, planted, 196, growing) + more - 1e-6
    )
    assert calendar_days(growth, planted, 196, 365) == pytest.approx(growth)
