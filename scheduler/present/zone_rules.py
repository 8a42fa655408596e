"""A time zone as an iCalendar VTIMEZONE with yearly rules, good for the days of one season.

The onsets are found in the zone itself, so that a country that changed its clocks last year is right as well.
What returns every year on the same kind of day becomes a rule; what does not stands alone. No lists of dates
(RDATE) are written: a widely used parser reads only the first date of one.
"""

from __future__ import annotations

import calendar
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from scheduler.workdays import ONE_DAY

_DAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_EPOCH = datetime(1970, 1, 1)  # noqa: DTZ001 (a wall clock's)


@dataclass(frozen=True)
class Onset:
    """One change of the clocks of a zone."""

    moment: datetime
    """In UTC."""
    before: timedelta
    after: timedelta
    name: str
    is_summer: bool

    @property
    def wall(self) -> datetime:
        """What the clocks showed when they were changed: local time before it, as RFC 5545 3.6.5 has it."""
        return (self.moment + self.before).replace(tzinfo=None)


def onsets(zone: ZoneInfo, first: date, last: date) -> list[Onset]:
    """Every change of the clocks from the year before `first` to the year after `last`."""
    begin = datetime(first.year - 1, 1, 1, tzinfo=UTC)
    end = datetime(last.year + 2, 1, 1, tzinfo=UTC)
    found = []
    at = begin
    while at < end:
        later = at + ONE_DAY
        if _state(zone, at) != _state(zone, later):
            found.append(_onset(zone, at, later))
        at = later
    turned = any(_dst(zone, one.moment) < timedelta(0) for one in found)
    # Where winter is written as a step back from summer, summer is what has no step.
    return [_with_season(one, zone, turned) for one in found]


def vtimezone(name: str, first: date, last: date) -> list[str]:
    """The content lines of the zone of that name, right from `first` to `last`."""
    zone = ZoneInfo(name)
    changes = onsets(zone, first, last)
    lines = ["BEGIN:VTIMEZONE", f"TZID:{name}"]
    begins = datetime(first.year, first.month, first.day, tzinfo=UTC) - timedelta(days=2)
    if not changes or changes[0].moment > begins:
        offset, told = _offset(zone, begins), begins.astimezone(zone).tzname() or ""
        lines += _observance("STANDARD", _EPOCH, offset, offset, told, "")
    for kind, one, rule in sorted(_rules(changes, last), key=lambda found: found[1].moment):
        lines += _observance(kind, one.wall, one.before, one.after, one.name, rule)
    return [*lines, "END:VTIMEZONE"]


def _rules(changes: Sequence[Onset], last: date) -> Iterator[tuple[str, Onset, str]]:
    """Kind, first onset and rule of each observance; the rule is empty where an onset stands alone."""
    alike: defaultdict[tuple[object, ...], list[Onset]] = defaultdict(list)
    for one in changes:
        wall = one.wall
        alike[one.before, one.after, one.name, one.is_summer, wall.month, wall.weekday(), wall.time()].append(
            one
        )
    for group in alike.values():
        kind = "DAYLIGHT" if group[0].is_summer else "STANDARD"
        rule = _yearly([one.wall for one in group])
        if not rule:
            yield from ((kind, one, "") for one in group)
            continue
        if group[-1].wall.year <= last.year:
            # The end of the year, because some programs take this moment for a local one.
            rule += f";UNTIL={group[-1].wall:%Y}1231T235959Z"
        yield kind, group[0], rule


def _yearly(days: Sequence[datetime]) -> str:
    """The rule by which days of the same month and weekday return year after year; empty where none does."""
    first = days[0]
    if len(days) < 2 or [day.year for day in days] != [first.year + n for n in range(len(days))]:
        return ""
    weekday, numbers = _DAYS[first.weekday()], [day.day for day in days]
    places = {(number - 1) // 7 + 1 for number in numbers}
    if all(day.day + 7 > calendar.monthrange(day.year, day.month)[1] for day in days):
        by = f"BYDAY=-1{weekday}"
    elif len(places) == 1:
        by = f"BYDAY={places.pop()}{weekday}"
    elif max(numbers) - min(numbers) < 7:
        span = ",".join(str(min(numbers) + n) for n in range(7))
        by = f"BYMONTHDAY={span};BYDAY={weekday}"
    else:
        return ""
    return f"RRULE:FREQ=YEARLY;BYMONTH={first.month};{by}"


def _observance(
    kind: str, wall: datetime, before: timedelta, after: timedelta, name: str, rule: str
) -> list[str]:
    return [
        f"BEGIN:{kind}",
        f"DTSTART:{wall:%Y%m%dT%H%M%S}",
        f"TZOFFSETFROM:{_signed(before)}",
        f"TZOFFSETTO:{_signed(after)}",
        f"TZNAME:{name}",
        *([rule] if rule else []),
        f"END:{kind}",
    ]


def _signed(offset: timedelta) -> str:
    seconds = round(offset.total_seconds())
    hours, rest = divmod(abs(seconds), 3600)
    minutes, odd = divmod(rest, 60)
    return f"{'-' if seconds < 0 else '+'}{hours:02}{minutes:02}{f'{odd:02}' if odd else ''}"


def _onset(zone: ZoneInfo, low: datetime, high: datetime) -> Onset:
    """The change that lies between two moments, to the second."""
    before = _state(zone, low)
    while high - low > timedelta(seconds=1):
        middle = low + timedelta(seconds=(high - low).total_seconds() // 2)
        if _state(zone, middle) == before:
            low = middle
        else:
            high = middle
    name = high.astimezone(zone).tzname() or ""
    return Onset(high, _offset(zone, low), _offset(zone, high), name, False)


def _with_season(one: Onset, zone: ZoneInfo, turned: bool) -> Onset:
    dst = _dst(zone, one.moment)
    summer = dst > timedelta(0) or (turned and dst == timedelta(0))
    return Onset(one.moment, one.before, one.after, one.name, summer)


def _state(zone: ZoneInfo, moment: datetime) -> tuple[object, ...]:
    local = moment.astimezone(zone)
    return local.utcoffset(), local.tzname()


def _offset(zone: ZoneInfo, moment: datetime) -> timedelta:
    return moment.astimezone(zone).utcoffset() or timedelta(0)


def _dst(zone: ZoneInfo, moment: datetime) -> timedelta:
    return moment.astimezone(zone).dst() or timedelta(0)
