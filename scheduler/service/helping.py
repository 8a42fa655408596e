"""What would have helped against a loss, worked out from the plan; no plan of it is made."""

from __future__ import annotations

from datetime import timedelta

from scheduler.plan import Plan
from scheduler.rehearsal import Better, LostBatch, Rehearsed


def falls_short(one: Rehearsed, wished: float) -> bool:
    """Whether the chance is below the wish through the loss, by what is shown of it."""
    assert one.chance_now is not None
    return one.chance_now < wished and round(100 * one.chance_now) < round(100 * one.chance_was)


def would_have_helped(batches: tuple[LostBatch, ...], plan: Plan, late: int | None) -> tuple[Better, ...]:
    """What would have helped, the cheapest first; `late` are the days that were missing, None where days help
    nothing.

    A line that begins earlier costs nothing but time; a second batch costs the work of another one.
    """
    names = {batch.id for batch in batches}
    units = sum(batch.needed for batch in plan.batches if batch.id in names)
    minutes = sum(task.minutes for task in plan.tasks if task.place == "lab" and task.batch in names)
    found = [Better("in two batches", units=units, minutes=minutes)]
    if late is not None and all(_can_begin_earlier(batch.line, late, plan) for batch in batches):
        found.append(Better("earlier", days=late))
    return tuple(sorted(found, key=lambda better: better.minutes))


def _can_begin_earlier(line: str, days: int, plan: Plan) -> bool:
    """Whether all work of a line so many days earlier would not be before the plan's own day."""
    begins = min(
        day
        for batch in plan.batches
        if batch.line == line
        for day in (batch.cook_on or batch.inoculate_on,)
        if day is not None
    )
    return begins - timedelta(days) >= plan.season.today
