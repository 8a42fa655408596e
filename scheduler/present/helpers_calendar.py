"""The days of planting as a calendar for those who come to help: what is done, by whom, and what to mind.

One event for each planting and day, and a tentative one for its rain day. Their identities are other ones
than those of the season's own calendar, so that both can be followed in one program.
"""

from __future__ import annotations

from collections.abc import Iterator

from icalendar import Event

from scheduler import measures
from scheduler.errors import Fault, UsageError
from scheduler.plan import Plan, PlantingDay, PlantingPlan, PlantingWork, Task
from scheduler.present import running_order
from scheduler.present.calendar import event_of, file_of, one_line
from scheduler.present.dates import Dates
from scheduler.workdays import full

HELPERS = "helpers"
"""In front of the identity of every event. Never changed: calendars would show every event twice."""


def helpers_calendar(plan: Plan) -> bytes:
    """The days of planting that are still to come, and their rain days, as an iCalendar file.

    Raises UsageError where there are none, or the plan is of a version that knew none.
    """
    events = [*_days(plan), *_rain_days(plan)]
    if not events:
        raise UsageError(
            Fault(plan.season.name, "no day of planting is in the plan", "a plan with planting still to do")
        )
    season = one_line(plan.season.name)
    return file_of(
        events,
        name=f"{season}: planting days",
        description=f"Planting days of {season}, for helpers; rain days are tentative",
        color="goldenrod",
    )


def counted(plan: Plan) -> str:
    """How many events of each kind the calendar has: ``2 planting days and 1 rain day``."""
    days = measures.counted(sum(len(day.works) for day in plan.planting_days), "planting day")
    return f"{days} and {measures.counted(len(list(_with_rain_day(plan))), 'rain day')}"


def _days(plan: Plan) -> Iterator[Event]:
    known = {task.id: task for task in plan.tasks}
    for day in plan.planting_days:
        for work in day.works:
            task = known[work.task]
            yield event_of(
                plan,
                identity=f"{HELPERS}:{task.id}",
                on=day.on,
                summary=f"Planting: {task.title}",
                lines=_about(plan, day, work, task),
                categories=["Planting"],
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


def _rain_days(plan: Plan) -> Iterator[Event]:
    words = Dates(plan.season.today)
    for planting in _with_rain_day(plan):
        assert planting.fallback_on is not None
        planned = words.days(planting.plant_on)
        yield event_of(
            plan,
            identity=f"{HELPERS}:rain:{planting.name}",
            on=planting.fallback_on,
            summary=f"Rain day: {planting.name}",
            lines=[
                f"Only if {planting.name} cannot be planted as planned ({planned}).",
                *running_order.rain_day(plan, planting, words),
            ],
            categories=["Planting", "Rain day"],
            status="TENTATIVE",
        )
