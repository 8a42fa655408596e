"""A replan on the screen: what it means in one sentence, then chances, changes, and what to do next."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from rich.console import Console
from rich.text import Text

from scheduler import measures
from scheduler.plan import Plan, PlantingPlan, Task
from scheduler.present import entries
from scheduler.present.answer import first_things
from scheduler.present.cautions import minded_once
from scheduler.present.changes import changes
from scheduler.present.dates import Dates, dates_of
from scheduler.present.layout import Column, Lines, fold, paragraph, section, table, write
from scheduler.present.refusal import refusal
from scheduler.progress import Entry

CHANCE_COLUMNS = (
    Column("planting", soft=True),
    Column("chance was"),
    Column("is now"),
    Column("plant on"),
    Column("was on"),
)
MEANS: Mapping[str | None, str] = {
    None: "The season is still on: nothing has to be made again.",
    "spares": "The season is still on: spares cover it.",
    "spare grain": "The season is still on: it is made again from spare grain.",
    "kept-back grain": "The season is still on: it is made again from the grain that was kept back.",
    "one more generation": "The season is still on: living grain is grown on once more to make it again.",
    "culture": "The season is still on: it is made again from the culture.",
    "found culture": "The season is still on: it is made again from the culture that was found.",
    "bought culture": "The season is still on, with a culture that has to be bought: order it at once.",
}
"""What came of a replan, by the way in which lost things are made again."""
ADOPTED = "The season is still on, with the remedy that was adopted:"
NO_LONGER = "The season no longer fits as it was planned."
UNFROZEN = (
    "Work promised for the next seven days had to move, because nothing else fits; it stands among the moved."
)
NOTHING_RECORDED = "Nothing was recorded, and the plan that is kept stands as it was."


def meaning(way: str | None, news: Sequence[Entry] = ()) -> str:
    """What a replan means: what was adopted, how lost things are made again, or that spares do."""
    adopted = [entry.seen for entry in news if entry.kind == "remedy"]
    if adopted:
        return f"{ADOPTED} {' '.join(adopted)}"
    if way is None and any(entry.kind == "lost" for entry in news):
        way = "spares"
    return MEANS[way]


def summed_up(news: Sequence[Entry], before: Plan) -> str:
    """What has happened since the plan before, in few words: ``NAM-G1a: 6 of 8 units lost.``"""
    sizes = {batch.id: len(batch.units) for batch in before.batches}
    lost: dict[str, dict[str, None]] = {}
    others = []
    for entry in news:
        if entry.kind == "lost":
            lost.setdefault(entry.subject, {}).update(dict.fromkeys(entry.units))
        else:
            others.append(entry)
    told = [f"{batch}: {_of(len(units), sizes.get(batch))} lost" for batch, units in lost.items()]
    if len(others) == 1:
        titles = {task.id: task.title for task in before.tasks}
        told.append(entries.said(others[0], titles, before.season.units))
    elif others:
        told.append(f"{len(others)} {'more ' * bool(lost)}entries")
    return f"{'; '.join(told)}." if told else "Nothing was recorded since the last plan."


def _of(count: int, size: int | None) -> str:
    if not count:
        return "all units"
    if size is None or size < count:
        return measures.counted(count, "unit")
    return f"{count} of {measures.counted(size, 'unit')}"


def show_replanned(
    plan: Plan,
    before: Plan | None,
    said: str,
    means: str,
    console: Console,
    *,
    what_if: str = "",
    unfrozen: bool = False,
    unrecorded: Sequence[Task] = (),
    path: str = "SEASON",
) -> None:
    """Print what a replan came to.

    `said` is what has happened, `means` how it is made good (`summed_up` and `meaning` make them); for a
    refusal, which is printed with its remedies, `means` may be empty. `what_if` are the words that were only
    asked about, `unrecorded` tasks of past days that nobody recorded as done, `path` the season on the
    command line.
    """
    width, words = console.width, dates_of(plan)
    fits = plan.status != "none"
    headline = " ".join(filter(None, (said, means or ("" if fits else NO_LONGER))))
    lines: Lines = [Text(line, style="bold") for line in fold(headline, width)]
    if fits:
        lines += section("Plantings", chances(plan, before, words, width), width)
        lines += section("What has changed", changes(plan, width, before), width)
        lines += paragraph(UNFROZEN, width) if unfrozen else []
        lines += section("Not recorded as done by its day", _late(unrecorded, words, width), width)
    else:
        lines += refusal(plan, width, _take(what_if, path))
    lines += section("What to do next", _next(plan, what_if, path, width), width) if fits else []
    lines += paragraph(NOTHING_RECORDED, width) if what_if and not fits else []
    write(lines, console)


def show_changes(plan: Plan, before: Plan | None, console: Console) -> None:
    """Print what the newest plan changed of the one before it."""
    width = console.width
    lines = section("Plantings", chances(plan, before, dates_of(plan), width), width)
    lines += section("What has changed", changes(plan, width, before), width)
    write(lines if plan.changes else paragraph("This plan changed nothing of another.", width), console)


def chances(plan: Plan, before: Plan | None, words: Dates, width: int) -> Lines:
    """The chance and the days of each planting, before and after."""
    return table(CHANCE_COLUMNS, chance_rows(plan, before, words), width)


def chance_rows(plan: Plan, before: Plan | None, words: Dates) -> list[tuple[str, ...]]:
    """A row for each planting of either plan, and one for all of them."""
    old = {planting.name: planting for planting in (before.plantings if before else ())}
    rows = [_chance_row(planting, old.pop(planting.name, None), words) for planting in plan.plantings]
    rows += [
        (p.name, measures.chance(p.chance), "dropped", "", words.stacked(p.plant_on)) for p in old.values()
    ]
    if len(rows) > 1 and plan.outlook is not None:
        was = measures.chance(before.outlook.all) if before and before.outlook else ""
        rows.append(("all of them", was, measures.chance(plan.outlook.all), "", ""))
    return rows


def _chance_row(planting: PlantingPlan, old: PlantingPlan | None, words: Dates) -> tuple[str, ...]:
    moved = old is not None and old.plant_on != planting.plant_on
    return (
        planting.name,
        measures.chance(old.chance) if old else "",
        measures.chance(planting.chance),
        words.stacked(planting.plant_on),
        words.stacked(old.plant_on) if old and moved else "",
    )


def _late(tasks: Iterable[Task], words: Dates, width: int) -> Lines:
    tasks = list(tasks)
    rows = [(words.day(task.on), title) for task, title in zip(tasks, minded_once(tasks), strict=True)]
    return table((Column(), Column(soft=True)), rows, width)


def _take(what_if: str, path: str) -> str:
    if what_if:
        return f"If it is so, record it, then adopt one of these by its number: {_command(path)} --take 1"
    return f"Choose one and adopt it by its number: {_command(path)} --take 1"


def _next(plan: Plan, what_if: str, path: str, width: int) -> Lines:
    if what_if:
        record = f"If it is so: budswell record {path} {what_if}, then {_command(path)}"
        return [*paragraph(NOTHING_RECORDED, width), *paragraph(record, width)]
    kept = "" if plan.plan_no is None else f"Kept as plan {plan.plan_no}. "
    pages = f"{kept}The work of a day: budswell today {path}. Write the calendar file again to move it there."
    return [*(Text(f"  {line}") for line in first_things(plan, width - 2)), *paragraph(pages, width)]


def _command(path: str) -> str:
    return f"budswell replan {path}"
