"""Reads when a calendar is to ring before its entries: ``evening before``, ``morning``, ``2 h before``.

The evening is at six, the morning at eight (common practice). Work without a time of day begins at midnight
for a calendar (RFC 5545 section 3.8.6.3), so ``2 h before`` rings at ten the evening before.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from difflib import get_close_matches

from scheduler.errors import Fault, UsageError

ALLOWED = "evening before, morning, or a time such as 30 min before, 2 h before, 3 d before"
LONGEST = timedelta(days=28)
_NAMED = {"evening before": (-1, time(18)), "morning": (0, time(8))}
_AHEAD = re.compile(r"(\d{1,5}) ?(min|h|d) before")
_UNITS = {"min": "minutes", "h": "hours", "d": "days"}


@dataclass(frozen=True)
class Alarm:
    """A wish for one alarm for each entry."""

    words: str

    def before(self, begins: datetime) -> timedelta:
        """From the beginning of an entry, a moment with a time zone, to its alarm; negative before it.

        A morning later than the beginning rings at the beginning.
        """
        ahead = _AHEAD.fullmatch(self.words)
        if ahead:
            return -_span(ahead)
        days, at = _NAMED[self.words]
        rings = datetime.combine(begins.date() + timedelta(days=days), at, begins.tzinfo)
        return min(timedelta(seconds=round(rings.timestamp() - begins.timestamp())), timedelta(0))

    def before_day(self) -> timedelta:
        """From the midnight with which a day begins to its alarm."""
        ahead = _AHEAD.fullmatch(self.words)
        if ahead:
            return -_span(ahead)
        days, at = _NAMED[self.words]
        return timedelta(days=days, hours=at.hour)


def alarm(text: str) -> Alarm:
    """The alarm that a text wishes for. UsageError where it says none."""
    words = " ".join(text.casefold().split())
    ahead = _AHEAD.fullmatch(words)
    if ahead and timedelta(0) < _span(ahead) <= LONGEST:
        return Alarm(words)
    if words in _NAMED:
        return Alarm(words)
    if ahead:
        raise UsageError(Fault("--alarm", f'"{text}"', f"from 1 min to {LONGEST.days} d before"))
    raise UsageError(
        Fault("--alarm", f'"{text}"' if text.isprintable() else ascii(text), ALLOWED, _meant(words))
    )


def _span(ahead: re.Match[str]) -> timedelta:
    return timedelta(**{_UNITS[ahead[2]]: int(ahead[1])})


def _meant(words: str) -> str:
    loose = re.fullmatch(
        r"(\d{1,4}) ?(m|mins?|minutes?|h|hrs?|hours?|d|days?)( before| ahead| earlier)?", words
    )
    if loose:
        unit = {"m": "min", "h": "h", "d": "d"}[loose[2][0]]
        return f'did you mean "{loose[1]} {unit} before"?'
    by_word = {name.partition(" ")[0]: name for name in _NAMED}
    near = get_close_matches(words.partition(" ")[0], by_word, n=1)
    return f'did you mean "{by_word[near[0]]}"?' if near else ""
