"""Laws of what a planting takes, for every method: more, thicker, longer and closer never take less."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.lines.demand import demand
from scheduler.lines.shapes import Demand
from scheduler.season.season import LogGroup, Pattern, Planting
from tests.grower import BED, OAK, catalogue, season

SEASON = season(OAK, BED)
LOGS, CHIPS = SEASON.plantings
OF_LOGS = sorted(name for name, method in catalogue().methods.items() if method.piece != "m2")
ROUTES = [("liquid culture", "grain", "sawdust"), ("liquid culture", "grain", "dowels")]

counts, times = st.integers(1, 60), st.floats(1, 3)
diameters, lengths, spacings = st.floats(6, 40), st.floats(30, 200), st.floats(4, 30)


def taken(planting: Planting) -> Demand:
    """What a planting takes."""
    return demand(planting, SEASON, catalogue())


def of(method: str, count: int, diameter: float, length: float, **more: object) -> Planting:
    """Logs, totems or stumps of one size."""
    group = LogGroup(count, diameter, None if method == "stump" else length)
    pattern = LOGS.pattern if method == "drilled logs" else None
    return replace(LOGS, method=method, groups=(group,), **{"pattern": pattern, **more})  # type: ignore[arg-type]


def minutes(found: Demand) -> int:
    """Of all steps on all pieces."""
    return sum(step.minutes_per_piece for step in found.steps) * found.pieces


@pytest.mark.parametrize("method", OF_LOGS)
@given(counts, counts, diameters, lengths)
def test_more_pieces_never_take_less(
    method: str, one: int, other: int, diameter: float, length: float
) -> None:
    """Neither spawn nor wood nor supplies, and each piece takes its own share of them."""
    few, many = sorted((one, other))
    less, more = (taken(of(method, count, diameter, length)) for count in (few, many))
    assert less.spawn_g <= more.spawn_g and less.wood_kg <= more.wood_kg
    assert more.spawn_g == pytest.approx(less.spawn_g * many / few)
    assert more.heaviest_piece_kg == pytest.approx(less.heaviest_piece_kg)
    for fewer, further in zip(less.supplies, more.supplies, strict=True):
        assert (fewer.item, fewer.unit) == (further.item, further.unit)
        assert fewer.quantity <= further.quantity


@pytest.mark.parametrize("method", OF_LOGS)
@given(counts, diameters, lengths, times)
def test_thicker_and_longer_never_take_less(
    method: str, count: int, diameter: float, length: float, factor: float
) -> None:
    """Neither spawn nor wood, and no piece gets lighter."""
    usual = taken(of(method, count, diameter, length))
    for larger in (
        taken(of(method, count, diameter * factor, length)),
        taken(of(method, count, diameter, length * factor)),
    ):
        assert larger.spawn_g >= usual.spawn_g - 1e-9
        assert larger.heaviest_piece_kg >= usual.heaviest_piece_kg - 1e-9
        assert larger.wood_kg >= usual.wood_kg - 1e-9


@pytest.mark.parametrize("route", ROUTES, ids=lambda route: str(route[-1]))
@given(counts, diameters, lengths, spacings, spacings, times)
def test_closer_holes_never_take_less(
    route: tuple[str, ...],
    count: int,
    diameter: float,
    length: float,
    along: float,
    around: float,
    factor: float,
) -> None:
    """Along the log and around it, each by itself."""

    def grams(along_cm: float, around_cm: float) -> float:
        pattern = Pattern(along_cm, around_cm)
        return taken(of("drilled logs", count, diameter, length, pattern=pattern, route=route)).spawn_g

    wide = grams(along, around)
    assert grams(along / factor, around) >= wide and grams(along, around / factor) >= wide


@given(st.floats(0.5, 40), st.floats(3, 40), times)
def test_a_larger_or_deeper_bed_never_takes_less(area: float, depth: float, factor: float) -> None:
    """A larger bed takes more spawn, chips and work; a deeper one more chips."""

    def bed(area_m2: float, depth_cm: float) -> Demand:
        return taken(replace(CHIPS, area_m2=area_m2, depth_cm=depth_cm))

    usual, larger, deeper = bed(area, depth), bed(area * factor, depth), bed(area, depth * factor)
    assert larger.spawn_g >= usual.spawn_g and larger.chips_l >= usual.chips_l
    assert deeper.spawn_g == usual.spawn_g and deeper.chips_l >= usual.chips_l
    # Minutes are rounded up for each piece, and a piece is a square metre or less.
    assert minutes(larger) + larger.pieces * len(larger.steps) >= minutes(usual)


@given(counts, diameters, lengths)
def test_all_methods_take_something(count: int, diameter: float, length: float) -> None:
    """No piece from 30 cm on goes without spawn."""
    for method in OF_LOGS:
        found = taken(of(method, count, diameter, length))
        assert found.spawn_g > 0, method
        assert found.pieces == count
