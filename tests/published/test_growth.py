"""Growth figures against the published model and a published trial."""

import math

import pytest

from scheduler.science.growth import Cardinal, ctmi, days_at, ready_after
from scheduler.science.weather import degree_days
from tests.published.cited import cited

# Relative rates worked out independently of this code from the formula of Rosso, Lobry & Flandrois 1993
# (J. Theor. Biol. 162:447-463), printed to three places. Temperature sets: Kaneko 2003 (chestnut), Grigansky
# 1999 (lion's mane), Bonenfant-Magne 1997 (wine cap), J. Fungi 2023 9:294 table 5 (mould), others compiled.
TEMPERATURES = (10, 15, 18, 20, 22, 25, 28, 30)
RELATIVE_RATES = {
    "nameko": ((4, 24, 32), (0.183, 0.525, 0.746, 0.873, 0.964, 0.989, 0.800, 0.497)),
    "shiitake": ((5, 25, 35), (0.156, 0.500, 0.718, 0.844, 0.939, 1.000, 0.926, 0.781)),
    "oyster": ((3, 28, 37), (0.151, 0.401, 0.580, 0.699, 0.811, 0.944, 1.000, 0.967)),
    "wine cap": ((5, 25, 36), (0.171, 0.525, 0.738, 0.857, 0.945, 1.000, 0.936, 0.815)),
    "lion's mane": ((3, 26, 37), (0.214, 0.522, 0.712, 0.825, 0.916, 0.994, 0.974, 0.891)),
    "chestnut": ((-4, 26, 36), (0.369, 0.616, 0.764, 0.853, 0.928, 0.995, 0.975, 0.889)),
    "reishi": ((10, 29, 40), (0.000, 0.197, 0.421, 0.578, 0.726, 0.902, 0.993, 0.993)),
    "enoki": ((3, 24, 34), (0.250, 0.595, 0.794, 0.900, 0.973, 0.992, 0.867, 0.681)),
    "pioppino": ((5, 26, 34), (0.115, 0.406, 0.619, 0.758, 0.878, 0.991, 0.957, 0.804)),
    "blewit": ((4.4, 22.5, 30), (0.199, 0.586, 0.819, 0.937, 0.997, 0.916, 0.518, 0.000)),
    "Trichoderma": ((5, 27.1, 35.5), (0.104, 0.371, 0.572, 0.707, 0.830, 0.966, 0.993, 0.914)),
}


@pytest.mark.parametrize("name", [cited("rosso-1993", name, name) for name in RELATIVE_RATES])
def test_relative_rates_match_the_printed_table(name: str) -> None:
    """The cardinal temperature model gives the printed three places for every species and temperature."""
    (t_min, t_opt, t_max), printed = RELATIVE_RATES[name]
    computed = [round(ctmi(t, t_min, t_opt, t_max), 3) for t in TEMPERATURES]
    # One unit of the third place: table and code round the same number from two computations.
    assert computed == pytest.approx(printed, abs=0.0011)


def test_chestnut_creeps_at_five_degrees() -> None:
    """6 mm a day at 26 C becomes about 1 mm a day at 5 C, as Kaneko 2003 (Mushroom Sci. Biotech. 11:183) saw."""
    # "About 1 mm/day": half a unit of the printed place is the tolerance.
    assert 6 * ctmi(5, -4, 26, 36) == pytest.approx(1.0, abs=0.1)


def test_enoki_regimes_of_equal_warmth_take_the_published_days() -> None:
    """Factory regimes (Acta Edulis Fungi 2024) end in the published order, near the published days."""
    enoki = Cardinal(3, 24, 34)
    published = {(15, 13): 23, (16, 14): 22, (17, 15): 20}
    # Calibrated on the middle regime alone: 22 days through 6 days of 16 C and 16 days of 14 C.
    days_ref = (6 * ctmi(16, 3, 24, 34) + 16 * ctmi(14, 3, 24, 34)) / ctmi(16, 3, 24, 34)
    ready = [
        ready_after([first] * 6 + [then] * 40, 0, days_ref, 0, 16, enoki, 0) for first, then in published
    ]
    # Three days of 23: the limits are a trade note's and not fitted to the trial, which judged by eye.
    assert ready == pytest.approx(list(published.values()), abs=3)
    assert ready == sorted(ready, reverse=True) and len(set(ready)) == 3


@pytest.mark.parametrize(
    ("first_c", "then_c", "days", "sum_c_d"),
    [
        cited("acta-edulis-2024", "low regime", 15, 13, 23, 311),
        cited("acta-edulis-2024", "middle regime", 16, 14, 22, 320),
        cited("acta-edulis-2024", "high regime", 17, 15, 20, 312),
    ],
)
def test_enoki_regimes_of_equal_warmth(first_c: float, then_c: float, days: int, sum_c_d: float) -> None:
    """Six days at the first temperature and the rest at the second add up to the printed degree-days above 0 C."""
    course = [first_c] * 6 + [then_c] * (days - 6)
    assert sum(degree_days(t, t, 0) for t in course) == sum_c_d


def test_core_heat_stops_a_bag_before_the_room_does() -> None:
    """A core up to 4 C above the air (Acta Edulis Fungi 2024) takes nameko past its 32 C in a room at 29 C."""
    nameko = Cardinal(4, 24, 32)
    assert days_at(21, 2, 22, 29, nameko, 4) is None
    alone = days_at(21, 2, 22, 29, nameko, 0)
    assert alone is not None and alone > 21 and math.isfinite(alone)
