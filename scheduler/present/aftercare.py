"""What comes after planting: care and picking of what is planted, and of what stands already."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from scheduler import measures
from scheduler.plan import Picking, Plan, Task
from scheduler.present import dates
from scheduler.present.cautions import minded
from scheduler.present.dates import Dates, dates_of
from scheduler.present.layout import Column, Lines, paragraph, table
from scheduler.workdays import full

LABEL, VALUE = Column(), Column(soft=True)
COLUMNS = (Column("between"), Column("care", soft=True), Column("hands"))
FIRST_YEAR = timedelta(days=366)
"""So far ahead of the planting day, or of today for what stands, care is listed."""


def picking(years: Sequence[Picking], units: measures.Units) -> str:
    """Each year of picking on a line: its months, and the mass to expect."""
    return "\n".join(
        f"year {year.year}: {', '.join(dates.months(span) for span in year.between)}, about "
        f"{measures.mass(year.likely_g, units)} "
        f"({measures.mass(year.low_g, units)} to {measures.mass(year.high_g, units)})"
        for year in years
    )


def standing(plan: Plan, width: int) -> Lines:
    """What stands already: its size, when it was planted, its years of picking, and when it ends."""
    lines: Lines = []
    for one in plan.standing:
        what = f"{one.size}, {one.method}, {one.species} ({one.strain})"
        facts = [
            ("planted", full(one.planted_on)),
            ("picking", picking(one.picking, plan.season.units)),
            ("ends", dates.months(one.ends)),
        ]
        lines += paragraph(f"{one.name}: {what}", width)
        lines += table((LABEL, VALUE), [fact for fact in facts if fact[1]], width, indent=4)
    return lines


def care(plan: Plan, width: int) -> Lines:
    """The care of the first year after planting, or of the next year of what stands; then how it goes on."""
    words = dates_of(plan)
    planted = {one.name: max(one.plant_on) for one in plan.plantings if one.plant_on}
    rows: list[str | tuple[str, ...]] = []
    left = 0
    for name in (*planted, *(one.name for one in plan.standing)):
        begin = max(planted.get(name, plan.season.today), plan.season.today)
        mine = [task for task in plan.tasks if task.is_care and task.planting == name]
        soon = [task for task in mine if task.on <= begin + FIRST_YEAR]
        left += len(mine) - len(soon)
        rows += [name, *_rows(soon, words)] if soon else []
    if not rows:
        return []
    lines = table(COLUMNS, rows, width, indent=4)
    if left:
        lines += paragraph(
            f"{measures.counted(left, 'task')} of later years stand in the calendar and in --json.", width
        )
    return lines


def _rows(tasks: Sequence[Task], words: Dates) -> Iterator[tuple[str, ...]]:
    """A row for each task in order; those that come again and again are one, where they come first."""
    alike: dict[str, list[Task]] = {}
    for task in tasks:
        alike.setdefault(task.id if task.ongoing else task.title, []).append(task)
    for same in alike.values():
        times = f" ({len(same)} times)" if len(same) > 1 else ""
        span = words.span((same[0].on, _last(same[-1])))
        yield span, minded(same[0].title + times, same[0]), measures.duration(same[0].minutes)


def _last(task: Task) -> date:
    return task.until or task.slip_to or task.on
