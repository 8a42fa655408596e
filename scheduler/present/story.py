"""The whole story of one batch: its state, its days, where each unit came from and went, and its entries."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from rich.console import Console
from rich.text import Text

from scheduler.measures import counted
from scheduler.plan import Batch, Plan, Task
from scheduler.present.cautions import minded_once
from scheduler.present.dates import Dates, dates_of
from scheduler.present.entries import entry_table
from scheduler.present.layout import Column, Lines, fold, paragraph, section, table, write
from scheduler.present.states import children_of, living, recorded_of, spent, state_of, units_of
from scheduler.present.words import stage
from scheduler.progress import LOOK_AGAIN, BatchProgress, Progress, Recorded, in_short, taken_back

DAY_COLUMNS = (Column(soft=True), Column("planned"), Column("really"))
UNIT_COLUMNS = (
    Column("unit", soft=True),
    Column("made from", soft=True),
    Column("now", soft=True),
    Column("made from it", soft=True),
)
_NAMES = re.compile(r"[:+]")
"""Between the parts of a task's id."""


@dataclass(frozen=True)
class Told:
    """What a story is told from."""

    batch: Batch
    plan: Plan
    happened: BatchProgress
    day: date
    seen: BatchProgress
    """The same, with what follows from what was made of it."""
    spent: frozenset[str]
    children: dict[str, list[str]]

    @property
    def words(self) -> Dates:
        """The writer of days."""
        return Dates(self.day)


def show_story(
    batch: Batch,
    plan: Plan,
    recorded: Iterable[Recorded],
    progress: Progress,
    console: Console,
    day: date | None = None,
) -> None:
    """Print a batch's whole story as of a day, the plan's own where none is given.

    The batch may be one of an older plan; `recorded` may be the whole book.
    """
    recorded = list(recorded)
    told = told_of(batch, plan, progress, day or plan.season.today)
    width = console.width
    titles = {task.id: task.title for task in plan.tasks}
    about = entries_about(batch.id, recorded)
    entries = entry_table(about, taken_back(recorded), width, titles, plan.season.units)
    family_lines = [line for text in family(told) for line in paragraph(text, width)]
    lines: Lines = [Text(line, style="bold") for line in fold(headline(told), width)]
    for title, body in (
        ("", table((Column(), Column(soft=True)), facts(told), width)),
        ("Days", table(DAY_COLUMNS, days(told), width)),
        ("Units", table(UNIT_COLUMNS, units(told), width)),
        ("Family", family_lines),
        ("Work left", _work(told, progress, width)),
        ("Entries", entries or paragraph("Nothing is recorded of it yet.", width)),
    ):
        lines += section(title, body, width) if title else body
    write(lines, console)


def told_of(batch: Batch, plan: Plan, progress: Progress, day: date) -> Told:
    """What the story of a batch is told from on a day."""
    happened, seen = progress.batch(batch.id), recorded_of(batch, plan, progress)
    return Told(batch, plan, happened, day, seen, spent(plan, progress), children_of(plan))


def entries_about(batch: str, recorded: Sequence[Recorded]) -> list[Recorded]:
    """Entries of a batch, of work on it and of what was made from it, and those that take one back."""
    found: set[int] = set()
    for one in sorted(recorded, key=lambda one: one.entry_no):
        entry = one.entry
        # A load of several batches, and one that lost units go along in, names each of them.
        named = {name.partition("/")[0] for name in _NAMES.split(entry.subject)}
        if batch in named or entry.parent == batch or entry.corrects in found:
            found.add(one.entry_no)
    return [one for one in recorded if one.entry_no in found]


def headline(told: Told) -> str:
    """The batch and its state."""
    happened = told.seen
    state = state_of(told.batch, happened, told.day, told.spent)
    since = {
        "heat-treated": told.happened.cooked_on,
        "growing": told.happened.inoculated_on,
        "watch": min(told.happened.watch.values(), default=None),
        "ready": happened.ready_on or happened.received_on,
        "lost": max(told.happened.lost.values(), default=None),
    }.get(state)
    return f"{told.batch.id}: {state}{f' since {told.words.day(since)}' if since else ''}"


def facts(told: Told) -> list[tuple[str, str]]:
    """What it is, how many units live, what is kept back, and how late it can be made again."""
    batch, words = told.batch, told.words
    generation = "" if batch.generation is None else f" G{batch.generation}"
    all_units = units_of(batch, told.happened)
    left = living(batch, told.happened, told.spent)
    kept = [unit.id for unit in batch.units[len(batch.units) - batch.keep_back :] if unit.id in left]
    doubt = [unit for unit in left if unit in told.happened.watch]
    since = min(told.happened.watch.values(), default=None)
    told_facts = (
        ("is", f"{stage(batch.stage)}{generation}, {batch.container}; {batch.species} ({batch.strain})"),
        ("for", "; ".join(batch.plantings)),
        ("units", f"{len(left)} of {counted(len(all_units), 'unit')} living"),
        ("in doubt", f"{in_short(doubt)}; look again on {words.day(since + LOOK_AGAIN)}" if since else ""),
        ("kept back", in_short(kept)),
        ("redo by", words.maybe(batch.redo_by, "no redo, should it be lost")),
        (
            "keeps",
            f"fresh for {batch.fresh_days} days, usable for {batch.keeps_days}, in the {batch.waits_in}",
        ),
        ("transfers", "" if batch.transfers is None else f"{batch.transfers} since the master"),
    )
    return [fact for fact in told_facts if fact[1]]


def days(told: Told) -> list[tuple[str, str, str]]:
    """Each step with its planned day and the day on which it was really done."""
    batch, happened, words = told.batch, told.happened, told.words
    made = batch.state == "planned"
    steps = (
        ("ordered", None, happened.ordered_on),
        ("received", None if made else batch.ready_on, happened.received_on),
        ("heat-treated", batch.cook_on, happened.cooked_on),
        ("inoculated", batch.inoculate_on, happened.inoculated_on),
        *(("looked at", day, None) for day in batch.check_on),
        ("last found clean", None, happened.clean_on),
        ("ready", batch.ready_on if made else None, happened.ready_on),
        ("in the fridge", None, happened.fridge_on),
        *(("used", day, None) for day in batch.use_on),
    )
    rows = [(what, words.maybe(planned, ""), words.maybe(real, "")) for what, planned, real in steps]
    return [row for row in rows if any(row[1:])]


def units(told: Told) -> list[tuple[str, ...]]:
    """Each unit with its parent, what became of it and what is made from it; alike ones share a row."""
    parents = {unit.id: unit.parent for unit in told.batch.units}
    alike: dict[tuple[str, str, str], list[str]] = {}
    for unit in units_of(told.batch, told.happened):
        parent = parents.get(unit) or told.happened.parent or ""
        children = in_short(told.children.get(unit, ()))
        alike.setdefault((parent, _now(told, unit), children), []).append(unit)
    return [(in_short(same), *rest) for rest, same in alike.items()]


def _now(told: Told, unit: str) -> str:
    happened, words = told.happened, told.words
    if unit in happened.lost:
        return f"lost {words.day(happened.lost[unit])}"
    if unit in happened.used or unit in told.spent:
        return "used"
    if unit in happened.watch:
        return f"in doubt since {words.day(happened.watch[unit])}"
    kept = told.batch.units[len(told.batch.units) - told.batch.keep_back :]
    return "kept back" if unit in {one.id for one in kept} else ""


def family(told: Told) -> list[str]:
    """The tree of units, one generation a line: where this batch descends from, and what descends from it."""
    parents = {unit.id: unit.parent for batch in told.plan.batches for unit in batch.units}
    parents.update((unit.id, unit.parent) for unit in told.batch.units)
    place = {unit: number for number, unit in enumerate(parents)}
    own = list(units_of(told.batch, told.happened))
    lines: list[str] = []
    here = own
    while above := _in_order((parents.get(unit) for unit in here), place):
        lines.insert(0, f"{in_short(above)} -> {in_short(here)}")
        here = above
    here = own
    while below := _in_order((child for unit in here for child in told.children.get(unit, ())), place):
        lines.append(f"{in_short(unit for unit in here if unit in told.children)} -> {in_short(below)}")
        here = below
    if not told.children.keys() & set(own) and told.batch.plantings:
        lines.append(f"{in_short(own)} -> {'; '.join(told.batch.plantings)}")
    return lines


def _in_order(units: Iterable[str | None], place: Mapping[str, int]) -> list[str]:
    """Some units, each once, in the plan's order; those that it no longer holds go first."""
    return sorted({unit for unit in units if unit}, key=lambda unit: (place.get(unit, -1), unit))


def work_left(told: Told, progress: Progress) -> list[Task]:
    """Tasks of this batch that are not done."""
    return [task for task in told.plan.tasks if task.batch == told.batch.id and task.id not in progress.done]


def _work(told: Told, progress: Progress, width: int) -> Lines:
    """The same with what to mind."""
    words, left = dates_of(told.plan), work_left(told, progress)
    rows = [(words.day(task.on), title) for task, title in zip(left, minded_once(left), strict=True)]
    return table((Column(), Column(soft=True)), rows, width)
