"""The days of planting as a calendar for those who come to help: what is done, by whom, and what to mind.

One entry for each planting and day, and a tentative one for its rain day. Their names are other ones than
those of the season's own calendar, so that both can be followed in one program.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from scheduler import measures
from scheduler.plan import Plan, PlantingDay, PlantingPlan, PlantingWork, Task
from scheduler.present import running_order
from scheduler.present.calendar_items import USUAL, Item, clean, one_line
from scheduler.present.dates import Dates
from scheduler.workdays import full

HELPERS = "helpers:"
"""In front of the name of every entry. Never changed: calendars would show every entry twice."""


def is_for_helpers(name: str) -> bool:
    """Whether an entry of that name stands in the calendar for helpers."""
    return name.startswith(HELPERS)


def items(plan: Plan) -> list[Item]:
    """The days of planting that are still to come, and their rain days; none in plans that knew none."""
    return [*_days(plan), *_rain_days(plan)]


def counted(plan: Plan) -> str:
    """How many events of each kind the calendar has: ``2 planting days and 1 rain day``."""
    days = measures.counted(sum(len(day.works) for day in plan.planting_days), "planting day")
    return f"{days} and {measures.counted(len(list(_with_rain_day(plan))), 'rain day')}"


def _days(plan: Plan) -> Iterator[Item]:
    known = {task.id: task for task in plan.tasks}
    for day in plan.planting_days:
        for work in day.works:
            task = known[work.task]
            yield _item(
                task.id, day.on, f"Planting: {task.title}", _about(plan, day, work, task), ("Planting",)
            )


def _about(plan: Plan, day: PlantingDay, work: PlantingWork, task: Task) -> Iterator[str]:
    first = work.stations[0]
    yield f"{task.title}. There: {running_order.people(day, 'the host')}."
    yield f"The day takes {running_order.takes(day)}; at which hour it begins is the host's to say."
    before = [other.planting for other in day.works[: day.works.index(work)]]
    begins = f"after {', '.join(before)}, about {running_order.clock(first.starts)} into the day"
    yield f"Start: {begins if before else 'at once'}, with {first.name}: {first.what}."
    for station in work.stations:
        who = measures.counted(station.people, "person").replace("persons", "people")
        yield (
            f"{running_order.clock(station.starts)} to {running_order.clock(station.ends)} {station.name} "
            f"({who}, {measures.duration(station.minutes)} of hands): {station.what}"
        )
        if station.ahead_at is not None:
            yield f"{running_order.clock(station.ahead_at)} {station.ahead}."
    spawn = "; ".join(running_order.which_spawn(plan, work))
    if spawn:
        yield f"Spawn: {spawn}."
    for tool in running_order.tools_of([task]):
        yield f"At hand: {tool}"
    for caution in running_order.cautions_of([task]):
        yield f"Caution: {caution}"
    planting = next((one for one in plan.plantings if one.name == work.planting), None)
    if planting and planting.fallback_on:
        yield f"Rain day: {full(planting.fallback_on)}."


def _with_rain_day(plan: Plan) -> Iterator[PlantingPlan]:
    to_come = {work.planting for day in plan.planting_days for work in day.works}
    return (one for one in plan.plantings if one.name in to_come and one.fallback_on)


def _rain_days(plan: Plan) -> Iterator[Item]:
    words = Dates(plan.season.today)
    for planting in _with_rain_day(plan):
        assert planting.fallback_on is not None
        lines = [
            f"Only if {planting.name} cannot be planted as planned ({words.days(planting.plant_on)}).",
            *running_order.rain_day(plan, planting, words),
        ]
        yield _item(
            f"rain:{planting.name}",
            planting.fallback_on,
            f"Rain day: {planting.name}",
            lines,
            ("Planting", "Rain day"),
            tentative=True,
        )


def _item(
    name: str,
    on: date,
    summary: str,
    lines: Iterable[str],
    categories: tuple[str, ...],
    *,
    tentative: bool = False,
) -> Item:
    return Item(
        name=f"{HELPERS}{name}",
        first=on,
        last=on,
        hours=None,
        summary=one_line(summary),
        text=clean("\n".join(lines)),
        categories=categories,
        priority=USUAL,
        tentative=tentative,
    )
