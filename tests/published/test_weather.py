"""Frost dates, degree-days, bud break and rain against printed definitions and open daily weather.

Definitions: NOAA/NCDC freeze and frost probabilities [noaa-freeze]; National Weather Service, Jackson MS
[nws-frost-freeze]; Minnesota DNR, freeze dates 1991-2020 [mn-dnr-freeze]; Midwestern Regional Climate Center
[mrcc-freeze]. Data: Seattle 2012-15 [noaa-seattle-2012]; Champion, Nebraska, 1982-2018, Brussels and Cambridge
[aquacrop-climate]; aspens observed for the USA National Phenology Network [npn-aspen].
"""

from __future__ import annotations

import statistics
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from scheduler.science import weather
from scheduler.science.daylight import daylight_hours
from scheduler.trade.catalogue import load
from scheduler.weather import norms
from scheduler.weather.daily import Daily, read
from scheduler.weather.winters import Winters, begins_in
from tests.open_data import aspens, coloured_leaves, crops, seattle_csv
from tests.published.cited import cited

CATALOGUE = load()
RULES = CATALOGUE.weather.rules
OPENED = {"champion": 40.4, "brussels": 50.8, "cambridge": 52.2}


@pytest.fixture(scope="module")
def seattle(tmp_path_factory: pytest.TempPathFactory) -> Daily:
    """Four years of Seattle."""
    file = tmp_path_factory.mktemp("seattle") / "seattle.csv"
    file.write_text(seattle_csv())
    return read(file)


def winters(daily: Daily, latitude: float) -> Winters:
    """The station's years."""
    return Winters(daily, begins_in(daily, latitude), 5, latitude)


def dates(days: list[int | None]) -> list[str]:
    """Days after 1 August as dates of a year without a leap day."""
    return [f"{date(2001, 8, 1) + timedelta(days=day):%m-%d}" for day in days if day is not None]


def near(day: float | None, expected: str) -> bool:
    """Whether a day after 1 August is a date, give or take a day: leap days and rounding shift the count."""
    assert day is not None
    year = 2001 if expected >= "08" else 2002
    return abs(day - (date.fromisoformat(f"{year}-{expected}") - date(2001, 8, 1)).days) <= 1.5


def test_54_by_day_and_40_by_night_are_two_degree_days() -> None:
    """The growers' example in F: 2 above 50 by the method that first brings both between 50 and 86."""
    assert weather.degree_days(40, 54, 50, 86) == 2
    assert weather.degree_days(40, 54, 50) == 0
    assert weather.degree_days(40, 54, 45) == 2


@pytest.mark.parametrize(
    ("chance", "spring", "autumn"),
    [
        cited("noaa-freeze", "90 %, the risky day of spring and the safe one of autumn", 0.9, 0.1, 0.9),
        cited("mn-dnr-freeze", "70 %", 0.7, 0.3, 0.7),
        cited("noaa-freeze", "50 %, the median of both", 0.5, 0.5, 0.5),
        cited("common practice", "30 %, of almanacs", 0.3, 0.7, 0.3),
        cited("noaa-freeze", "10 %, the safe day of spring and the risky one of autumn", 0.1, 0.9, 0.1),
    ],
)
def test_a_chance_is_this_percentile(chance: float, spring: float, autumn: float) -> None:
    """NOAA's chance of a freeze after a day of spring, or by one of autumn, as a percentile of the years."""
    years = [day * day % 97 for day in range(31)]
    assert weather.last_freeze(years, chance) == pytest.approx(np.quantile(years, spring))
    assert weather.first_freeze(years, chance) == pytest.approx(np.quantile(years, autumn))
    after = sum(day > (weather.last_freeze(years, chance) or 0) for day in years)
    assert after == pytest.approx(chance * len(years), abs=1)


def test_a_table_of_freeze_chances_is_read_with_noaas_sign() -> None:
    """Minnesota's example: 70 % for 19 April is a freeze after 19 April in seven of ten years."""
    april = date(2001, 4, 19).timetuple().tm_yday
    last = [april - 9, april - 5, april - 1, *(april + day for day in range(1, 8))]
    found = weather.last_freeze(last, 0.70)
    assert found is not None and april - 1 <= found <= april + 1
    assert sum(day > found for day in last) == 7
    assert weather.last_freeze(last, 0.10) == np.quantile(last, 0.90)
    assert weather.last_freeze(last, 0.90) == np.quantile(last, 0.10)


def test_early_and_late_freezes_of_autumn() -> None:
    """Midwestern Regional Climate Center: only a tenth of all first freezes are earlier than the early date."""
    first = list(range(260, 281))
    early = weather.first_freeze(first, 0.10)
    assert early == 262 == np.quantile(first, 0.10)
    assert sum(day < early for day in first) <= len(first) / 10


def test_thresholds_of_frost_and_hard_freeze() -> None:
    """National Weather Service: freeze at 32 F, hard freeze at 28 F; NCDC counts what is as cold or colder."""
    rules = RULES
    assert rules.freeze.likely * 9 / 5 + 32 == 32
    assert rules.hard_freeze.likely * 9 / 5 + 32 == pytest.approx(28, abs=0.05)
    assert weather.last_at_or_below([-1, 0.0, 0.1], rules.freeze.likely) == 1


@pytest.mark.parametrize(
    ("per_100_m", "days"),
    [
        cited("richardson-2006", f"{lag} d per 100 m", lag, days)
        for lag, days in ((2.3, 13.2), (2.7, 15.5), (3.1, 17.8))
    ],
)
def test_buds_break_later_uphill(per_100_m: float, days: float) -> None:
    """Hubbard Brook (Richardson et al. 2006): 2.7 +- 0.4 days for 100 m, so 15.5 from 250 to 825 m."""
    assert weather.later_uphill(825 - 250, per_100_m) == pytest.approx(days, abs=0.05)


def test_last_and_first_freezes_of_seattle(seattle: Daily) -> None:
    """Last nights at 0 C: 19 March 2012, 4 March 2013, 9 February 2014, 4 March 2015; first 10, 21, 12, 23 Nov."""
    years = winters(seattle, 47.6)
    last = years.each(153, 365, lambda part: weather.last_at_or_below(part.night, 0))
    first = years.each(0, 153, lambda part: weather.first_at_or_below(part.night, 0))
    assert len(last) == len(first) == 4
    assert dates(first) == ["11-10", "11-21", "11-12", "11-23"]
    starts = [date(year - 1, 8, 1) for year in range(2012, 2016)]
    assert [start + timedelta(days=day or 0) for start, day in zip(starts, last, strict=True)] == [
        date(2012, 3, 19), date(2013, 3, 4), date(2014, 2, 9), date(2015, 3, 4),
    ]  # fmt: skip


def test_dry_weeks_of_seattle(seattle: Daily) -> None:
    """Weeks below an inch of rain (Kentucky FOR-82), 1 May to 24 September: 19, 17, 18 and 19 of 21."""
    for year, dry in zip(range(2012, 2016), (19, 17, 18, 19), strict=True):
        begin = (date(year, 5, 1) - seattle.first).days
        weeks = [seattle.rain[begin + 7 * week : begin + 7 * week + 7] for week in range(21)]
        assert sum(sum(day or 0 for day in week) < 25.4 for week in weeks) == dry, year


@pytest.mark.parametrize(
    ("station", "years", "spring", "autumn"),
    [
        cited(
            "aquacrop-climate",
            "freezes of Champion",
            "champion",
            37,
            ("04-27", "05-09", "05-25"),
            ("09-17", "09-28", "10-09"),
        ),
        cited(
            "aquacrop-climate",
            "freezes of Brussels",
            "brussels",
            30,
            ("03-11", "04-10", "04-29"),
            ("10-30", "11-14", "12-02"),
        ),
        cited(
            "aquacrop-climate",
            "freezes of Cambridge",
            "cambridge",
            31,
            ("03-25", "04-14", "05-07"),
            ("10-28", "11-17", "12-09"),
        ),
    ],
)
def test_freeze_percentiles_of_decades(
    station: str, years: int, spring: tuple[str, ...], autumn: tuple[str, ...]
) -> None:
    """10th, 50th and 90th percentile at 0 C: NOAA's 90, 50 and 10 % in spring, its 10, 50 and 90 % in autumn."""
    cut = winters(crops(station), OPENED[station])
    last = cut.each(153, 365, lambda part: weather.last_at_or_below(part.night, 0))
    first = cut.each(0, 153, lambda part: weather.first_at_or_below(part.night, 0))
    assert len(last) == len(first) == years
    for chance, expected in zip((0.9, 0.5, 0.1), spring, strict=True):
        assert near(weather.last_freeze(last, chance), expected), (chance, expected)
    for chance, expected in zip((0.1, 0.5, 0.9), autumn, strict=True):
        assert near(weather.first_freeze(first, chance), expected), (chance, expected)
    known = [day for day in last if day is not None]
    assert weather.last_freeze(known, 0.1) == pytest.approx(np.quantile(known, 0.9))


# Champion: 10, 50 and 90 % days.
SPELLS = {
    "fourteen days of 40 F from 1 February on": ("02-15", "03-09", "04-08"),
    "frozen for a week": ("11-07", "11-30", "12-19"),
    "297 degree-days above 0 C": ("03-26", "04-10", "04-22"),
}
FORTY_F = (40 - 32) * 5 / 9


@pytest.mark.parametrize(
    "spell", [cited("aquacrop-climate", f"Champion, {spell}", spell) for spell in SPELLS]
)
def test_spells_of_a_continental_station(spell: str) -> None:
    """Days of 40 F come nine weeks before nights of 40 F; it stays frozen from November on; buds break in April."""
    cut = winters(crops("champion"), OPENED["champion"])
    days = {
        "fourteen days of 40 F from 1 February on": lambda: cut.each(
            184, 365, lambda part: weather.first_warm_run(part.day, part.night, 14, day=FORTY_F - 0.01)
        ),
        "frozen for a week": lambda: cut.each(31, 212, lambda part: weather.first_cold_run(part.mean, 7, 0)),
        "297 degree-days above 0 C": lambda: cut.each(
            153, 365, lambda part: weather.bud_break(part.mean, 297, 0, 0)
        ),
    }[spell]()
    for share, day in zip((0.1, 0.5, 0.9), SPELLS[spell], strict=True):
        assert near(weather.quantile(days, share), day), share


@pytest.mark.parametrize(
    ("station", "middle"),
    [
        cited("aquacrop-climate", "nights of 40 F, Champion", "champion", "05-14"),
        cited("aquacrop-climate", "nights of 40 F, Brussels", "brussels", "03-30"),
        cited("aquacrop-climate", "nights of 40 F, Cambridge", "cambridge", "04-17"),
    ],
)
def test_a_week_of_nights_of_forty(station: str, middle: str) -> None:
    """The middle day on which the first seven nights of 40 F in a row begin."""
    cut = winters(crops(station), OPENED[station])
    nights = cut.each(
        153, 365, lambda part: weather.first_warm_run(part.day, part.night, 7, night=FORTY_F - 0.01)
    )
    assert near(weather.quantile(nights, 0.5), middle)


@pytest.mark.parametrize(
    ("base", "from_latitude", "seen", "low", "middle", "high"),
    [
        cited("npn-aspen", "warmth above 0 C, all sites", 0, 0, 289, None, 297, None),
        cited("npn-aspen", "warmth above 0 C, from 40 N", 0, 40, 181, 203, None, 307),
        cited("npn-aspen", "warmth above 5 C, all sites", 5, 0, 289, None, 97, None),
        cited("npn-aspen", "warmth above 5 C, from 40 N", 5, 40, 181, 53, 85, 116),
    ],
)
def test_warmth_up_to_bud_break(
    base: float, from_latitude: float, seen: int, low: float | None, middle: float | None, high: float | None
) -> None:
    """Degree-days from 1 January to breaking leaf buds: quartiles and median of the aspens."""
    took = [
        sum(weather.degree_days(mean, mean, base) for mean in means[1 - first : day - first + 1])
        for latitude, first, means, day in aspens()
        if latitude >= from_latitude
    ]
    assert len(took) == seen
    for share, printed in ((0.25, low), (0.5, middle), (0.75, high)):
        # Whether the day of bud break itself is counted makes a degree-day or two.
        assert printed is None or np.quantile(took, share) == pytest.approx(printed, rel=0.016)


@pytest.mark.parametrize(
    ("share", "day", "light"),
    [
        cited("npn-aspen", "coloured leaves, lower quartile", 0.25, 262, 11.45),
        cited("npn-aspen", "coloured leaves, median", 0.5, 268, 11.75),
        cited("npn-aspen", "coloured leaves, upper quartile", 0.75, 274, 12.06),
    ],
)
def test_coloured_leaves_of_aspens(share: float, day: int, light: float) -> None:
    """104 aspens in autumn: the day of the year and, by our own day length, the hours of light of coloured leaves."""
    autumn = [(latitude, seen) for latitude, seen in coloured_leaves() if seen > 200]
    assert len(autumn) == 104
    assert np.quantile([seen for _, seen in autumn], share) == day
    hours = [daylight_hours(latitude, seen) for latitude, seen in autumn]
    # The hours that come with the data differ from ours by up to two minutes.
    assert np.quantile(hours, share) == pytest.approx(light, abs=2 / 60 + 0.005)


def test_bud_break_of_aspens() -> None:
    """289 aspens: at 40 N and northward the forcing of the catalogue lies within what they took, and the date
    it gives is nearer than the middle date of all of them."""
    bud = RULES.bud_break
    seen = list(aspens())
    assert len(seen) == 289
    north = [(first, means, day) for latitude, first, means, day in seen if latitude >= 40]
    took = [sum(max(0.0, t) for t in means[1 - first : day - first + 1]) for first, means, day in north]
    low, middle, high = np.quantile(took, [0.25, 0.5, 0.75])
    assert low < bud.forcing.likely < high
    assert middle == pytest.approx(bud.forcing.likely, rel=0.05)
    assert (low, high) == pytest.approx((bud.forcing.lowest, bud.forcing.highest), rel=0.02)
    usual = statistics.median(day for _, _, day in north)
    chilled = round(bud.chill_hours.likely / 24)
    found = [weather.bud_break(means, bud.forcing.likely, 0, 1 - first, chilled) for first, means, _ in north]
    errors = [
        abs(day + first - seen) for day, (first, _, seen) in zip(found, north, strict=True) if day is not None
    ]
    assert len(errors) == len(north)
    assert statistics.mean(errors) < 12.5 < statistics.mean(abs(seen - usual) for _, _, seen in north)


def test_the_dates_of_a_continental_station() -> None:
    """Champion: beds wait for the day after which a freeze comes in one year of ten, which is 25 May; felling
    stops two weeks before buds break in an early year; autumn is too short for logs."""
    found = norms.of(crops("champion"), "champion.txt", OPENED["champion"], CATALOGUE)
    assert near(found.dates["last_frost"].day, "05-25")
    assert (found.dates["last_frost"].early, found.dates["last_frost"].late) == pytest.approx(
        (found.dates["last_frost"].day - 29, found.dates["last_frost"].day), abs=1
    )
    spring, autumn = found.windows["spring"], found.windows["autumn"]
    bed, logs = (
        spring[CATALOGUE.conditions("wine cap", "chip bed")],
        CATALOGUE.conditions("shiitake", "drilled logs"),
    )
    assert not isinstance(bed, str) and bed.first == found.dates["last_frost"].day
    opens = spring[logs]
    assert not isinstance(opens, str) and near(opens.first, "04-08")
    assert near(opens.decided.early, "02-15") and near(opens.decided.middle, "03-09")
    swell = found.dates["bud_swell"]
    assert swell.day <= swell.early <= swell.middle <= swell.late
    assert "03-01" <= dates([swell.day])[0] <= "03-26"
    assert all(isinstance(why, str) for why in autumn.values())
    assert "35 days" in str(autumn[logs])
    assert found.notes == ()


def test_no_machine_path(tmp_path: Path) -> None:
    """A climate names its file, not the folder of whoever read it."""
    (tmp_path / "seattle.csv").write_text(seattle_csv())
    assert norms.climate(tmp_path / "seattle.csv", 47.6, CATALOGUE).file == "seattle.csv"
