"""Dates and windows of a station: safe ends, both halves of the world, gaps and short records."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.season.climate import Climate, Expected, Span
from scheduler.trade.catalogue import load
from scheduler.weather import norms
from scheduler.weather.daily import Daily
from scheduler.weather.winters import NORTH, SOUTH, Winters, begins_in
from tests.weather.made_up import daily

CATALOGUE = load()
RULES = CATALOGUE.weather.rules
TEN = range(2001, 2011)
WARMER = {year: (year % 5) - 2.0 for year in TEN}


def climate(weather: Daily, latitude: float | None = 45.0) -> Climate:
    """What a made-up station says."""
    return norms.of(weather, "made-up.csv", latitude, CATALOGUE)


def window(found: Climate, season: str, species: str, method: str) -> Span:
    """The window of a species planted by a method."""
    span = found.windows[season][CATALOGUE.conditions(species, method)]
    assert isinstance(span, Span), span
    return span


def why_none(found: Climate, season: str, species: str, method: str) -> str:
    """Why there is no such window."""
    reason = found.windows[season][CATALOGUE.conditions(species, method)]
    assert isinstance(reason, str), reason
    return reason


def test_dates_are_taken_at_the_safe_end() -> None:
    """Later than most years where one waits, earlier than most where one has to be done."""
    found = climate(daily(TEN, shift=WARMER)).dates
    assert set(found) == {"leaf_turn", "bud_swell", "ground_thaws", "last_frost"}
    for key in ("leaf_turn", "ground_thaws", "last_frost"):
        assert found[key].early <= found[key].middle <= found[key].late <= found[key].day, key
        assert found[key].early < found[key].day, key
    swell = found["bud_swell"]
    assert swell.day <= swell.early <= swell.middle <= swell.late
    assert swell.day < swell.late
    assert all("1 year of 10" in one.risk for one in found.values())


@pytest.mark.parametrize("key", ["leaf_turn", "ground_thaws", "last_frost"])
def test_a_date_proves_wrong_no_more_often_than_it_says(key: str) -> None:
    """Of the station's own years at most one in ten comes later than the date that waits for it."""
    weather = daily(range(1981, 2021), shift={year: (year * 7 % 11) / 2 - 2.5 for year in range(1981, 2021)})
    found = climate(weather).dates[key]
    middle = climate(daily(range(1981, 2021))).dates[key]
    assert abs(found.middle - middle.middle) <= 12
    one_by_one = [
        climate(
            daily(
                range(year, year + 4), shift=dict.fromkeys(range(year, year + 4), (year * 7 % 11) / 2 - 2.5)
            )
        )
        .dates[key]
        .middle
        for year in range(1981, 2021)
    ]
    assert sum(day > found.day for day in one_by_one) <= 0.1 * len(one_by_one) + 1


def test_the_south_has_the_same_seasons_half_a_year_later() -> None:
    """The same course with its warm half in January gives the same days of a year that begins in February."""
    north, south = climate(daily(TEN)), climate(daily(TEN, south=True), -45.0)
    assert (north.begins_in, south.begins_in) == (NORTH, SOUTH)
    for key, found in north.dates.items():
        # 1 August to 21 July is three days longer than 1 February to 21 January
        assert abs(found.day - south.dates[key].day) <= 4, key
    assert south.on(south.dates["leaf_turn"].day, 2027).month in (4, 5)
    assert north.on(north.dates["leaf_turn"].day, 2027).month in (10, 11)


def test_the_half_of_the_world_is_seen_without_a_latitude() -> None:
    """The warmer half-year tells; the turning of leaves, which needs day length, is then not known."""
    assert begins_in(daily(TEN), None) == NORTH
    assert begins_in(daily(TEN, south=True), None) == SOUTH
    found = climate(daily(TEN), None)
    assert set(found.dates) == {"bud_swell", "ground_thaws", "last_frost"}
    assert "latitude" in found.unknown["leaf_turn"]
    assert "latitude" in why_none(found, "autumn", "shiitake", "drilled logs")


def test_a_short_record_is_said_and_a_shorter_one_gives_nothing() -> None:
    """Fewer than ten years are warned about; with fewer than three no date is made up."""
    assert climate(daily(range(2001, 2013))).notes == ()
    (note,) = climate(daily(range(2001, 2006))).notes
    assert "4 years" in note and "10 or more" in note
    nothing = climate(daily(range(2001, 2003)))
    assert nothing.dates == {}
    assert all("of at least 3" in why for why in nothing.unknown.values())
    assert all(
        isinstance(why, str) and ("of at least 3" in why or "of spring" in why)
        for season in nothing.windows.values()
        for why in season.values()
    )


def test_three_hundred_years_give_the_dates_of_a_few_alike() -> None:
    """A record longer than any, each year as the other, says what twelve such years say."""
    long, short = climate(daily(range(1725, 2025))), climate(daily(range(2001, 2013)))
    assert {key: one.middle for key, one in long.dates.items()} == pytest.approx(
        {key: one.middle for key, one in short.dates.items()}, abs=1
    )
    assert long.dates["last_frost"].years == 300


def test_a_year_with_a_long_gap_is_left_out() -> None:
    """Six missing days in spring cost that year its spring dates; four do not, and autumn keeps the year."""
    years = range(2001, 2013)
    gap = [date(2005, 4, 1) + timedelta(days=n) for n in range(6)]
    whole, torn = climate(daily(years)), climate(daily(years, gaps=gap))
    assert torn.dates["last_frost"].years == whole.dates["last_frost"].years - 1
    assert torn.dates["leaf_turn"].years == whole.dates["leaf_turn"].years
    (note,) = torn.notes
    assert "lacks 6 of" in note and "6 in a row" in note
    bridged = climate(daily(years, gaps=gap[:4]))
    assert bridged.dates["last_frost"] == whole.dates["last_frost"]
    assert bridged.notes == ()


def test_a_place_without_frost_has_no_last_frost() -> None:
    """Where freezes are rarer than the risk there is no such day, and no date is made up."""
    warm = climate(daily(TEN, mean=18, swing=6))
    assert "last_frost" not in warm.dates
    assert "does not come" in warm.unknown["last_frost"]


def test_windows_open_after_their_thresholds() -> None:
    """Logs when days are warm, totems later, beds after the last freeze; none ends before it begins."""
    found = climate(daily(TEN, shift=WARMER))
    logs, totem, stump = (
        window(found, "spring", "oyster", method) for method in ("drilled logs", "totem", "stump")
    )
    assert logs.first < totem.first
    assert logs.first <= stump.first <= window(found, "spring", "oyster", "chip bed").first
    assert window(found, "spring", "oyster", "chip bed").first == found.dates["last_frost"].day
    for waits, span in found.windows["spring"].items():
        assert isinstance(span, Span), waits
        assert RULES.heat.least.likely <= span.last - span.first <= RULES.heat.window.likely
        assert "in 1 year of 10" in span.decided.risk
        assert span.first == span.decided.day
        assert span.decided.early <= span.decided.middle <= span.decided.late <= span.first


@pytest.mark.parametrize("method", sorted(CATALOGUE.methods))
@pytest.mark.parametrize("name", sorted(CATALOGUE.species))
def test_a_window_is_that_of_its_species_and_its_method(name: str, method: str) -> None:
    """Worked out by hand on years that are all alike: days as warm as the one of the two asks that asks for
    more, the method's frost over, and the end before a week that is too hot for the species."""
    weather = daily(TEN, mean=10, swing=19)
    found = window(climate(weather), "spring", name, method)
    asks, species = CATALOGUE.methods[method].planting, CATALOGUE.species[name].planting
    wanted = max(species.day.likely, asks.day.likely if asks.day else -99)
    frost = {None: -99, "hard freeze": RULES.hard_freeze.likely, "freeze": RULES.freeze.likely}[asks.after]
    begins = weather.first.replace(year=2004)
    at = (begins - weather.first).days
    summer = range(at + 31, at + 200)
    warm = next(d for d in summer if all(t >= wanted for t in weather.tmax[d : d + 14]))
    frozen = [d for d in summer if weather.tmin[d] <= frost]
    hot = next(d for d in summer if all(t >= species.hottest.likely for t in weather.tmax[d : d + 7]))
    first = max([warm, *frozen]) - (date(2003, 8, 1) - weather.first).days
    # Ten years of which three have a leap day before spring: a day of play on either side.
    assert abs(found.first - first) <= 1
    last = hot - 1 - (date(2003, 8, 1) - weather.first).days
    expected = max(min(found.first + RULES.heat.window.likely, last), found.first + RULES.heat.least.likely)
    assert abs(found.last - expected) <= 1


def test_warm_days_and_safe_nights_are_asked_for_apart() -> None:
    """Cold nights put off a bed and no log; cool days put off reishi and no shiitake."""
    usual = daily(TEN, swing=17)
    cold_nights = Daily(
        usual.first, tuple(t - 6 for t in usual.tmin if t is not None), usual.tmax, usual.rain
    )
    before, after = climate(usual), climate(cold_nights)
    for name in ("shiitake", "reishi"):
        logs = [window(found, "spring", name, "drilled logs") for found in (before, after)]
        assert logs[0] == logs[1]
    beds = [window(found, "spring", "oyster", "chip bed").first for found in (before, after)]
    assert beds[0] + 7 < beds[1] == after.dates["last_frost"].day
    shiitake, reishi = (window(before, "spring", name, "drilled logs") for name in ("shiitake", "reishi"))
    assert shiitake.first + 14 < reishi.first


def test_heat_ends_a_window_and_a_window_in_the_heat_says_so() -> None:
    """Where hot weeks come early a window is shorter, and how often they come inside it is said."""

    def bed(weather: Daily, species: str = "enoki") -> Span:
        return window(climate(weather), "spring", species, "chip bed")

    mild, hot = bed(daily(TEN, swing=12)), bed(daily(TEN, mean=10, swing=21))
    assert hot.last - hot.first < mild.last - mild.first
    assert "hot week" not in hot.risk + mild.risk
    harsh = bed(daily(TEN, mean=10, swing=70))
    assert harsh.last - harsh.first == RULES.heat.least.likely
    assert "a hot week begins before it ends in 10 years of 10" in harsh.risk
    assert hot.last < bed(daily(TEN, mean=10, swing=21), "oyster").last, "27 and 29 C"


def test_autumn_ends_weeks_before_it_stays_frozen() -> None:
    """From leaf turn to at least five weeks before frozen weeks; where those come sooner there is none."""
    long = climate(daily(TEN, mean=10, swing=10))
    span = window(long, "autumn", "shiitake", "drilled logs")
    assert span.first == long.dates["leaf_turn"].day
    assert "after its end in no year of 9" in span.decided.risk
    assert "last freeze of spring" in why_none(long, "autumn", "oyster", "chip bed")
    harsh = climate(daily(TEN, mean=4, swing=18))
    assert "35 days" in why_none(harsh, "autumn", "shiitake", "drilled logs")


def test_the_last_autumn_day_by_hand() -> None:
    """Five weeks before the first frozen week, of years that are all alike; and earlier for what wants it warmer."""
    weather = daily(TEN, mean=9, swing=13)
    autumn = range((date(2003, 9, 1) - weather.first).days, (date(2004, 3, 1) - weather.first).days)
    means = {d: (weather.tmin[d] + weather.tmax[d]) / 2 for d in autumn}
    frozen = next(d for d in autumn if all(means[d + n] <= 0 for n in range(7)))
    found = climate(weather)
    decided = window(found, "autumn", "shiitake", "drilled logs").decided
    begins = (date(2003, 8, 1) - weather.first).days
    assert abs(decided.day - (frozen - 35 - begins)) <= 1
    assert "does not stay as warm" in why_none(found, "autumn", "reishi", "drilled logs")


@settings(max_examples=25, deadline=None)
@given(st.floats(0, 4), st.sampled_from([-45.0, 45.0]))
def test_a_warmer_place_is_earlier_in_spring(warmer: float, latitude: float) -> None:
    """Warmth brings thaw, last frost, buds and windows forward, and puts leaf turn off."""
    cool = climate(daily(range(2001, 2006), south=latitude < 0), latitude)
    warm = climate(daily(range(2001, 2006), mean=9 + warmer, south=latitude < 0), latitude)
    for key in ("ground_thaws", "last_frost", "bud_swell"):
        if key in warm.dates:
            assert warm.dates[key].day <= cool.dates[key].day, key
    assert warm.dates["leaf_turn"].day >= cool.dates["leaf_turn"].day
    for waits, span in cool.windows["spring"].items():
        earlier = warm.windows["spring"][waits]
        assert isinstance(span, Span) and isinstance(earlier, Span)
        assert earlier.first <= span.first


@given(st.dates(date(2000, 1, 1), date(2050, 1, 1)), st.integers(0, 364), st.sampled_from([NORTH, SOUTH]))
def test_days_become_dates_around_a_limit(limit: date, day: int, month: int) -> None:
    """The last date up to a limit and the first one after it are a year apart, on the same day of the year."""
    found = Climate("x", 2000, 2010, month, {"key": Expected(day, day, day, day, 10, "")}, {}, since=limit)
    before, after = found.latest(day, limit), found.after(day, limit)
    assert before <= limit < after
    assert (after - before).days in (365, 366)
    assert {found.on(day, year) for year in range(limit.year - 2, limit.year + 2)} >= {before, after}
    first, last = found.window(Span(day, day + 30, Expected(day, day, day, day, 10, "")))
    assert (last - first).days == 30
    assert last >= limit > last - timedelta(days=367)


def test_a_part_of_a_year_has_its_own_days() -> None:
    """Cut across New Year, a part holds the days asked for, with the light of each."""
    weather = daily(range(2001, 2004))
    parts = []
    found = Winters(weather, NORTH, 5, 45.0).each(140, 160, lambda part: parts.append(part) or 0)
    assert found == [140] * 2  # the winters that begin in 2000 and in 2003 are cut off
    third_of_january = (date(2002, 1, 3) - weather.first).days
    assert parts[0].night[15] == weather.tmin[third_of_january]
    assert len(parts[0].light) == len(parts[0].mean) == 20
    assert parts[0].light[0] < 9 < 24
