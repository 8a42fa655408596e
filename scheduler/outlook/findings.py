"""Asks a course what the outlook shows: chances, what they hang on, what would raise them, later starts."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

import numpy as np

from scheduler.chances import Gain, Hang, LeftOver, PlantingOutlook, SeasonOutlook
from scheduler.outlook import changed
from scheduler.outlook.course import Course, Planted, Stage
from scheduler.outlook.later import Starts
from scheduler.outlook.share import DIGITS, share
from scheduler.outlook.simulate import Played, simulate
from scheduler.plan import Plan

WEEK = 7
START_SEASONS = 4000
"""Seasons, at most, for each start that is looked at."""


def look_ahead(course: Course, plan: Plan, *, seasons: int, seed: int) -> SeasonOutlook:
    """The outlook of a course, made from `plan`; the same for the same course, number of seasons and seed."""
    played = simulate(course, seasons, seed)
    later = Starts(course, min(seasons, START_SEASONS), seed)
    losses = {planting.name: planting.chance for planting in plan.plantings}
    chance, stderr = share(played.all_made())
    return SeasonOutlook(
        plan_no=plan.plan_no,
        season=plan.season.name,
        today=plan.season.today,
        units=plan.season.units,
        seasons=seasons,
        start_seasons=later.seasons,
        seed=seed,
        wished=plan.season.certainty,
        chance=chance,
        stderr=stderr,
        losses_only=plan.outlook.all if plan.outlook else 0.0,
        plantings=tuple(
            _planting(course, planting, played, losses[planting.name], later) for planting in course.plantings
        ),
        gains=tuple(sorted(_gains(course, played, seasons, seed), key=lambda g: (-g.gain, g.line, g.stage))),
        starts=later.curve(None),
        last_starts=later.last(None),
    )


def _planting(
    course: Course, planting: Planted, played: Played, losses_only: float, later: Starts
) -> PlantingOutlook:
    made, on = played.made(planting.name), played.planted_on[planting.name]
    chance, stderr = share(made)
    over = played.spawn_g[planting.name][made] - planting.need_g
    return PlantingOutlook(
        name=planting.name,
        line=planting.line,
        chance=chance,
        stderr=stderr,
        losses_only=losses_only,
        planned_on=course.origin + timedelta(days=planting.planned),
        later=share(made & (on > planting.planned))[0],
        hangs_on=tuple(sorted(hangs(course, planting, played), key=lambda hang: (-hang.share, hang.stage))),
        left_over=LeftOver(*(round(float(np.quantile(over, q)), 1) for q in (0.1, 0.5, 0.9)))
        if over.size
        else None,
        starts=later.curve(planting.name),
        last_starts=later.last(planting.name),
    )


def shortfalls(course: Course, seasons: int, seed: int) -> list[tuple[str, Hang]]:
    """Everything that plantings come to nothing through, by planting, largest share of the seasons first."""
    played = simulate(course, seasons, seed)
    found = [(p.name, hang) for p in course.plantings for hang in hangs(course, p, played)]
    return sorted(found, key=lambda one: -one[1].share)


def hangs(course: Course, planting: Planted, played: Played) -> Iterator[Hang]:
    """Why a planting came to nothing: the first stage on its way that was short, else that it was late."""
    left = ~played.made(planting.name)
    way = list(_way(course, planting))
    for stage in way:
        through = left & played.short[stage.key]
        left = left & ~through
        if through.any():
            batches = tuple(batch.id for batch in course.of(stage.key))
            yield Hang("too few", stage.name, batches, share(through)[0])
    anew = np.zeros_like(left)
    for stage in way:
        anew |= played.remade[stage.key]
    if (left & anew).any():
        yield Hang("late after a redo", "", (), share(left & anew)[0])
    if (left & ~anew).any():
        yield Hang("late", "", (), share(left & ~anew)[0])


def _way(course: Course, planting: Planted) -> Iterator[Stage]:
    """The stages that lead to a planting, in order; what is in hand is none that can be short."""
    by_key = {stage.key: stage for stage in course.stages}
    way = [by_key[planting.stage]]
    while way[-1].parent is not None:
        way.append(by_key[way[-1].parent])
    return reversed(way)


def _gains(course: Course, played: Played, seasons: int, seed: int) -> Iterator[Gain]:
    """What one more unit of each stage, and a week more for each line, would add."""
    for line in course.lines():
        alone = course.only(line)
        names = tuple(planting.name for planting in alone.plantings)
        for stage in alone.stages:
            members = [batch for batch in alone.of(stage.key) if changed.is_to_make(batch)]
            if stage.is_test or not members:
                continue
            after = simulate(changed.with_spare(alone, stage.key), seasons, seed)
            served = tuple(name for name in names if stage in list(_way(alone, _named(alone, name))))
            batches = tuple(batch.id for batch in members)
            yield Gain("one more unit", line, stage.name, batches, served, *_gain(played, after))
        if any(changed.is_to_make(batch) for batch in alone.batches):
            after = simulate(changed.with_margin(alone, line, WEEK), seasons, seed)
            yield Gain("a week earlier", line, "", (), names, *_gain(played, after))


def _named(course: Course, name: str) -> Planted:
    return next(planting for planting in course.plantings if planting.name == name)


def _gain(before: Played, after: Played) -> tuple[float, float]:
    """What the chance of all plantings gains where some of them are replaced, season by season."""
    both = replace(before, planted_on={**before.planted_on, **after.planted_on})
    more = both.all_made().astype(float) - before.all_made()
    return round(float(more.mean()), DIGITS), round(float(more.std()) / math.sqrt(more.size), DIGITS)
