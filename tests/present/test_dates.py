"""Days in words."""

from __future__ import annotations

from datetime import date

from scheduler.present.dates import Dates, months
from scheduler.workdays import full

WORDS = Dates(date(2026, 11, 28))


def test_a_day_in_full() -> None:
    """Weekday, day, month, year, whatever the machine's language."""
    assert full(date(2027, 4, 24)) == "Sat 24 Apr 2027"


def test_the_year_is_left_out_for_twelve_months() -> None:
    """The day a year later, and the day before, would be mistaken: they carry the year."""
    assert WORDS.day(date(2026, 11, 28)) == "Sat 28 Nov"
    assert WORDS.day(date(2027, 11, 27)) == "Sat 27 Nov"
    assert WORDS.day(date(2027, 11, 28)) == "Sun 28 Nov 2027"
    assert WORDS.day(date(2026, 11, 27)) == "Fri 27 Nov 2026"


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
