"""What each day of a season offers."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from scheduler.problem.calendar import BEYOND, Calendar, calendar
from scheduler.science.daylight import daylight_hours
from tests.grower import SITE, TODAY, season

WED, SAT = date(2027, 1, 6), date(2027, 1, 9)


def of(**tables: object) -> Calendar:
    """The calendar of the oak stack with some tables of its own."""
    return calendar(season(**tables))  # type: ignore[arg-type]


def at(found: Calendar, day: date) -> int:
    """Number of a day."""
    return found.count.number(day)


def test_days_are_counted_from_today_to_a_while_after_the_last_window() -> None:
    """Day 0 is today; the window ends on 30 May."""
    found = of()
    assert found.date(0) == TODAY
    assert found.date(found.horizon) == date(2027, 5, 30) + timedelta(days=BEYOND)


def test_hours_come_by_weekday() -> None:
    """A weekday that is named has its hands-on hours and two more at home, the weekend ten, the others none."""
    found = of(people="hours = { wed = 1.5, sat = 6 }")
    assert (found.own[at(found, WED)], found.home[at(found, WED)]) == (90, 210)
    assert (found.own[at(found, SAT)], found.home[at(found, SAT)]) == (360, 600)
    thursday = at(found, WED + timedelta(days=1))
    assert (found.own[thursday], found.home[thursday]) == (0, 0)


def test_home_hours_are_the_grower_s_own_where_given() -> None:
    """Where home hours are given, a day without hands-on hours may have them too."""
    found = of(people="hours = { sat = 6 }\nhome = { sat = 8, sun = 3 }")
    assert (found.home[at(found, SAT)], found.home[at(found, SAT + timedelta(days=1))]) == (480, 180)


def test_days_away_are_a_rule_of_their_own() -> None:
    """Both ends of a period away belong to it; what a day offers is said by its weekday and its helpers alone."""
    help_ = ("on = 2027-01-09\npeople = 3\nhours = 6",)
    there = of(people="hours = { wed = 2, sat = 6 }", help_=help_)
    found = of(people='hours = { wed = 2, sat = 6 }\naway = ["2027-01-06/2027-01-09"]', help_=help_)
    assert found.away == frozenset(range(at(found, WED), at(found, SAT) + 1))
    assert replace(found, away=frozenset()) == there


def test_helpers_add_to_the_yard_and_not_to_one_s_own_hours() -> None:
    """Three people for six hours beside six hours of one's own; a second group on the same day comes on top."""
    found = of(help_=("on = 2027-05-08\npeople = 3\nhours = 6", "on = 2027-05-08\npeople = 1\nhours = 9"))
    day = at(found, date(2027, 5, 8))
    assert (found.own[day], found.everybody[day], found.yard[day]) == (
        360,
        360 + 3 * 360 + 540,
        360 + 3 * 360 + 540,
    )
    assert found.longest[day] == 540


def test_helpers_come_on_days_without_own_hours_too() -> None:
    """A Friday with friends has yard hours and no lab hours."""
    found = of(help_=("on = 2027-05-07\npeople = 2\nhours = 4",))
    day = at(found, date(2027, 5, 7))
    assert (found.own[day], found.everybody[day], found.longest[day]) == (0, 480, 240)


def test_the_yard_has_daylight() -> None:
    """At 64 degrees north a Saturday in the middle of December has four hours of light, whoever comes."""
    north = SITE.replace("44.0", "64.0")
    found = of(site=north, people="hours = { sat = 8 }", help_=("on = 2026-12-19\npeople = 2\nhours = 8",))
    day = at(found, date(2026, 12, 19))
    light = int(daylight_hours(64.0, 353) * 60)
    assert 180 < light < 300
    assert found.yard[day] == 3 * light
    assert found.longest[day] == light
    assert found.everybody[day] == 3 * 480, "in the lab there is lamplight"


def test_without_a_latitude_it_is_light_all_day() -> None:
    """Nothing is known, so nothing is refused."""
    found = of(site=SITE.replace("latitude     = 44.0", ""), people="hours = { sat = 16 }")
    assert found.yard[at(found, SAT)] == 960


@pytest.mark.parametrize(("prefer", "dear"), [("", set()), ('prefer = ["sat"]', {2, 6})])
def test_days_that_are_not_preferred(prefer: str, dear: set[int]) -> None:
    """Where no weekday is preferred every day is as good as any."""
    found = of(people=f"hours = {{ wed = 2, sat = 6, sun = 4 }}\n{prefer}")
    working = {day for day in found.own if found.own[day]}
    assert {found.date(day).weekday() for day in working - found.preferred} == dear


def test_a_span_of_days_holds_both_its_ends() -> None:
    """An open end reaches to the first or the last day there is."""
    found = of()
    assert sorted(found.between(WED, SAT)) == list(range(at(found, WED), at(found, SAT) + 1))
    assert min(found.between(None, SAT)) == 0
    assert max(found.between(SAT, None)) == found.horizon
