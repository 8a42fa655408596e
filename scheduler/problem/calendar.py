"""What each day of a season offers: own minutes, home minutes, helpers, and which days are away."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from scheduler.science.daylight import daylight_hours
from scheduler.season.season import Season
from scheduler.workdays import DayCount, expand, weekday

BEYOND = 60
"""Days held after the last window, so that a window that ends too early can be told from what is impossible
on any day."""


@dataclass(frozen=True)
class Calendar:
    """Day numbers 0 to `horizon` from `count.origin`, and what they offer.

    Minutes are those of the weekday even where nobody is there: being away is a rule of its own, and a
    conflict is to name that one. `yard` counts everybody's minutes in daylight, `everybody` all minutes.
    """

    count: DayCount
    horizon: int
    away: frozenset[int]
    own: dict[int, int]
    home: dict[int, int]
    yard: dict[int, int]
    everybody: dict[int, int]
    longest: dict[int, int]
    """Minutes the longest present person is there: what one drill can be used for."""
    preferred: frozenset[int]

    def date(self, day: int) -> dt.date:
        """Date of a day number."""
        return self.count.date(day)

    def days(self, allowed: Callable[[int], bool]) -> frozenset[int]:
        """The day numbers for which `allowed` holds."""
        return frozenset(day for day in range(self.horizon + 1) if allowed(day))

    def between(self, first: dt.date | None, last: dt.date | None) -> frozenset[int]:
        """The day numbers from `first` to `last`, both included; None is open."""
        low = 0 if first is None else self.count.number(first)
        high = self.horizon if last is None else self.count.number(last)
        return self.days(lambda day: low <= day <= high)

    def with_hands(self, first: dt.date, last: dt.date) -> list[int]:
        """The day numbers from `first` to `last` on which somebody is there and has hours, in order."""
        return sorted(d for d in self.between(first, last) if self.everybody[d] and d not in self.away)


def calendar(season: Season, since: dt.date | None = None) -> Calendar:
    """The calendar of a season from its today to a while after its last window.

    It begins with `since` where something was done on a day before today.
    """
    count = DayCount(season.today if since is None else min(since, season.today))
    horizon = count.number(max(planting.window[1] for planting in season.plantings)) + BEYOND
    away = frozenset(count.number(day) for day in expand(season.people.away))
    helpers: dict[int, list[tuple[int, int]]] = {}
    for help_ in season.help:
        helpers.setdefault(count.number(help_.on), []).append((help_.people, help_.minutes))
    own: dict[int, int] = {}
    home: dict[int, int] = {}
    yard: dict[int, int] = {}
    everybody: dict[int, int] = {}
    longest: dict[int, int] = {}
    preferred = set()
    for day in range(horizon + 1):
        when = count.date(day)
        name = weekday(when)
        own[day] = season.people.minutes.get(name, 0)
        home[day] = season.people.home_minutes.get(name, 0)
        more = helpers.get(day, [])
        light = _daylight_minutes(season, when)
        everybody[day] = own[day] + sum(people * minutes for people, minutes in more)
        yard[day] = min(own[day], light) + sum(people * min(minutes, light) for people, minutes in more)
        longest[day] = min(light, max([own[day], *(minutes for _, minutes in more)]))
        if not season.people.prefer or name in season.people.prefer:
            preferred.add(day)
    return Calendar(count, horizon, away, own, home, yard, everybody, longest, frozenset(preferred))


def _daylight_minutes(season: Season, day: dt.date) -> int:
    """Minutes of daylight; all day long where no latitude is given."""
    if season.site.latitude is None:
        return 24 * 60
    return int(daylight_hours(season.site.latitude, day.timetuple().tm_yday) * 60)
