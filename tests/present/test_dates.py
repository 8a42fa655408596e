"""Days in words."""

from __future__ import annotations

from datetime import date, timedelta

from scheduler.present.dates import Dates, dates_of, months
from scheduler.workdays import full
from tests.sample import sample_plan

WORDS = Dates(date(2026, 11, 28))


def test_a_day_in_full() -> None:
    """Weekday, day, month, year, whatever the machine's language."""
    assert full(date(2027, 4, 24)) == "Sat 24 Apr 2027"


def test_the_year_is_left_out_near_today() -> None:
    """From a month back to eleven months ahead; what is farther, and could be taken for near, carries its year."""
    assert WORDS.day(date(2026, 11, 28)) == "Sat 28 Nov"
    assert WORDS.day(date(2027, 10, 28)) == "Thu 28 Oct"
    assert WORDS.day(date(2027, 10, 29)) == "Fri 29 Oct 2027"
    assert WORDS.day(date(2026, 10, 29)) == "Thu 29 Oct"
    assert WORDS.day(date(2026, 10, 28)) == "Wed 28 Oct 2026"


def test_no_two_days_read_the_same() -> None:
    """Over three years every day is written in its own way."""
    days = [date(2025, 11, 1) + timedelta(days=n) for n in range(3 * 365)]
    assert len({WORDS.day(day) for day in days}) == len(days)
    assert len({WORDS.day(day)[4:10] for day in days if len(WORDS.day(day)) <= 10}) == 365


def test_a_plan_is_read_on_its_today() -> None:
    """Not on its first day of work, which may lie a year ahead."""
    plan = sample_plan()
    assert dates_of(plan) == Dates(plan.season.today)


def test_several_days() -> None:
    """Few days are listed in order, many are drawn together, a narrow column gets one a line."""
    days = [date(2027, 4, 25), date(2027, 4, 24)]
    assert WORDS.days(days) == "Sat 24 Apr, Sun 25 Apr"
    assert WORDS.stacked(days) == "Sat 24 Apr\nSun 25 Apr"
    assert WORDS.days([date(2027, 4, n) for n in (3, 4, 10, 11)]) == "Sat 3 Apr to Sun 11 Apr (4 days)"
    assert WORDS.stacked([date(2027, 4, n) for n in (3, 4, 10, 11)]) == "Sat 3 Apr to\nSun 11 Apr\n(4 days)"
    assert WORDS.days([]) == ""
    assert WORDS.maybe(None, "never") == "never"


def test_rough_periods_are_months() -> None:
    """What is only roughly known is told by month."""
    assert months((date(2028, 9, 25), date(2028, 11, 5))) == "Sep to Nov 2028"
    assert months((date(2028, 11, 25), date(2029, 1, 5))) == "Nov 2028 to Jan 2029"
    assert months((date(2028, 9, 1), date(2028, 9, 30))) == "Sep 2028"
