"""Care of what stands already, as works: turning, soaking and picking take hours from the same days."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from scheduler.aftercare.reserved import Reserved, reserved
from scheduler.aftercare.schedule import schedule
from scheduler.plan import Supply
from scheduler.problem.draft import Draft
from scheduler.problem.needs import Need, limits
from scheduler.problem.shapes import Work
from scheduler.season.season import Season, Standing
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import days_between, expand, weekday

LONGEST = 120
"""Care that takes more minutes is cut into equal parts, each with a day of its own."""
MOST_SHARE = 0.5
"""At most so much of the hours of its days is reserved for all that stands together (a rule of this planner):
picking is an estimate, and no season is refused because much may grow."""


@dataclass(frozen=True)
class Booked:
    """Care of what stands, or a part of it, for which minutes of one day are reserved."""

    name: str
    """Of the work and of the task."""
    standing: Standing
    care: Reserved
    minutes: int
    supplies: tuple[Supply, ...]
    """What is bought for it: its share, where it is a part."""


def booked(season: Season, catalogue: Catalogue) -> Iterator[Booked]:
    """What is reserved from today to the end of the last window.

    What is done is not reserved, nor what lies in days without hours.
    """
    share = MOST_SHARE / max(1, len(season.standing))
    last = max((planting.window[1] for planting in season.plantings), default=season.today)
    begin = max(season.today, season.no_work_before)
    for standing in season.standing:
        items = schedule(
            standing,
            catalogue,
            season.site.latitude,
            tank=season.tools.tank_l is not None,
            units=season.units,
        )
        for one in reserved(standing.name, items, begin, last):
            yield from _parts(standing, one, _hours(season, one.first, one.last), share)


def need(one: Booked) -> Need | None:
    """What is bought for care: chips, with which beds are topped up."""
    return Need(one.name, "chips") if one.supplies else None


def write(draft: Draft) -> None:
    """Write the works of what is reserved.

    What is bought for it is waited for within its span; where it cannot come in time the order is late, and
    no season is refused for that.
    """
    for one in booked(draft.season, draft.catalogue):
        care = one.care
        span = draft.calendar.between(care.first, care.last)
        bought = limits(draft, need(one))
        if not all(span & days for _, days in bought):
            bought = ()
        rule = draft.rule(
            f"care:{care.name}",
            "care",
            f"standing:{one.standing.name}",
            facts={"what": care.item.title, "from": str(care.first), "to": str(care.last)},
        )
        draft.add(
            Work(
                one.name,
                draft.limits(
                    (rule, span),
                    *bought,
                    draft.hours(),
                    draft.present(),
                    draft.begun(),
                ),
                table_rule=rule,
            )
        )
        draft.care.add(one.name)
        draft.yard_minutes[one.name] = one.minutes


def _parts(standing: Standing, one: Reserved, hours: list[int], share: float) -> Iterator[Booked]:
    """The parts of one piece of care that are not done, none longer than its longest day."""
    minutes = min(one.item.minutes, math.floor(share * sum(hours)))
    if not minutes or one.name in standing.cared:
        return
    parts = math.ceil(minutes / min(LONGEST, max(hours)))
    for part in range(1, parts + 1):
        name = one.name if parts == 1 else f"{one.name}/{part}"
        if name not in standing.cared:
            supplies = (replace(it, quantity=math.ceil(it.quantity / parts)) for it in one.item.supplies)
            yield Booked(name, standing, one, math.ceil(minutes / parts), tuple(supplies))


def _hours(season: Season, first: date, last: date) -> list[int]:
    """The grower's own minutes of each day between two days."""
    away = expand(season.people.away)
    return [
        0 if day in away else season.people.minutes.get(weekday(day), 0) for day in days_between(first, last)
    ]
