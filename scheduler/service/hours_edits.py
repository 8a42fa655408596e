"""Changes of who works how long: on one weekday, on each day, with others, at home beside a load."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from datetime import date, timedelta

from scheduler import measures
from scheduler.season.season import Help, Planting, Season
from scheduler.service.edit import Edit, Family
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import WEEKDAYS, expand, full

LONGEST = 16 * 60
"""Minutes of work that a season file takes for one day."""

DAYS = dict(
    zip(
        WEEKDAYS,
        ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"),
        strict=True,
    )
)
STEPS = (15, 30, 45, 60, 90, 120, 180, 240, 300, 360, 480)
"""Minutes by which one day of the week may be longer."""


def helpers(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """More hands for a day inside the window."""
    for planting in subjects:
        day = _helping_day(season, planting)
        if day is None:
            continue
        edits = tuple(
            Edit(
                f"{_people(people)} for {hours} h",
                f"Ask {_people(people)} to help for {hours} h on {full(day)}.",
                replace(season, help=(*season.help, Help(day, people, hours * 60))),
            )
            for people, hours in ((1, 2), (1, 4), (1, 6), (2, 6), (3, 6), (4, 6), (6, 8))
        )
        yield Family("helpers for a day", 4, "hours of other people", (planting.name,), edits)


def _people(count: int) -> str:
    return "1 person" if count == 1 else f"{count} people"


def _helping_day(season: Season, planting: Planting) -> date | None:
    """The last Saturday of a planting's window on which somebody is there; if there is none, the last day."""
    first, last = planting.window
    span = [last - timedelta(days=n) for n in range((last - first).days + 1)]
    away = expand(season.people.away)
    there = [day for day in span if day not in away and day >= season.today]
    return next((d for d in there if d.weekday() == 5), there[0] if there else None)


def longer_day(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """More hands-on time on one day of the week, the longest first."""
    now = season.people.minutes
    for day in sorted((day for day in now if now[day]), key=lambda day: (-now[day], WEEKDAYS.index(day))):
        edits = tuple(
            Edit(
                f"{measures.duration(more)} on {DAYS[day]}s",
                f"Work {measures.duration(more)} longer on {DAYS[day]}s.",
                _with_minutes(season, {day: now[day] + more}),
            )
            for more in STEPS
            if now[day] + more <= LONGEST
        )
        yield Family("a longer day", 2, "your own hours on one weekday", (), edits)


def more_hours(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """More hands-on hours on every day that has any; on the weekend where none has."""
    now = season.people.minutes
    if sum(map(bool, now.values())) == 1:
        return  # that day is made longer in smaller steps
    days = now if any(now.values()) else {"sat": 0, "sun": 0}
    edits = tuple(
        Edit(
            f"{more} h a day",
            f"Find {measures.counted(more, 'more hour')} on each of your days ({', '.join(days)}).",
            _with_minutes(season, {day: min(LONGEST, own + 60 * more) for day, own in days.items()}),
        )
        for more in (1, 2, 3, 4, 6, 8)
    )
    yield Family("more hours", 3, "your own hours", (), edits)


def _with_minutes(season: Season, longer: Mapping[str, int]) -> Season:
    """The season with so many minutes of work on some weekdays, and as long at home."""
    people = season.people
    home = {day: max(people.home_minutes.get(day, 0), minutes) for day, minutes in longer.items()}
    return replace(
        season,
        people=replace(
            people,
            minutes={**people.minutes, **longer},
            home_minutes={**people.home_minutes, **home},
        ),
    )


def at_home(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """More hours on the premises on the days with hours, for loads that somebody has to attend."""
    edits = tuple(
        Edit(
            f"{more} h a day",
            f"Be at home {more} h longer on the days on which you cook.",
            with_home(season, lambda now, more=more: min(24 * 60, now + 60 * more)),  # type: ignore[misc]
        )
        for more in range(1, 13)
    )
    yield Family("more hours at home", 2, "hours at home", (), edits)


def with_home(season: Season, minutes: Callable[[int], int]) -> Season:
    """The season with other minutes at home on the days with hours."""
    people = season.people
    home = {day: minutes(now) if people.minutes.get(day) else now for day, now in people.home_minutes.items()}
    return replace(season, people=replace(people, home_minutes=home))
