"""The weeks after the next leaf turn: what is planted in them, whole or in part, and the site's dates for it.

A season file has one leaf turn and one bud swell. A leaf turn after the bud swell is the next autumn's: wood
may still be felled until the buds swell, and again in autumn.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

from scheduler import measures
from scheduler.plan import Period
from scheduler.season.season import LogGroup, Planting, Season, Site, first_pieces
from scheduler.service.edit import Edit, Family, with_planting
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import full

HALVES = "half now, half in autumn"
_PRICE = "a season's wait for a part, and spawn and wood for it once more"

WEEKS = timedelta(days=41)
"""From leaf turn to the last planting day of an autumn window: six weeks, which in most places leave five or
more until it stays frozen (common practice)."""


@dataclass(frozen=True)
class Autumn:
    """An autumn window, and the site's dates with which wood is felled for it."""

    window: Period
    site: Site


def autumn(season: Season, catalogue: Catalogue, plantings: Collection[Planting]) -> Autumn | None:
    """The autumn to which plantings can be put off; None for beds, or where that is no later."""
    site, turn = season.site, season.site.leaf_turn
    if turn is None or any(catalogue.methods[p.method].wood == "chips" for p in plantings):
        return None
    years = next(n for n in range(9) if a_year_from(turn, n) > season.today)
    first = a_year_from(turn, years)
    if any(p.window[1] >= first for p in plantings):
        return None
    swell = site.bud_swell
    if swell is not None and swell <= season.today:
        swell = a_year_from(swell, years)
    return Autumn((first, first + WEEKS), replace(site, leaf_turn=first, bud_swell=swell))


def halves(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """Some pieces of a planting left for the autumn; never fewer than `at_least` now or then."""
    for planting in subjects:
        there = autumn(season, catalogue, [planting])
        total, least = sum(group.count for group in planting.groups), int(planting.at_least or 1)
        if there is None:
            continue
        # Beyond the half the larger part is that of the autumn, which then is the one that may not fit.
        half = total // 2
        for cost, counts in ((6, range(least, half + 1)), (7, range(half + 1, total - least + 1))):
            edits = tuple(
                _halved(season, catalogue, planting, there, count)
                for count in counts
                if total - count >= least
            )
            yield Family(HALVES, cost, _PRICE, (planting.name, _name(planting)), edits)


def _halved(season: Season, catalogue: Catalogue, planting: Planting, there: Autumn, count: int) -> Edit:
    """The season with `count` pieces of a planting as a planting of their own in the autumn."""
    total = sum(group.count for group in planting.groups)
    method = catalogue.methods[planting.method]
    changed = with_planting(season, planting, groups=first_pieces(planting.groups, total - count))
    then = replace(
        planting,
        name=_name(planting),
        groups=_other_pieces(planting.groups, total - count),
        window=there.window,
        best=there.window,
        felled=None if method.wood == "logs" else planting.felled,
        index=len(season.plantings),
    )
    first, last = map(full, there.window)
    wood = ", with wood felled then" if method.wood == "logs" else ""
    words = measures.counted(count, method.piece)
    return Edit(
        f"{words} in autumn",
        f"Do {total - count} of the {total} {method.piece}s of {planting.name} in its window and {words} "
        f"between {first} and {last}{wood}.",
        replace(changed, plantings=(*changed.plantings, then), site=there.site),
    )


def _name(planting: Planting) -> str:
    return f"{planting.name}, autumn"


def _other_pieces(groups: tuple[LogGroup, ...], first: int) -> tuple[LogGroup, ...]:
    """What is left of groups when their first pieces are taken."""
    left = []
    for group in groups:
        taken = min(group.count, first)
        first -= taken
        if taken < group.count:
            left.append(replace(group, count=group.count - taken))
    return tuple(left)


def a_year_from(day: date, years: int) -> date:
    """The same day of another year; 28 February for a leap day."""
    leap = (day.month, day.day) == (2, 29)
    return day.replace(year=day.year + years, day=28 if leap and years else day.day)
