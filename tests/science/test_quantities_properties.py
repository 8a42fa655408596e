"""Laws of quantities."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.science.quantities import (
    bed_grams,
    holes,
    holes_per_row,
    log_mass_kg,
    pellets_for,
    raft_area_m2,
    rows,
    stump_grams,
    totem_grams,
    units_fed,
    water_to_add,
)

diameters = st.floats(5, 60)
moistures = st.floats(0, 80)


@given(diameters, st.floats(20, 150), st.floats(5, 30), st.floats(3, 15))
def test_holes_are_rows_times_holes_in_a_row(
    diameter: float, length: float, along: float, around: float
) -> None:
    """The last hole fits on the log, one more would not, and spacing wider never gives more holes."""
    count = holes_per_row(length, along)
    assert count * along <= length + 1e-6 and (count + 1) * along > length
    assert holes(diameter, length, along, around) == rows(diameter, around) * count
    assert holes(diameter, length, along * 1.2, around * 1.2) <= holes(diameter, length, along, around)


@given(st.integers(1, 40))
def test_whole_spacings_are_not_lost_to_rounding(count: int) -> None:
    """A length of exactly so many spacings holds so many, inches or not."""
    assert holes_per_row(count * 6 * 2.54, 6 * 2.54) == count
    assert units_fed(count * 0.1, 0.1) == count


@given(st.floats(0.1, 50), moistures, moistures)
def test_water_and_pellets_are_inverse(dry_kg: float, now: float, wanted: float) -> None:
    """Wetting so many kg gives a substrate that takes so many kg; wetter goods take no water."""
    water = water_to_add(dry_kg, now, wanted)
    if wanted <= now:
        assert water == 0
    else:
        assert pellets_for(dry_kg + water, now, wanted) == pytest.approx(dry_kg)
        assert (dry_kg * now / 100 + water) / (dry_kg + water) == pytest.approx(wanted / 100)


def test_layers_and_areas() -> None:
    """A stump is one layer of a totem, a raft the sum of its logs' shadows, a bed its rate times its area."""
    assert 3 * stump_grams(30, 20, 0.35) == pytest.approx(totem_grams(30, 3, 20, 0.35))
    assert raft_area_m2([(12, 13, 100), (4, 20, 50)]) == pytest.approx(1.56 + 0.4)
    assert bed_grams(6, 0.5) == pytest.approx(3000)


@given(diameters, st.floats(20, 150), st.floats(5, 30), st.floats(3, 15), st.floats(1, 3))
def test_closer_longer_and_thicker_never_have_fewer_holes(
    diameter: float, length: float, along: float, around: float, factor: float
) -> None:
    """Each of the four by itself."""
    usual = holes(diameter, length, along, around)
    assert usual <= holes(diameter, length, along / factor, around)
    assert usual <= holes(diameter, length, along, around / factor)
    assert usual <= holes(diameter * factor, length, along, around)
    assert usual <= holes(diameter, length * factor, along, around)


@given(st.floats(1, 60), st.floats(1, 200), st.floats(300, 1300), st.floats(1, 3))
def test_a_larger_log_is_never_lighter(diameter: float, length: float, density: float, factor: float) -> None:
    """Mass grows with density and length, and with the square of the diameter."""
    usual = log_mass_kg(diameter, length, density)
    assert log_mass_kg(diameter * factor, length, density) == pytest.approx(usual * factor**2)
    assert log_mass_kg(diameter, length * factor, density) == pytest.approx(usual * factor)
    assert log_mass_kg(diameter, length, density * factor) == pytest.approx(usual * factor)


@given(st.floats(0.1, 50), moistures, moistures, moistures)
def test_drier_goods_and_wetter_goals_never_take_less_water(
    dry_kg: float, one: float, other: float, wanted: float
) -> None:
    """By what is there and by what is wanted, each by itself; and a parent feeds no more at a higher rate."""
    drier, wetter = sorted((one, other))
    assert water_to_add(dry_kg, drier, wanted) >= water_to_add(dry_kg, wetter, wanted)
    assert water_to_add(dry_kg, wanted, wetter) >= water_to_add(dry_kg, wanted, drier)
    assert units_fed(dry_kg, 0.1 + wetter) <= units_fed(dry_kg, 0.1 + drier)


@given(diameters, st.integers(1, 5), st.floats(1, 40), st.floats(0.2, 0.8), st.floats(1, 3))
def test_layers_grow_with_every_measure(
    diameter: float, layers: int, depth_mm: float, density: float, factor: float
) -> None:
    """Totems and stumps: thicker wood, more, deeper or denser layers never take less."""
    usual = totem_grams(diameter, layers, depth_mm, density)
    for more in (
        totem_grams(diameter * factor, layers, depth_mm, density),
        totem_grams(diameter, layers + 1, depth_mm, density),
        totem_grams(diameter, layers, depth_mm * factor, density),
        totem_grams(diameter, layers, depth_mm, density * factor),
    ):
        assert more >= usual
    assert stump_grams(diameter * factor, depth_mm, density) >= stump_grams(diameter, depth_mm, density)
