"""When a calendar rings is said in a few words, and every other word is refused with one that is meant."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from scheduler.errors import UsageError
from scheduler.present.alarms import LONGEST, alarm

BERLIN = ZoneInfo("Europe/Berlin")
HOUR = timedelta(hours=1)


@pytest.mark.parametrize(
    ("text", "of_a_day", "of_nine"),
    [
        ("evening before", -6 * HOUR, -15 * HOUR),
        ("Evening  Before", -6 * HOUR, -15 * HOUR),
        ("morning", 8 * HOUR, -1 * HOUR),
        ("2 h before", -2 * HOUR, -2 * HOUR),
        ("2h before", -2 * HOUR, -2 * HOUR),
        ("30 min before", -HOUR / 2, -HOUR / 2),
        ("3 d before", -72 * HOUR, -72 * HOUR),
        ("28 d before", -LONGEST, -LONGEST),
    ],
)
def test_an_alarm_rings_when_it_was_wished(text: str, of_a_day: timedelta, of_nine: timedelta) -> None:
    """Before the midnight with which a day begins, and before work that begins at nine."""
    assert alarm(text).before_day() == of_a_day
    assert alarm(text).before(datetime(2027, 2, 6, 9, tzinfo=BERLIN)) == of_nine


def test_a_morning_after_the_beginning_rings_at_the_beginning() -> None:
    """Who begins at six is not rung for at eight."""
    assert alarm("morning").before(datetime(2027, 2, 6, 6, tzinfo=BERLIN)) == timedelta(0)


def test_the_evening_before_is_at_six_also_when_the_clocks_change_at_night() -> None:
    """The night of 28 March 2027 is an hour short in Europe, that of 31 October an hour long."""
    evening = alarm("evening before")
    assert evening.before(datetime(2027, 3, 28, 9, tzinfo=BERLIN)) == -14 * HOUR
    assert evening.before(datetime(2027, 10, 31, 9, tzinfo=BERLIN)) == -16 * HOUR


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("", ""),
        ("never", ""),
        ("evning", 'did you mean "evening before"?'),
        ("in the mornings", ""),
        ("mornin", 'did you mean "morning"?'),
        ("2 hours before", 'did you mean "2 h before"?'),
        ("10m", 'did you mean "10 min before"?'),
        ("1 day ahead", 'did you mean "1 d before"?'),
        ("0 h before", ""),
        ("29 d before", ""),
        ("99999 d before", ""),
        ("-2 h before", ""),
        ("1.5 h before", ""),
        ("\x1b[2J", ""),
    ],
)
def test_other_words_are_refused(text: str, hint: str) -> None:
    """One fault that says what may be written, and what was probably meant."""
    with pytest.raises(UsageError) as caught:
        alarm(text)
    fault = caught.value.fault
    assert fault.where == "--alarm"
    assert fault.allowed
    assert fault.hint == hint
    assert fault.found.isprintable()
