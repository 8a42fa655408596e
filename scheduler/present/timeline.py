"""The season as a picture in plain letters: a row for each batch and planting, weeks from left to right."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from rich.cells import cell_len

from scheduler.plan import Plan
from scheduler.present.dates import dates_of
from scheduler.present.layout import GAP, INDENT, Column, Lines, paragraph, table
from scheduler.present.strokes import PLANTINGS, SPAWN, Stroke, days_shown, of_batch, of_planting
from scheduler.present.words import short_stage
from scheduler.workdays import MONTHS

BATCH_LEGEND = f"Spawn: {', '.join(f'{letter} {word}' for letter, word in SPAWN.items())}."
PLANTING_LEGEND = f"Plantings: {', '.join(f'{letter} {word}' for letter, word in PLANTINGS.items())}."
ONE_LETTER = "Where several days share a column, only one of them is shown."
LABEL, CHART = Column(soft=True), Column(whole=True)
LABEL_WIDTH = 24
"""Longer labels are folded."""
WEEKS: tuple[tuple[tuple[int, ...], str], ...] = (
    ((0, 1, 2, 3, 4, 5, 6), "One column is a day."),
    ((0, 0, 0, 0, 0, 1, 2), "Three columns are a week: Mon to Fri, Sat, Sun."),
    ((0, 0, 0, 0, 1, 1, 1), "Two columns are a week: Mon to Thu, Fri to Sun."),
    ((0, 0, 0, 0, 0, 0, 0), "One column is a week from Monday."),
)
"""Column of each weekday within its week, and that in words. The finest that fits the page is used; longer
seasons put several weeks into one column."""


@dataclass(frozen=True)
class Scale:
    """From days to columns: how a week is split into columns, or how many weeks share one."""

    first: date
    last: date
    weekdays: tuple[int, ...]
    weeks: int
    in_words: str

    @property
    def columns(self) -> int:
        """Width of the picture."""
        return self.column(self.last) + 1

    def column(self, day: date) -> int:
        """Column of a day of the picture."""
        week, weekday = divmod((day - self.first).days, 7)
        return week // self.weeks * (self.weekdays[-1] + 1) + self.weekdays[weekday]


def scale_for(first: date, last: date, room: int) -> Scale:
    """The finest scale on which all weeks from `first` to `last` fit into `room` columns."""
    monday = first - timedelta(days=first.weekday())
    sunday = last + timedelta(days=6 - last.weekday())
    weeks = (sunday - monday).days // 7 + 1
    for weekdays, in_words in WEEKS:
        if weeks * (weekdays[-1] + 1) <= room:
            return Scale(monday, sunday, weekdays, 1, in_words)
    grouped = -(-weeks // max(room, 1))
    return Scale(monday, sunday, WEEKS[-1][0], grouped, f"One column is {grouped} weeks.")


def timeline(plan: Plan, width: int) -> Lines:
    """The picture with its months on top and its legend below; empty where nothing has a day."""
    days = days_shown(plan)
    if days is None:
        return []
    first, last = days
    labels = [f"{batch.id} {short_stage(batch.stage)}" for batch in plan.batches]
    labels += [planting.name for planting in plan.plantings]
    label_width = min(LABEL_WIDTH, max(map(cell_len, labels)))
    scale = scale_for(first, last, width - INDENT - GAP - label_width)
    charts = [_paint(scale, of_batch(batch)) for batch in plan.batches]
    charts += [_paint(scale, of_planting(planting)) for planting in plan.plantings]
    rows = [*_calendar(scale), *zip(labels, charts, strict=True)]
    today = plan.season.today
    if first <= today <= last:
        rows.insert(2, (f"today, {dates_of(plan).day(today)}", _paint(scale, [(today, today, "|")])))
    lines = table((LABEL, CHART), rows, width)
    if plan.batches:
        lines += paragraph(BATCH_LEGEND, width)
    if plan.plantings:
        lines += paragraph(PLANTING_LEGEND, width)
    return [*lines, *paragraph(f"{scale.in_words} {ONE_LETTER}", width)]


def _paint(scale: Scale, strokes: Iterable[Stroke]) -> str:
    """Letters over the columns of their days; later strokes cover earlier ones."""
    chart = [" "] * scale.columns
    for first, last, letter in strokes:
        if first <= scale.last and last >= scale.first:
            left, right = scale.column(max(first, scale.first)), scale.column(min(last, scale.last))
            chart[left : right + 1] = letter * (right + 1 - left)
    return "".join(chart).rstrip()


def _calendar(scale: Scale) -> list[tuple[str, str]]:
    """The two rows on top: years, and months over the columns in which they begin."""
    months = [scale.first]
    while (later := (months[-1].replace(day=1) + timedelta(days=32)).replace(day=1)) <= scale.last:
        months.append(later)
    years = [months[0], *[day for day in months[1:] if day.month == 1]]
    return [
        ("", _beside(scale, [(day, str(day.year)) for day in years])),
        ("", _beside(scale, [(day, MONTHS[day.month - 1]) for day in months])),
    ]


def _beside(scale: Scale, labels: list[tuple[date, str]]) -> str:
    """Labels over their columns; one that would touch the next one is left out."""
    header = [" "] * scale.columns
    free = scale.columns + 1
    for day, label in reversed(labels):
        column = scale.column(day)
        if column + len(label) < free:
            header[column : column + len(label)] = label
            free = column
    return "".join(header).rstrip()
