"""Rough likely days of a stage and of a chain, and days for planting and for the bench.

For choices made before any date is known; the Problem decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from scheduler.lines.shapes import Growth
from scheduler.science import chain
from scheduler.science import growth as growing
from scheduler.season.season import Planting, Room, Season
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import days_between, expand, weekday


def cardinal(catalogue: Catalogue, species: str) -> growing.Cardinal:
    """Cardinal temperatures of a species as the growth law takes them."""
    figures = catalogue.species[species].temperature
    return growing.Cardinal(figures.min.likely, figures.optimum.likely, figures.max.likely)


def room_on(room: Room, day: date) -> float:
    """Temperature of a room on a day; a month the season file leaves out takes the nearest one named."""
    if isinstance(room.temperature, (int, float)):
        return float(room.temperature)
    months = room.temperature
    nearest = min(months, key=lambda m: (min((m - day.month) % 12, (day.month - m) % 12), m))
    return months[nearest]


def stretch(season: Season, catalogue: Catalogue, species: str, spec: Growth) -> float:
    """Factor by which the room makes a stage longer than at the reference temperature.

    Under monthly temperatures the mean of the months named counts; 1 where nothing would grow at all
    (the conflict is then found and explained when dates are looked for).
    """
    temperature = season.lab.shelf.temperature
    if not isinstance(temperature, (int, float)):
        temperature = sum(temperature.values()) / len(temperature)
    days = growing.days_at(
        spec.likely,
        spec.lag,
        catalogue.species[species].temperature.reference.likely,
        float(temperature),
        cardinal(catalogue, species),
        catalogue.lab.core_warmer.likely,
    )
    return 1.0 if days is None else days / spec.likely


def likely_days(season: Season, catalogue: Catalogue, species: str, spec: Growth) -> float:
    """Likely days from inoculation to ready in this season's room."""
    return spec.likely * stretch(season, catalogue, species, spec) + spec.consolidation


def buffer(season: Season, catalogue: Catalogue, species: str, stages: Sequence[Growth]) -> int:
    """Days before planting that the wished certainty asks of the whole chain (variances add)."""
    spans = []
    for spec in stages:
        factor = stretch(season, catalogue, species, spec)
        spans.append((spec.low * factor, spec.likely * factor, spec.high * factor))
    return chain.chain_buffer(spans, season.certainty)


def planting_days(season: Season, catalogue: Catalogue, planting: Planting) -> list[date]:
    """Days of a planting's window with hours or help, when somebody is there and the ground has thawed."""
    helped = {one.on for one in season.help}
    thaws = season.site.ground_thaws if "ground_thaws" in catalogue.methods[planting.method].needs else None
    return [
        day
        for day in _present(season, *planting.window)
        if (day in helped or season.people.minutes.get(weekday(day))) and (thaws is None or day >= thaws)
    ]


def hand_days(season: Season, catalogue: Catalogue, first: date, last: date) -> list[date]:
    """Days from first to last with hours for starting what somebody is there to look at when it is due."""
    due = next(check for check in catalogue.lab.check if check.name == "first").day
    looks = [timedelta(days=step) for step in range(round(due.lowest), round(due.highest) + 1)]
    away = expand(season.people.away)
    return [d for d in _with_hours(season, first, last) if any(d + look not in away for look in looks)]


def bench_days(
    season: Season, catalogue: Catalogue, first: date, last: date, cook_from: date = date.min
) -> list[date]:
    """Days from first to last for inoculating what was cooked on a day with hours not too long before.

    It is cooked on `cook_from` at the earliest.
    """
    sealed = timedelta(days=round(catalogue.lab.sealed_days.likely))
    cooks = _with_hours(season, max(first - sealed, cook_from), last)
    days = hand_days(season, catalogue, first, last)
    return [day for day in days if any(day - sealed <= cook < day for cook in cooks)]


def _with_hours(season: Season, first: date, last: date) -> list[date]:
    return [day for day in _present(season, first, last) if season.people.minutes.get(weekday(day))]


def _present(season: Season, first: date, last: date) -> list[date]:
    begin = max(first, season.today, season.no_work_before)
    away = expand(season.people.away)
    return [day for day in days_between(begin, last) if day not in away]
