"""Which cultures feed which plantings of a strain: what is in hand while it serves, else one that is ordered.

Plantings near each other share their cultures. One so late that these would be past their full vigour gets a
culture of its own, so that nothing late in the year hangs on one old bottle.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from scheduler.lines import culture, figures, timing
from scheduler.lines.culture import Source
from scheduler.lines.shapes import Growth
from scheduler.lines.spares import Level
from scheduler.science.rounding import whole_up
from scheduler.season.season import Planting, Season
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import ONE_DAY


@dataclass(frozen=True)
class Turn:
    """Plantings that are grown from the same cultures, by their best spans."""

    plantings: tuple[Planting, ...]
    held: tuple[Source, ...]
    """Cultures of one stage that may be used for them, the largest first."""


@dataclass(frozen=True)
class Course:
    """How long it takes from a culture to the planting, and how long what is made on the way may wait."""

    chain: Mapping[str, Growth]
    """Growth of the stages that are made between culture and planting."""
    buffer: int
    grows: timedelta
    fresh: timedelta
    keeps: timedelta


def course(season: Season, catalogue: Catalogue, plantings: Sequence[Planting], start: str) -> Course:
    """The course from a culture of stage `start`, by the longest route among the plantings that are made."""
    species, parent = plantings[0].species, start
    chain: dict[str, Growth] = {}
    route = max((p.route for p in plantings if p.spawn != "buy"), key=len, default=())
    for stage in route:
        if stage not in culture.CULTURES and not (stage == "grain" and route[0] == "grain"):
            chain[stage] = figures.growth(season, catalogue, species, stage, parent)
            parent = stage
    days = sum(timing.likely_days(season, catalogue, species, growth) for growth in chain.values())
    waits = [figures.waiting(catalogue, species, stage) for stage in chain]
    return Course(
        chain,
        timing.buffer(season, catalogue, species, list(chain.values())) if chain else 0,
        timedelta(days=whole_up(days)),
        timedelta(days=sum(fresh for fresh, _, _ in waits)),
        timedelta(days=sum(keeps for _, keeps, _ in waits)),
    )


def turns(
    season: Season, catalogue: Catalogue, groups: Sequence[Sequence[Planting]], level: Level
) -> list[Turn]:
    """The plantings that begin with a culture, in turns; `groups` are those that share grain, in order."""
    cultured = [[p for p in group if p.spawn != "buy" and p.route[0] != "grain"] for group in groups]
    waiting = [group for group in cultured if group]
    found: list[Turn] = []
    if not waiting:
        return found
    free = culture.in_hand(season, catalogue, waiting[0][0].species, waiting[0][0].strain)
    while waiting:
        plantings = waiting.pop(0)
        held = _serving(season, catalogue, free, plantings, level, is_later=bool(found))
        first = plantings[0].best[0]
        while waiting and _shares(season, catalogue, held[0], first, waiting[0]):
            plantings = [*plantings, *waiting.pop(0)]
        held = _together(season, catalogue, held, plantings, level)
        for start in held:
            if not start.bought:
                free.remove(start)
        found.append(Turn(tuple(plantings), held))
    return found


def _serving(
    season: Season,
    catalogue: Catalogue,
    free: Sequence[Source],
    plantings: Sequence[Planting],
    level: Level,
    *,
    is_later: bool,
) -> tuple[Source, ...]:
    """Cultures in hand of one stage that serve plantings sharing their grain, else one that is ordered.

    None serves that is past keeping before it can be used, or before anything that could still be planted can
    be made from it. Where an order comes in time, none serves either from which spawn would have to wait
    beyond its full vigour; and a later turn is not given one that is past its own.
    """
    species, ordered = plantings[0].species, culture.ordered(season, catalogue, plantings[0].route[0])
    usable = [start for start in free if _can_be_used(season, catalogue, species, start)]
    way = course(season, catalogue, plantings, (usable or [ordered])[0].stage)
    earliest = max(p.window[0] for p in plantings) - way.grows - way.keeps
    in_time = _comes_in_time(season, catalogue, plantings)

    def serves(start: Source) -> bool:
        keeps_until = _until(catalogue, species, start, 1)
        if keeps_until < earliest or not in_time:
            return keeps_until >= earliest
        if is_later:
            return _until(catalogue, species, start, 0) >= plantings[0].best[0] - way.grows
        return level != "wished" or keeps_until >= plantings[0].best[0] - way.grows - way.fresh

    found = [start for start in usable if serves(start)]
    return tuple(start for start in found if start.stage == found[0].stage) or (ordered,)


def _shares(
    season: Season, catalogue: Catalogue, start: Source, first: date, plantings: Sequence[Planting]
) -> bool:
    """Whether plantings later than `first` are grown from the same culture: it is fresh or the only one."""
    species, best = plantings[0].species, plantings[0].best[0]
    if not _comes_in_time(season, catalogue, plantings):
        return True
    if start.bought:
        return (best - first).days <= figures.waiting(catalogue, species, start.stage)[0]
    way = course(season, catalogue, plantings, start.stage)
    return _until(catalogue, species, start, 0) >= best - way.grows


def _comes_in_time(season: Season, catalogue: Catalogue, plantings: Sequence[Planting]) -> bool:
    """Whether a culture ordered today can be used when the first planting of a best span asks for it."""
    ordered = culture.ordered(season, catalogue, plantings[0].route[0])
    way = course(season, catalogue, plantings, ordered.stage)
    needed = plantings[0].best[0] - way.grows - timedelta(days=way.buffer)
    return culture.read_on(catalogue, ordered) <= needed


def _can_be_used(season: Season, catalogue: Catalogue, species: str, start: Source) -> bool:
    """Whether anything can be made from a culture in hand before it no longer keeps."""
    lab, until = catalogue.lab.culture, _until(catalogue, species, start, 1)
    media = max(start.there_on, season.today + timedelta(days=season.lead.supplies))
    first = start.there_on
    if start.stage == "slant" or (start.stage == "plate" and start.aged_days > lab.plate_age.likely):
        return bool(timing.hand_days(season, catalogue, media, until))
    if not start.tested and start.stage == "liquid culture":
        tests = timing.hand_days(season, catalogue, media, until)
        if not tests:
            return False
        first = tests[0] + timedelta(days=round(lab.test_days.likely))
    soaked = max(season.today + timedelta(days=season.lead.grain), season.no_work_before)
    return bool(timing.bench_days(season, catalogue, first, until, soaked + ONE_DAY))


def _until(catalogue: Catalogue, species: str, start: Source, place: Literal[0, 1]) -> date:
    """Last day of a culture's full vigour (0), or on which it can be used at all (1)."""
    days = figures.waiting(catalogue, species, start.stage)[place]
    return start.there_on + timedelta(days=days - start.aged_days)


def _together(
    season: Season,
    catalogue: Catalogue,
    held: Sequence[Source],
    plantings: Sequence[Planting],
    level: Level,
) -> tuple[Source, ...]:
    """The largest culture, and those that may stand beside it without making the season any tighter.

    They can be used by the day of the first jars or as soon as the largest one, and keep until the last jars
    or as long as the largest one. Plantings lie in their best spans; where the season does not fit and spares
    are shed, anywhere in their windows.
    """
    species = plantings[0].species
    way = course(season, catalogue, plantings, held[0].stage)
    last = max((p.best if level == "wished" else p.window)[1] for p in plantings) - way.grows
    first = plantings[0].best[0] - way.grows - timedelta(days=way.buffer)
    first = max(first, culture.read_on(catalogue, held[0]))
    last = min(last, _until(catalogue, species, held[0], 1))
    beside = [
        start
        for start in held[1:]
        if culture.read_on(catalogue, start) <= first and _until(catalogue, species, start, 1) >= last
    ]
    return (held[0], *beside)
