"""Days until mycelium has run through a log, from the way the spawn is put into it.

Mycelium grows faster along the grain than across it. In a straight-grained log, with one speed along and one
in every direction across, it takes the straight way to each point: sqrt((z / along)^2 + (d / across)^2) days,
with z the way along the log and d the way within the cross-section. A log is run through when the last point
of its outer wood is reached: the largest, over that wood, of the smallest of these times. The heartwood
further in is left out, as many woods resist there.

Across the log the last point is looked for in patches of its cross-section. No point of a patch is further
from spawn than its middle by more than the way between them, so the patch that may hold the last point is
divided until no other can hold one that is much later. Along the log the answer is exact: between two places
where a row of spawn stands, or lies half-way between two of its pieces, the square of the time is a parabola
for each row, and all of them bend alike. Equal stretches are looked at once, so that a long log costs no more
than its ends and one step of its pattern.

Lengths are cm, angles radians, speeds cm a day of growth.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from heapq import heappop, heappush
from itertools import combinations, pairwise
from typing import Protocol

from scheduler.science import cuts

YEAR = 365
JOINT = math.asin(0.5)
"""How far around a log of a raft the spawn reaches in the joints between logs (common practice)."""
_SAME = 6
"""Decimals of a cm to which two stretches of a log have to be alike to be looked at once, and of a ratio."""
_NEAR = 0.002
"""Share by which the last point may be later than the one that is found."""


@dataclass(frozen=True)
class Speeds:
    """Growth along and across the grain."""

    along: float
    across: float


class Shape(Protocol):
    """Where spawn lies in a cross-section."""

    def away(self, radius: float, angle: float, around: float = 0.0) -> float:
        """Way from a point of the cross-section to the nearest spawn in it; `around` it no way is longer."""


@dataclass(frozen=True)
class Spokes:
    """Spawn on radii, from `inner` to `outer`: drilled holes; lines on the bark where both are alike."""

    angles: tuple[float, ...]
    inner: float
    outer: float

    def away(self, radius: float, angle: float, around: float = 0.0) -> float:
        """Way to the nearest spoke."""
        beside = min(abs(math.remainder(angle - spoke, math.tau)) for spoke in self.angles)
        inwards = radius * math.cos(beside)
        nearest = min(max(inwards, self.inner), self.outer)
        return math.hypot(inwards - nearest, radius * math.sin(beside)) + around


@dataclass(frozen=True)
class Segment:
    """Spawn in a saw cut from one side; a wedge counts as its bottom does, without its width."""

    diameter: float
    depth: float
    angle: float

    def away(self, radius: float, angle: float, around: float = 0.0) -> float:
        """Way to the chord at the bottom of the cut; none for what lies beyond it."""
        beside = angle - self.angle
        short = self.diameter / 2 - self.depth - radius * math.cos(beside)
        if short <= -around:
            return 0.0
        wide = abs(radius * math.sin(beside)) - cuts.half_chord_cm(self.diameter, self.depth)
        return math.hypot(max(0.0, short), max(0.0, wide)) + around


@dataclass(frozen=True)
class Face:
    """Spawn on the whole of a cut face."""

    def away(self, radius: float, angle: float, around: float = 0.0) -> float:
        """No way at all."""
        return 0.0


@dataclass(frozen=True)
class Row:
    """Spawn of one shape at several places along a log; without places it lies along all of it."""

    shape: Shape
    at: tuple[float, ...]


@dataclass(frozen=True)
class Inoculation:
    """A log and the spawn in it; `sectors` are angles between which its cross-section says all there is."""

    diameter: float
    length: float
    rows: tuple[Row, ...]
    sectors: tuple[tuple[float, float], ...] = ((0.0, math.pi),)


def drilled(diameter: float, length: float, rows: int, each: int, depth: float) -> Inoculation:
    """Rows of `each` holes spread evenly along a log, every other row half a step further on.

    The first hole lies a quarter of a step from the end, of a single row half a step. With an odd number of
    rows two that stand alike are neighbours: the sector between them is looked at too.
    """
    radius, step, turn = diameter / 2, length / each, math.tau / rows
    first = step / 4 if rows > 1 else step / 2
    holes = tuple(
        Row(
            Spokes(tuple(turn * row for row in range(shifted, rows, 2)), max(0.0, radius - depth), radius),
            tuple(first + step * (hole + shifted / 2) for hole in range(each)),
        )
        for shifted in range(min(2, rows))
    )
    if rows < 3:
        return Inoculation(diameter, length, holes)
    seam = ((math.tau - turn, math.tau),) if rows % 2 else ()
    return Inoculation(diameter, length, holes, ((0.0, turn), *seam))


def sawn(diameter: float, length: float, places: Sequence[cuts.Cut], depth: float) -> Inoculation:
    """Cuts across a log from opposite sides."""
    sides = (
        Row(
            Segment(diameter, depth, math.radians(side)),
            tuple(cut.at_cm for cut in places if cut.side_deg == side),
        )
        for side in (0, 180)
    )
    return Inoculation(diameter, length, tuple(row for row in sides if row.at))


def layered(diameter: float, length: float, at: Sequence[float]) -> Inoculation:
    """Layers of spawn on cut faces, as in a totem."""
    return Inoculation(diameter, length, (Row(Face(), tuple(at)),))


def flanked(diameter: float, length: float) -> Inoculation:
    """A log of a raft: spawn lies on its flanks, packed half a radius up and down from where logs touch."""
    radius = diameter / 2
    edges = tuple(side + JOINT * way for side in (0.0, math.pi) for way in (-1, 1))
    return Inoculation(diameter, length, (Row(Spokes(edges, radius, radius), ()),))


def growth_days(log: Inoculation, speeds: Speeds, outer_wood: float) -> float:
    """Days of growth until the last point of the outer wood is reached, `outer_wood` deep from the bark.

    Wood that is thinner than that counts to its heart.
    """
    return _farthest(log, round(speeds.along / speeds.across, _SAME), outer_wood) / speeds.across


@dataclass(frozen=True, order=True)
class Patch:
    """A part of a cross-section, between two radii and two angles."""

    inner: float
    outer: float
    first: float
    last: float

    @property
    def middle(self) -> tuple[float, float]:
        """Radius and angle of its middle."""
        return (self.inner + self.outer) / 2, (self.first + self.last) / 2

    @property
    def reach(self) -> float:
        """Way from its middle to the corner that is furthest from it."""
        radius, aside = self.middle[0], math.sin((self.last - self.first) / 4)
        return max(
            math.hypot(edge - radius, 2 * math.sqrt(edge * radius) * aside)
            for edge in (self.inner, self.outer)
        )

    def halves(self) -> list[Patch]:
        """The patch divided where it is longer."""
        radius, angle = self.middle
        if self.outer - self.inner > (self.last - self.first) * self.outer:
            return [replace(self, outer=radius), replace(self, inner=radius)]
        return [replace(self, last=angle), replace(self, first=angle)]


@lru_cache(maxsize=512)
def _farthest(log: Inoculation, faster: float, outer_wood: float) -> float:
    """Way to the last point, as cm across the grain, where growth along it is so many times faster."""
    radius = log.diameter / 2
    stretches = _stretches(log, faster)

    def way(patch: Patch, around: float) -> float:
        across = [row.shape.away(*patch.middle, around) ** 2 for row in log.rows]
        return math.sqrt(max(_latest(across, stretch) for stretch in stretches))

    left = [Patch(max(0.0, radius - outer_wood), radius, *sector) for sector in log.sectors]
    found, waiting = 0.0, list[tuple[float, Patch]]()
    while left:
        for patch in left:
            found = max(found, way(patch, 0.0))
            heappush(waiting, (-way(patch, patch.reach), patch))
        most, patch = heappop(waiting)
        left = patch.halves() if -most > found * (1 + _NEAR) else []
    return found


def calendar_days(growth: float, planted: float, warmest: float, growing: float) -> float:
    """Days from planting to so many days of growth, where a year has `growing` of them in one piece.

    `planted` and `warmest` (the middle of that piece) are days of the year.
    """
    into = (planted - (warmest - growing / 2)) % YEAR
    waits = 0.0 if into < growing else YEAR - into
    left = growing - (0.0 if waits else into)
    if growth <= left:
        return waits + growth
    winters = math.ceil((growth - left) / growing)
    return waits + growth + winters * (YEAR - growing)


Stretch = tuple[tuple[float, float], ...]
"""For each row, the way to its nearest spawn at both ends of a stretch of the log, as cm across the grain."""


def _stretches(log: Inoculation, faster: float) -> frozenset[Stretch]:
    """The stretches of a log between which the nearest spawn of a row changes, equal ones once."""
    breaks = {0.0, log.length}
    for row in log.rows:
        breaks.update(row.at, ((a + b) / 2 for a, b in pairwise(row.at)))

    def gap(row: Row, z: float) -> float:
        return min((abs(z - place) for place in row.at), default=0.0)

    found = set()
    for z, end in pairwise(sorted(breaks)):
        ways = tuple((round(gap(row, z), _SAME), round(gap(row, end), _SAME)) for row in log.rows)
        found.add(min(ways, tuple((last, first) for first, last in ways)))
    return frozenset(tuple((a / faster, b / faster) for a, b in stretch) for stretch in found)


def _latest(across: Sequence[float], stretch: Stretch) -> float:
    """Largest square of the way along a stretch, for the squares of each row's way across the grain.

    It is reached at an end of the stretch, or where two rows take equally long.
    """

    def soonest(share: float) -> float:
        return min(way + (a + share * (b - a)) ** 2 for way, (a, b) in zip(across, stretch, strict=True))

    latest = max(soonest(0.0), soonest(1.0))
    for (one, (a, b)), (other, (c, d)) in combinations(zip(across, stretch, strict=True), 2):
        bend = 2 * (a * (b - a) - c * (d - c))
        share = (other - one + c * c - a * a) / bend if bend else 0.0
        if 0 < share < 1:
            latest = max(latest, soonest(share))
    return latest
