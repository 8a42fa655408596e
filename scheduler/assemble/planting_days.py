"""The days of planting: who is there, which station comes when, and which bag goes to which logs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date

from scheduler.assemble.frame import Frame
from scheduler.lines.shapes import BatchSpec, Demand, YardPart, YardStep
from scheduler.plan import Fed, Helpers, PlantingDay, PlantingWork, Station, Task
from scheduler.problem import yard
from scheduler.science import sharing, stations
from scheduler.science.rounding import NOISE
from scheduler.workdays import weekday

ONE_SAW = 1
"""Saws that are there (common practice: one, and one person who knows it)."""
SET_UP_BY = 2
"""More than so many are in each other's way while stations are set up (common practice)."""


@dataclass(frozen=True)
class _Timed:
    """What is planted of one planting on a day, and how long that takes from beginning to end."""

    work: PlantingWork
    minutes: float
    low: float
    high: float


def planting_days(frame: Frame, tasks: Iterable[Task]) -> tuple[PlantingDay, ...]:
    """Every day with planting that is still to be done; `tasks` are the open ones."""
    by_day: dict[date, list[Task]] = {}
    for task in tasks:
        if task.kind == "plant":
            by_day.setdefault(task.on, []).append(task)
    return tuple(_day(frame, on, by_day[on]) for on in sorted(by_day))


def own_minutes(frame: Frame, on: date) -> int:
    """The grower's own hands-on minutes of a day."""
    return 0 if frame.is_away(on) else frame.season.people.minutes.get(weekday(on), 0)


def help_on(frame: Frame, on: date) -> tuple[Helpers, ...]:
    """Help that is named for a day."""
    return tuple(Helpers(one.people, one.minutes) for one in frame.season.help if one.on == on)


def hands_on(frame: Frame, on: date) -> int:
    """All hands-on minutes of a day."""
    return own_minutes(frame, on) + sum(one.people * one.minutes for one in help_on(frame, on))


def _day(frame: Frame, on: date, tasks: list[Task]) -> PlantingDay:
    day = PlantingDay(on, own_minutes(frame, on), help_on(frame, on), 0, (0, 0), ())
    timed: list[_Timed] = []
    for task in tasks:
        timed.append(_work(frame, task, day.people, sum(one.minutes for one in timed)))
    return replace(
        day,
        minutes=math.ceil(sum(one.minutes for one in timed) - NOISE),
        spread=(
            math.floor(sum(one.low for one in timed) + NOISE),
            math.ceil(sum(one.high for one in timed) - NOISE),
        ),
        works=tuple(one.work for one in timed),
    )


def _work(frame: Frame, task: Task, people: int, begins: float) -> _Timed:
    """One planting of a day, by so many people, that begins when the one before it is over."""
    planting = frame.plantings[task.planting or ""]
    demand = frame.sizing.demand(planting.name)
    pieces = frame.pieces(yard.plant(planting.name), task.on)
    step = demand.step("plant")
    assert step is not None, f"{planting.method} has no planting step"
    limits = [_limit(frame, part) for part in step.parts]
    minutes, low, high = (
        [pieces * each for each in column]
        for column in zip(*((part.likely, part.low, part.high) for part in step.parts), strict=True)
    )
    split = stations.teams(minutes, limits, people)
    share = pieces / demand.pieces
    once = [each * share / min(people, SET_UP_BY) for each in step.set_up]
    spawn, reserve = _spawn(frame, demand, task.on)
    work = PlantingWork(
        task=task.id,
        planting=planting.name,
        pieces=pieces,
        piece=frame.catalogue.methods[planting.method].piece,
        stations=(
            *_set_up(step, share, min(people, SET_UP_BY), begins),
            *_stations(step, split, limits, pieces, begins + once[1]),
        ),
        spawn=spawn,
        reserve=reserve,
    )
    times = (stations.whole(split, column, limits, pieces) for column in (low, minutes, high))
    shortest, likely, longest = (each + own for each, own in zip(once, times, strict=True))
    return _Timed(work, likely, shortest, longest)


def _limit(frame: Frame, part: YardPart) -> int:
    """How many can work at a station at once; 0 where only room limits them."""
    return {"drill": frame.season.tools.drills, "saw": ONE_SAW}.get(part.holds, 0)


def _set_up(step: YardStep, share: float, people: int, begins: float) -> Iterator[Station]:
    low, likely, high = (each * share for each in step.set_up)
    if likely:
        yield Station(
            name="set up",
            what=step.set_up_what,
            minutes=round(likely),
            spread=(math.floor(low), math.ceil(high)),
            people=people,
            team=0,
            starts=round(begins),
            ends=round(begins + likely / people),
        )


def _stations(
    step: YardStep, split: tuple[stations.Team, ...], limits: list[int], pieces: int, begins: float
) -> Iterator[Station]:
    minutes = [part.likely * pieces for part in step.parts]
    first = stations.starts(split, minutes, limits, pieces)
    over = begins
    for number, team in enumerate(split, start=1):
        places = range(team.first, team.last + 1)
        way = sum(step.parts[place].likely for place in places)
        # The last piece comes here when the team before has let it go.
        over = max(begins + first[team.first] + stations.team_minutes(team, minutes, limits), over + way)
        for place in places:
            part, alone = step.parts[place], len(split) == 1
            # What has to melt first cannot be used before, however early it is wanted.
            starts = max(begins + first[place], part.ahead_minutes)
            ends = begins + first[place + 1] if alone and place < team.last else over
            yield Station(
                name=part.station,
                what=part.what,
                minutes=round(minutes[place]),
                spread=(math.floor(part.low * pieces), math.ceil(part.high * pieces)),
                people=team.people,
                team=number,
                starts=round(starts),
                ends=round(ends),
                limit=limits[place],
                limited_by=part.holds,
                ahead=part.ahead,
                ahead_at=max(0, round(starts) - part.ahead_minutes) if part.ahead else None,
            )


def _spawn(frame: Frame, demand: Demand, on: date) -> tuple[tuple[Fed, ...], tuple[str, ...]]:
    """Which units are opened for what is planted on a day, and which stay closed while those are enough."""
    opened, reserve = _opened(frame, demand)
    if not opened:
        return (), reserve
    amounts = [grams for _, grams in opened]
    before = sum(
        frame.pieces(yard.plant(demand.planting), day)
        for day in frame.on(yard.plant(demand.planting))
        if day < on
    )
    until = before + frame.pieces(yard.plant(demand.planting), on)
    planted = sum(frame.progress.planting(demand.planting).planted.values())
    area = frame.plantings[demand.planting].area_m2
    found = []
    if area is None:
        ranges = sharing.pieces(amounts, demand.pieces)
        for (unit, _), (first, last) in zip(opened, ranges, strict=True):
            first, last = max(first, before + 1), min(last, until)
            if first <= last:
                found.append(Fed(unit, planted + first, planted + last))
    else:
        begin, end = before / demand.pieces, until / demand.pieces
        for (unit, _), (low, high) in zip(opened, sharing.parts(amounts), strict=True):
            part = min(high, end) - max(low, begin)
            if part > NOISE:
                found.append(Fed(unit, None, None, round(area * part, 2)))
    return tuple(found), reserve


def _opened(frame: Frame, demand: Demand) -> tuple[list[tuple[str, float]], tuple[str, ...]]:
    """Units of finished spawn, each with its grams, until there is enough; and the ones beyond that."""
    opened: list[tuple[str, float]] = []
    reserve: list[str] = []
    for batch in frame.finished(demand.planting):
        for unit in _usable(batch):
            if sum(grams for _, grams in opened) < demand.spawn_g - NOISE:
                opened.append((unit, batch.unit_mass_g * batch.usable))
            else:
                reserve.append(unit)
    return opened, tuple(reserve)


def _usable(batch: BatchSpec) -> list[str]:
    """Units that are not kept back."""
    return [unit.id for unit in batch.units[: len(batch.units) - batch.keep_back]]
