"""How moist logs are by what was recorded of them: drying, water, rain, and the weights of marked logs."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.lines import logs, moisture
from scheduler.lines.logs import Band
from scheduler.lines.moisture import Known, Log
from scheduler.progress import PlantingProgress
from scheduler.season.season import LogGroup, Planting
from tests import grower

CATALOGUE = grower.catalogue()
RULES = CATALOGUE.wood_rules
FELLED = date(2027, 1, 23)
PLANTED = date(2027, 5, 15)
TWO_WEEKS = timedelta(days=14)
EXPECTED = Band(15.0, 16.0, 17.0)


@pytest.fixture(scope="module")
def oak() -> Planting:
    """Sixty oak logs of 13 cm by 1 m."""
    return grower.season().plantings[0]


@pytest.fixture(scope="module")
def drying(oak: Planting) -> moisture.Drying:
    """How they dry at 44 degrees north."""
    return moisture.drying_of(oak, 44.0, CATALOGUE)


def weighed(
    happened: PlantingProgress, day: date, drying: moisture.Drying, wetting: moisture.Wetting = ()
) -> Log:
    """The only marked log on a day."""
    start = moisture.from_days(happened, None, drying)
    (log,) = moisture.from_weights(happened, start, wetting, day, drying, EXPECTED, TWO_WEEKS)
    return log


def test_what_a_moisture_is_reckoned_from(drying: moisture.Drying) -> None:
    """The first day of felling, else the one of the season file, else that of planting; nothing without any."""
    parts = {FELLED: 10, FELLED + TWO_WEEKS: 10}
    assert moisture.from_days(PlantingProgress(felled=parts), None, drying) == Known(
        drying.fresh, "felled", FELLED
    )
    bought = PlantingProgress(planted={PLANTED: 20})
    assert moisture.from_days(bought, FELLED, drying) == Known(drying.fresh, "felled", FELLED)
    assert moisture.from_days(bought, None, drying) == Known(drying.fresh, "planted", PLANTED)
    assert moisture.from_days(PlantingProgress(), None, drying) is None


@given(st.integers(0, 600), st.integers(0, 60))
def test_logs_left_alone_only_dry(days: int, more: int) -> None:
    """Later is never moister, the band never crosses itself, and wood gets no drier than left alone."""
    drying = moisture.drying_of(grower.season().plantings[0], 44.0, CATALOGUE)
    begun = Known(drying.fresh, "felled", FELLED)
    sooner = moisture.reckoned(begun, (), FELLED + timedelta(days=days), drying).moisture
    later = moisture.reckoned(begun, (), FELLED + timedelta(days=days + more), drying).moisture
    assert later.low <= sooner.low and later.likely <= sooner.likely and later.high <= sooner.high
    assert later.low <= later.likely <= later.high
    assert later.low >= drying.left_alone.low


def test_water_brings_dry_logs_up_and_leaves_moist_ones(drying: moisture.Drying) -> None:
    """At 28 % logs count as 35 % from the day they got water; at 42 % as 42 %, by what was known before."""
    on = date(2027, 7, 10)
    wet: moisture.Wetting = ((on, "watered"),)
    dry = Known(Band(26, 28, 30), "weighed", on - timedelta(days=1))
    found = moisture.reckoned(dry, wet, on, drying)
    assert (found.by, found.since) == ("watered", on)
    assert (found.moisture.low, found.moisture.likely, found.moisture.high) == (30, 35, 45)
    moist = Known(Band(40, 42, 44), "weighed", on)
    found = moisture.reckoned(moist, wet, on, drying)
    assert (found.by, found.since, found.moisture.likely) == ("weighed", on, 42)


def test_dead_logs_do_not_rewet(drying: moisture.Drying) -> None:
    """Below 23 % water changes nothing."""
    on = date(2027, 8, 10)
    dead = Known(Band(20, 22, 22.9), "weighed", on)
    assert moisture.reckoned(dead, ((on, "watered"),), on, drying) == dead


def test_water_before_what_is_known_counts_no_more(drying: moisture.Drying) -> None:
    """A weight says more than the watering before it."""
    on = date(2027, 7, 10)
    dry = Known(Band(26, 28, 30), "weighed", on)
    assert moisture.reckoned(dry, ((on - timedelta(days=1), "watered"),), on, drying) == dry


def test_a_week_of_enough_rain_is_water() -> None:
    """Seven days with an inch between them, each of them measured; less, or a hole, is none."""
    days = [date(2027, 6, 1) + timedelta(days=place) for place in range(10)]
    rain = dict(zip(days, [0, 0, 0, 0, 0, 0, 25.3, 0.1, 0, 0], strict=True))
    assert moisture.rain_of_week(rain, days[5]) is None
    assert moisture.rain_of_week(rain, days[6]) == pytest.approx(25.3)
    assert moisture.rain_of_week(rain, days[7]) == pytest.approx(25.4)
    wet = moisture.wettings([days[0]], rain, RULES.enough_rain.likely)
    assert wet == ((days[0], "watered"), (days[7], "rain"), (days[8], "rain"), (days[9], "rain"))
    del rain[days[4]]
    assert moisture.wettings([], rain, RULES.enough_rain.likely) == ()


def test_the_first_weight_is_the_starting_weight(drying: moisture.Drying) -> None:
    """Weighed on the day of felling it is as moist as fresh oak; 10 % lighter, 38 %."""
    happened = PlantingProgress(felled={FELLED: 60}, weights_g={"": {FELLED: 16000.0, PLANTED: 14400.0}})
    first = weighed(happened, FELLED, drying)
    assert (first.starting_g, first.started_on) == (16000, FELLED)
    assert first.known.moisture.likely == pytest.approx(drying.fresh.likely)
    last = weighed(happened, PLANTED, drying)
    assert last.known == Known(last.known.moisture, "weighed", PLANTED)
    oak = CATALOGUE.woods["oak"].fresh_moisture
    for found, fresh in (
        (last.known.moisture.low, oak.lowest),
        (last.known.moisture.likely, oak.likely),
        (last.known.moisture.high, oak.highest),
    ):
        assert found == pytest.approx(100 * (1 - (1 - fresh / 100) / 0.9))


def test_a_first_weight_at_planting_is_that_of_wood_that_has_dried(drying: moisture.Drying) -> None:
    """Its moisture on that day is the one reckoned from the day of felling."""
    happened = PlantingProgress(felled={FELLED: 60}, weights_g={"log 2": {PLANTED: 15000.0}})
    begun = Known(drying.fresh, "felled", FELLED)
    found = weighed(happened, PLANTED, drying)
    expected = moisture.reckoned(begun, (), PLANTED, drying).moisture
    assert found.known.moisture.likely == pytest.approx(expected.likely)
    assert expected.likely < drying.fresh.likely - 2
    assert (found.name, found.started_on) == ("log 2", PLANTED)


def test_a_first_weight_long_after_planting_is_compared_with_what_is_expected(
    drying: moisture.Drying,
) -> None:
    """Up to two weeks after it is the starting weight; later the log is taken to have weighed what its size says."""
    late = PLANTED + timedelta(days=15)
    planted = PlantingProgress(felled={FELLED: 60}, planted={PLANTED: 60})
    in_time = weighed(replace(planted, weights_g={"": {late - timedelta(days=1): 13000.0}}), late, drying)
    assert in_time.started_on == late - timedelta(days=1)
    found = weighed(replace(planted, weights_g={"": {late: 13000.0}}), late, drying)
    assert (found.started_on, found.starting_g) == (None, 16000)
    assert found.known.moisture.likely == pytest.approx(100 * (1 - 16 * (1 - 0.44) / 13))
    assert found.known.moisture.low < found.known.moisture.likely < found.known.moisture.high


def test_the_last_round_decides(drying: moisture.Drying) -> None:
    """The driest of those weighed within a week of the last; one of months ago says nothing any more."""

    def log(name: str, on: date, likely: float) -> Log:
        return Log(name, 1.0, on, 1.0, FELLED, Known(Band(likely, likely, likely), "weighed", on))

    logs_ = (
        log("log 1", PLANTED, 36),
        log("log 2", PLANTED - timedelta(days=6), 34),
        log("log 3", FELLED, 22),
    )
    assert [one.name for one in moisture.last_round(logs_)] == ["log 2", "log 1"]
    assert moisture.last_round(()) == ()


def advised(
    likely: float,
    *,
    by: moisture.How = "felled",
    lost: float = 0.0,
    wetted: date | None = None,
    rain: float | None = None,
    outdoors: bool = True,
) -> moisture.Advice:
    """What is said on the day after a weighing."""
    today = date(2027, 7, 15)
    known = Known(Band(likely, likely, likely), by, today - timedelta(days=1))
    log = Log("", 100 - lost, known.since, 100.0, FELLED, known)
    weighed_logs = (log,) if by == "weighed" else ()
    return moisture.advice(known, weighed_logs, wetted, rain, today, CATALOGUE, outdoors=outdoors)


WET = date(2027, 7, 10)


@pytest.mark.parametrize(
    ("found", "water", "reason"),
    [
        (advised(44), False, "moist"),
        (advised(31), False, "moist"),
        (advised(29.9), True, "dry"),
        (advised(24), True, "dry"),
        (advised(22), True, "dry"),  # only reckoned: it is watered all the same
        (advised(22, by="weighed", lost=30), False, "dead"),
        (advised(37, by="weighed", lost=10.5), True, "weight"),
        (advised(38, by="weighed", lost=9.5), False, "moist"),
        (advised(29, wetted=WET), False, "watered"),
        (advised(29, wetted=date(2027, 7, 8)), True, "dry"),  # a week ago
        (advised(29, by="weighed", lost=20, wetted=WET), True, "weight"),  # weighed since
        (advised(34, rain=25.3), True, "dry week"),
        (advised(34, rain=25.4), False, "moist"),
        (advised(35, rain=0), False, "moist"),
        (advised(34, rain=0, outdoors=False), False, "moist"),  # stored under cover
    ],
)
def test_when_logs_are_watered(found: moisture.Advice, water: bool, reason: str) -> None:
    """By weight, moisture or a dry week; not again within a week, and not what a new weight calls dead."""
    assert (found.water, found.reason) == (water, reason)


def test_the_lightest_log_is_the_reason() -> None:
    """With the day of its weight and what it has lost."""
    found = advised(37, by="weighed", lost=12)
    assert (found.on, found.lost_pct) == (date(2027, 7, 14), pytest.approx(12))


@pytest.mark.parametrize("latitude", [44.0, None, -33.0])
def test_days_until_too_dry_shrink_towards_summer(oak: Planting, latitude: float | None) -> None:
    """From midwinter to early summer, whatever the half of the world; without a latitude it is the northern."""
    dries = moisture.drying_of(oak, latitude, CATALOGUE)
    first = date(2027, 7, 1) if (latitude or 0) < 0 else date(2027, 1, 1)
    days = [dries.days_down_to(40, 35, first + timedelta(days=30 * month)) for month in range(6)]
    known = [day for day in days if day is not None]
    assert known == sorted(known, reverse=True) and len(set(known)) == 6


def test_small_logs_dry_faster(oak: Planting) -> None:
    """Below 10 cm by the catalogue's factor; the thinnest group counts."""
    factor = RULES.small_log_factor.likely
    small = replace(oak, groups=(*oak.groups, LogGroup(4, 9.9, 100.0)))
    assert (logs.drying_factor(oak, CATALOGUE), logs.drying_factor(small, CATALOGUE)) == (1.0, factor)
    loss, losses = (moisture.drying_of(one, 44.0, CATALOGUE).lost(FELLED, PLANTED) for one in (oak, small))
    assert losses.likely == pytest.approx(factor * loss.likely)


def test_the_next_weighing() -> None:
    """Weekly in summer, fortnightly in spring and autumn, monthly in winter; today if never, or overdue."""

    def due(today: date, latitude: float | None = 44.0, before: int = 1) -> int:
        last = today - timedelta(days=before)
        return (moisture.next_weighing(last, today, latitude, CATALOGUE) - today).days

    assert [due(date(2027, month, 15)) for month in (1, 4, 7)] == [27, 13, 6]
    assert [due(date(2027, month, 15), -33.0) for month in (1, 4, 7)] == [6, 13, 27]
    assert due(date(2027, 7, 15), before=40) == 0
    assert moisture.next_weighing(None, PLANTED, 44.0, CATALOGUE) == PLANTED


def test_what_a_log_may_weigh(oak: Planting) -> None:
    """Oak of 13 cm by 1 m is 16.4 kg fresh; dry to waterlogged, a quarter thinner to thicker, 4.5 to 26 kg."""
    mass = logs.fresh_mass(oak, CATALOGUE)
    assert mass.likely == pytest.approx(16.4, abs=0.05)
    bounds = logs.weights(oak, CATALOGUE)
    assert bounds.pieces == 60
    assert bounds.lightest_g == pytest.approx(1000 * 15.52 * 0.52 * 0.75**2, rel=0.01)
    # Fresh oak is nearly waterlogged: it can take up little more than a quarter of its weight.
    assert 1.0 < bounds.wettest < 1.3
    assert bounds.driest == pytest.approx(1 - 0.48)
    assert bounds.heaviest_g > 1000 * mass.high > 1000 * mass.low > bounds.lightest_g


def test_unknown_wood_is_taken_for_a_heavy_hardwood(oak: Planting) -> None:
    """A planting that names no wood has no band, but the figures it is planned with."""
    unnamed = replace(oak, wood=None)
    assert logs.fresh_moisture(unnamed, CATALOGUE) == Band(45, 45, 45)
    assert logs.fresh_mass(unnamed, CATALOGUE).likely == pytest.approx(0.01327 * 950, rel=0.001)


def test_only_logs_have_log_moisture() -> None:
    """Drilled logs and totems have it, beds have none."""
    season = grower.season(grower.OAK, grower.TOTEMS, grower.BED)
    assert [logs.has_logs(one, CATALOGUE) for one in season.plantings] == [True, True, False]
