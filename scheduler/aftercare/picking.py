"""When a planting can be picked, what to expect of it year by year, and when a soak brings a flush.

Expected masses are a share of what a piece bears over its whole life, scaled from the piece that the figure
is for to the pieces that stand there: logs and totems by their volume, stumps by the area of their cut, beds
by their area.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.aftercare.year import spans
from scheduler.plan import Period, Picking
from scheduler.season.season import LogGroup, Standing
from scheduler.trade.care import Soaking
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.shapes import Figure, Piece
from scheduler.workdays import DAYS_A_MONTH, ONE_DAY

YEAR = timedelta(days=365)
_USUAL: dict[Piece, LogGroup] = {
    "log": LogGroup(1, 12.5, 100.0),
    "totem": LogGroup(1, 25.0, 75.0),
    "stump": LogGroup(1, 30.0),
}
"""The piece that the yields of a species profile are for."""


@dataclass(frozen=True)
class Life:
    """The years of one planting: when it is run through, its flushes, and when it is used up."""

    planted: date
    run_by: date
    """Day by which it is likely run through: from then on it may fruit."""
    early: tuple[Period, ...]
    """Spans before that in which a first flush is possible."""
    years: tuple[Picking, ...]
    ends: Period
    """Between which days it is used up."""


def life(standing: Standing, catalogue: Catalogue, latitude: float | None) -> Life:
    """The years of a planting by its species, strain, wood and size."""
    species = catalogue.species[standing.species]
    seasons = species.fruiting_of(standing.strain).seasons
    harvest = species.harvest
    possible = standing.planted + months(species.first_flush.lowest)
    run_by = standing.planted + months(species.first_flush.likely)
    longest = max(len(harvest.by_year), math.ceil(species.years.highest))
    flushes = spans(seasons, possible, run_by + (longest + 2) * YEAR, latitude)
    early = tuple(span for span in flushes if span[1] < run_by)
    bearing = [span for span in flushes if span[1] >= run_by]
    begin = bearing[0][0]
    per = _scaled(harvest.per.get(catalogue.methods[standing.method].piece), standing, catalogue)
    years = tuple(
        Picking(
            year=year,
            between=tuple(
                span for span in bearing if begin + (year - 1) * YEAR <= span[0] < begin + year * YEAR
            ),
            low_g=round(1000 * per[0] * share.lowest),
            likely_g=round(1000 * per[1] * share.likely),
            high_g=round(1000 * per[2] * share.highest),
        )
        for year, share in sorted(harvest.by_year.items())
    )
    return Life(
        planted=standing.planted,
        run_by=run_by,
        early=early,
        years=tuple(year for year in years if year.between),
        ends=(
            begin + round(species.years.likely) * YEAR,
            begin + max(round(species.years.highest), len(harvest.by_year)) * YEAR,
        ),
    )


def months(count: float) -> timedelta:
    """So many months in days."""
    return timedelta(days=round(count * DAYS_A_MONTH))


def soaks(
    one: Life, soaking: Soaking, first_forced: date, parts_of_flush: tuple[Period, ...]
) -> tuple[Period, ...]:
    """The spans in which a soak forces a flush: as many as the fruiting season holds, rest kept in full.

    The first not before `first_forced` nor before the log is run; each leaves time for its own flush before
    the season ends, and rest before the next.
    """
    flush, cycle = _days(soaking.flush), _days(soaking.flush) + _days(soaking.rest)
    found: list[Period] = []
    free = max(first_forced, one.run_by)
    for begin, end in parts_of_flush:
        day = max(begin, free)
        while day + flush <= end:
            found.append((day, min(day + timedelta(days=6), end - flush)))
            day += cycle
            free = day
    return tuple(found)


def _days(figure: Figure) -> timedelta:
    return timedelta(days=round(figure.likely))


def _scaled(per: Figure | None, standing: Standing, catalogue: Catalogue) -> tuple[float, float, float]:
    """Kilograms over the whole life of all that stands there: low, likely, high."""
    if per is None:
        return 0.0, 0.0, 0.0
    piece = catalogue.methods[standing.method].piece
    if piece == "m2":
        scale = standing.area_m2 or 0.0
    else:
        scale = sum(group.count * _bulk(group) for group in standing.groups) / _bulk(_USUAL[piece])
    return per.lowest * scale, per.likely * scale, per.highest * scale


def _bulk(group: LogGroup) -> float:
    """What the yield of a piece goes by: its volume, or the cut of a stump; in units that cancel out."""
    return group.diameter_cm**2 * (group.length_cm or 1.0)


def last_day(one: Life) -> date:
    """The last day of the last picking."""
    spans_of_years = [span for year in one.years for span in year.between]
    return max((end for _, end in spans_of_years), default=one.ends[1] - ONE_DAY)
