"""Answers to a Problem, changed at random in one place or two: some may still stand, most may not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from random import Random

from scheduler.problem.shapes import Days, Problem
from tests.seasons.slips import settled


def mutated(problem: Problem, days: Days, random: Random) -> Days:
    """The answer with one thing changed, and in most cases with what follows from it put right again."""
    changed = random.choice(CHANGES)(problem, days, random)
    return settled(problem, changed) if random.random() < 0.7 else changed


def a_work_moved(problem: Problem, days: Days, random: Random) -> Days:
    """A work shifted as a whole, mostly by a few days."""
    name = random.choice([work.name for work in problem.works])
    shift = random.choice((-1, 1, -2, 2, -7, 7, random.randint(-60, 60)))
    return _with(days, name, {day + shift: count for day, count in days.pieces[name].items()})


def a_work_on_an_allowed_day(problem: Problem, days: Days, random: Random) -> Days:
    """A work on a single day that its own limits allow, near where it was."""
    work = random.choice([work for work in problem.works if work.limits])
    allowed = sorted(frozenset.intersection(*(limit.days for limit in work.limits)))
    near = sorted(allowed, key=lambda day: abs(day - days.first(work.name)))[:12]
    return _with(days, work.name, {random.choice(near): work.pieces}) if near else days


def pieces_moved(problem: Problem, days: Days, random: Random) -> Days:
    """Some pieces of a work on another day."""
    spread = [work.name for work in problem.works if work.pieces > 1]
    if not spread:
        return days
    name = random.choice(spread)
    pieces = dict(days.pieces[name])
    source = random.choice(sorted(pieces))
    taken = random.randint(1, pieces[source])
    pieces[source] -= taken
    target = source + random.choice((1, -1, 7, -7, 14, random.randint(-20, 20)))
    pieces[target] = pieces.get(target, 0) + taken
    return _with(days, name, {day: count for day, count in sorted(pieces.items()) if count})


def pieces_lost(problem: Problem, days: Days, random: Random) -> Days:
    """A piece too many or too few."""
    name = random.choice([work.name for work in problem.works])
    pieces = dict(days.pieces[name])
    pieces[random.choice(sorted(pieces))] += random.choice((-1, 1))
    return _with(days, name, pieces)


def another_cooker(problem: Problem, days: Days, random: Random) -> Days:
    """A batch in another vessel, which it may not fit."""
    if not days.cooker:
        return days
    name = random.choice(sorted(days.cooker))
    pot = random.choice(problem.cookers).name
    changed = Days(days.pieces, {**days.cooker, name: pot}, days.loads)
    fits = any(pot == cooker.name and name in cooker.shares for cooker in problem.cookers)
    return (
        changed
        if fits
        else Days(days.pieces, {key: value for key, value in days.cooker.items() if key != name})
    )


def a_load_changed(problem: Problem, days: Days, random: Random) -> Days:
    """A load more or less."""
    loads = dict(days.loads)
    if not loads:
        return days
    key = random.choice(sorted(loads))
    loads[key] += random.choice((-1, 1))
    return Days(days.pieces, days.cooker, {key: count for key, count in loads.items() if count})


def _with(days: Days, name: str, pieces: dict[int, int]) -> Days:
    return Days({**days.pieces, name: pieces}, days.cooker, days.loads)


CHANGES: tuple[Callable[[Problem, Days, Random], Days], ...] = (
    a_work_moved,
    a_work_on_an_allowed_day,
    a_work_on_an_allowed_day,
    pieces_moved,
    pieces_lost,
    another_cooker,
    a_load_changed,
)


def snug(problem: Problem, days: Days) -> Problem:
    """The Problem with rooms and days that hold just what the answer puts there, so that every change tells."""
    rooms = []
    for room in problem.rooms:
        held: Counter[int] = Counter()
        for stay in room.stays:
            start, end = days.at(problem, stay.start), days.at(problem, stay.end)
            held.update(dict.fromkeys(range(start, end), stay.amount))
        rooms.append(replace(room, capacity=max(held.values(), default=0)))
    limits = []
    for limit in problem.day_limits:
        taken: Counter[int] = Counter()
        for name, amount in limit.per_piece.items():
            taken.update({day: amount * count for day, count in days.pieces[name].items()})
        for (day, *kind), count in days.loads.items():
            taken[day] += count * limit.loads.get((kind[0], kind[1]), 0)
        limits.append(replace(limit, capacity={**limit.capacity, **{day: taken[day] for day in taken}}))
    return replace(problem, rooms=tuple(rooms), day_limits=tuple(limits))
