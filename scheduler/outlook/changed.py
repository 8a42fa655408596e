"""Courses that differ in one thing: the questions that are asked of a season."""

from __future__ import annotations

from dataclasses import replace

from scheduler.outlook.course import NEVER, Course, Grown


def with_spare(course: Course, stage: str) -> Course:
    """One more unit of a stage's first batch, in the load of its last one.

    KeyError where nothing of the stage is still to be made.
    """
    first = next((batch for batch in course.of(stage) if is_to_make(batch)), None)
    if first is None:
        raise KeyError(stage)
    more = replace(first, units=first.units + 1, loads=first.loads + first.loads[-1:])
    return _with(course, {first.id: more})


def with_units(course: Course, stage: str, units: int) -> Course:
    """So many units of a stage more, or fewer where it is less than 0.

    KeyError where nothing of the stage is still to be made, or not that many.
    """
    for _ in range(units):
        course = with_spare(course, stage)
    for _ in range(-units):
        course = _with_one_less(course, stage)
    return course


def _with_one_less(course: Course, stage: str) -> Course:
    """Without the last unit of a stage, and without its batch where that was all of it."""
    last = next((batch for batch in reversed(list(course.of(stage))) if is_to_make(batch)), None)
    if last is None:
        raise KeyError(stage)
    if last.units == 1:
        return replace(course, batches=tuple(batch for batch in course.batches if batch is not last))
    fewer = replace(last, units=last.units - 1, loads=last.loads[: last.units - 1])
    return _with(course, {last.id: fewer})


def with_margin(course: Course, line: str, days: int) -> Course:
    """All lab work of a line so many days earlier, or as soon after that as it can be; not before today.

    It is later where `days` is less than 0.
    """
    moved = {}
    for batch in course.batches:
        if batch.line == line and is_to_make(batch) and batch.openings is not None:
            table = batch.openings.begin
            day = table[min(max(batch.planned - days, course.today), len(table) - 1)]
            moved[batch.id] = replace(batch, planned=min(batch.planned, day) if days > 0 else day)
    return _with(course, moved)


def begun_from(course: Course, day: int) -> Course:
    """The same where nothing that begins a line is begun before a day."""
    return replace(course, not_before=day)


def is_to_make(batch: Grown) -> bool:
    """Whether a batch is still to be inoculated."""
    return batch.openings is not None and not batch.begun


def starts(course: Course) -> list[int]:
    """Days to begin on from the planned first work of a line on; each is the last one that plays like it."""
    first = [batch for batch in course.batches if batch.starts and is_to_make(batch)]
    days = set()
    for batch in first:
        assert batch.openings is not None
        table = batch.openings.anew
        days |= {
            day
            for day in range(course.today, len(table) - 1)
            if table[day] < NEVER and table[day] != table[day + 1] and table[day + 1] > batch.planned
        }
    return sorted(days)


def _with(course: Course, changed: dict[str, Grown]) -> Course:
    return replace(course, batches=tuple(changed.get(batch.id, batch) for batch in course.batches))
