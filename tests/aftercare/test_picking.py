"""Years of picking, expected masses and forced flushes, against published figures where there are any."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.aftercare.picking import Life, last_day, life, soaks
from scheduler.season.season import LogGroup, Standing
from tests.aftercare.stands import BED, CATALOGUE, OAK, STUMP, every_kind

NORTH, SOUTH = 50.0, -38.0


def _life(standing: Standing, latitude: float = NORTH) -> Life:
    return life(standing, CATALOGUE, latitude)


def test_shares_of_the_years_are_those_published() -> None:
    """University of Maryland Extension, RES-11: years two and three bear double years one and four."""
    first, second, third, fourth = (year.likely_g for year in _life(OAK).years)
    assert first == pytest.approx(fourth) and second == pytest.approx(third)
    assert second / first == pytest.approx(2, rel=0.01)


def test_forty_logs_bear_what_forty_logs_are_said_to() -> None:
    """1, 3 and 6 lb over the life of a log of 4 to 6 inches (common practice): 18, 56 and 108 kg of 40."""
    years = _life(OAK).years
    assert sum(year.likely_g for year in years) == pytest.approx(40 * 1400, rel=0.01)
    assert sum(year.low_g for year in years) <= 40 * 450
    assert sum(year.high_g for year in years) >= 40 * 2700


def test_shiitake_may_fruit_six_months_on_and_likely_does_after_twelve() -> None:
    """Hill, University of Kentucky FOR-85: after 6 to 18 months; FOR-83: late-winter logs often fruit that autumn."""
    one = _life(replace(OAK, planted=date(2027, 3, 1)))
    assert one.early == ((date(2027, 8, 30), date(2027, 10, 15)),)
    assert one.years[0].between[0] == (date(2028, 4, 16), date(2028, 10, 15))


def test_wine_cap_fruits_in_two_to_eleven_months() -> None:
    """Two to eleven months after planting (common practice): a bed of May fruits from September to next spring."""
    one = _life(BED)
    assert one.years[0].between == (
        (date(2027, 9, 1), date(2027, 10, 15)),
        (date(2028, 4, 16), date(2028, 7, 15)),
    )


def test_the_season_of_five_months_holds_three_soaks() -> None:
    """Season of 15 May to 15 October (22 weeks), seven weeks of rest and one to two of flush: soaks in weeks 0, 8 to 9
    and 16 to 18 (worked out from the published cycle: Stamets 1993, p. 263, for the flush)."""
    season = ((date(2029, 5, 15), date(2029, 10, 15)),)
    found = soaks(_life(OAK), CATALOGUE.care.soaking, date(2028, 5, 1), season)
    weeks = [(begin - date(2029, 5, 15)).days / 7 for begin, _ in found]
    assert len(found) == 3
    assert weeks[0] == 0 and 8 <= weeks[1] <= 9 and 16 <= weeks[2] <= 18


@given(st.integers(0, 200), st.integers(30, 400))
def test_rest_between_soaks_is_kept_in_full(offset: int, length: int) -> None:
    """However the season lies, flush and rest of one soak are over before the next, and each flush fits."""
    begin = date(2029, 3, 1) + timedelta(days=offset)
    season = ((begin, begin + timedelta(days=length)),)
    soaking = CATALOGUE.care.soaking
    cycle = timedelta(days=round(soaking.flush.likely) + round(soaking.rest.likely))
    found = soaks(_life(OAK), soaking, date(2028, 1, 1), season)
    assert all(other[0] - one[0] >= cycle for one, other in pairwise(found))
    assert all(end + timedelta(days=round(soaking.flush.likely)) <= season[0][1] for _, end in found)


@pytest.mark.parametrize("standing", every_kind(), ids=lambda one: f"{one.species} {one.method}")
@pytest.mark.parametrize("latitude", [NORTH, SOUTH])
def test_every_kind_has_years_in_order(standing: Standing, latitude: float) -> None:
    """Each year has its spans in the species' own seasons, after the first flush can come, and masses in order."""
    one = _life(standing, latitude)
    species = CATALOGUE.species[standing.species]
    spans = [span for year in one.years for span in year.between]
    assert [year.year for year in one.years] == list(range(1, len(species.harvest.by_year) + 1))
    assert spans == sorted(spans) and all(begin <= end for begin, end in spans)
    assert spans[0][1] >= one.run_by > standing.planted
    assert all(end < one.run_by for _, end in one.early)
    assert all(year.low_g <= year.likely_g <= year.high_g for year in one.years)
    assert one.ends[0] <= one.ends[1] and last_day(one) == spans[-1][1]


@given(st.integers(1, 500), st.floats(8, 20), st.floats(60, 130))
def test_more_or_thicker_logs_never_bear_less(count: int, diameter: float, length: float) -> None:
    """Expected mass grows with the number, the thickness and the length of the logs."""

    def kilos(group: LogGroup) -> float:
        return sum(year.likely_g for year in _life(replace(OAK, groups=(group,))).years)

    base = kilos(LogGroup(count, diameter, length))
    assert kilos(LogGroup(count + 1, diameter, length)) >= base
    assert kilos(LogGroup(count, diameter + 1, length)) >= base
    assert kilos(LogGroup(count, diameter, length + 5)) >= base


def test_a_stump_goes_by_its_cut_and_a_bed_by_its_area() -> None:
    """Twice as wide is four times the cut; twice the area is twice the bed."""
    wide = replace(STUMP, groups=(LogGroup(2, 60.0),))
    assert _life(wide).years[0].likely_g == pytest.approx(4 * _life(STUMP).years[0].likely_g, abs=2)
    large = replace(BED, area_m2=13.0)
    assert _life(large).years[0].likely_g == pytest.approx(2 * _life(BED).years[0].likely_g, abs=2)
