"""The season under way on one page: the state of every planting and batch, and the work that comes next."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from itertools import groupby

from rich.console import Console
from rich.text import Text

from scheduler import measures
from scheduler.plan import Batch, Leftover, Plan, PlantingPlan, Task
from scheduler.present.dates import Dates
from scheduler.present.layout import INDENT, Column, Lines, fold, paragraph, section, table, write
from scheduler.present.leftover import left as left_over
from scheduler.present.pages import page_of
from scheduler.present.states import living, recorded_of, spent, state_of, units_of
from scheduler.present.today import first_thing
from scheduler.present.todo import next_tasks, task_table
from scheduler.present.words import short_stage
from scheduler.progress import BatchProgress, Progress
from scheduler.workdays import full

PLANTING_COLUMNS = (
    Column("planting", soft=True),
    Column("state", soft=True),
    Column("plant on"),
    Column("chance"),
)
BATCH_COLUMNS = (
    Column("batch"),
    Column("stage"),
    Column("state"),
    Column("living"),
    Column("ready"),
    Column("next", soft=True),
)
_SIZE = re.compile(r"(\d+(?:\.\d+)?) (.+)")


def show_overview(
    plan: Plan,
    progress: Progress,
    day: date,
    console: Console,
    pieces: Mapping[str, int] | None = None,
    over: Sequence[Leftover] = (),
) -> None:
    """Print where a season stands on a day.

    `pieces` are the pieces of each planting as it was wished at first, since a plan made onward holds only
    what is left; where they are not given, those of the plan count. `over` is the spawn that is left of
    plantings that are done.
    """
    width, words = console.width, Dates(day)
    left = tuple(task for task in plan.tasks if task.id not in progress.done)
    now = replace(plan, season=replace(plan.season, today=day), tasks=left)
    due = sorted(
        (task for task in left if task.on <= day and (task.until is None or day <= task.until)),
        key=lambda task: (task.ongoing, task.on),
    )
    page = page_of(plan, progress, day, due)
    late = [task for task in due if task.is_overdue(day)]
    number = "" if plan.plan_no is None else f", plan {plan.plan_no}"
    ahead = [task for task in left if task.on >= day]
    lines: Lines = [
        *(Text(line, style="bold") for line in fold(first_thing(page), width)),
        *fold(f"{plan.season.name}{number} of {full(plan.season.today)}, as of {full(day)}", width),
        *section("Overdue", task_table(late, words, width), width),
        *section("Plantings", _plantings(plan, progress, words, pieces or {}, width), width),
        *section("Batches", _batches(plan, progress, words, left, width), width),
        *section("Left over", left_over(over, words, plan.season.units, width), width),
        *section("Next work", task_table(next_tasks(now) if ahead else (), words, width), width),
    ]
    write(lines, console)


def _plantings(plan: Plan, progress: Progress, words: Dates, pieces: Mapping[str, int], width: int) -> Lines:
    return table(PLANTING_COLUMNS, planting_rows(plan, progress, words, pieces), width)


def planting_rows(
    plan: Plan, progress: Progress, words: Dates, pieces: Mapping[str, int]
) -> list[tuple[str, ...]]:
    """The state of every planting, its days and its chance."""
    return [
        (
            f"{one.name}\n{one.size}, {one.species}",
            "\n".join(_planting_state(one, plan, progress, words, pieces.get(one.name))),
            words.stacked(one.plant_on),
            measures.chance(one.chance),
        )
        for one in plan.plantings
    ]


def _planting_state(
    planting: PlantingPlan, plan: Plan, progress: Progress, words: Dates, whole: int | None
) -> Iterator[str]:
    """What was done of a planting, one line for each thing: ``30 of 60 logs felled``."""
    happened = progress.planting(planting.name)
    for done, verb in ((happened.felled, "felled"), (happened.planted, "planted")):
        if done:
            yield f"{_share(sum(done.values()), whole, planting)} {verb}, last on {words.day(max(done))}"
    if happened.soaked_on:
        yield f"soaked on {words.day(happened.soaked_on)}"
    if happened.put_off_until:
        yield f"put off until {words.day(happened.put_off_until)}"
    if happened.picked_g:
        yield f"{measures.mass(sum(happened.picked_g.values()), plan.season.units)} picked"
    if happened == type(happened)():
        yield "not begun"


def _share(done: int, whole: int | None, planting: PlantingPlan) -> str:
    """So many of all pieces; of a bed, whose pieces are square metres begun, the share in percent."""
    amount, piece = _amount(planting)
    whole = max(done, whole or math.ceil(amount))
    if piece in ("m2", "sq ft"):
        return "all of it" if done == whole else f"{100 * done / whole:.0f} %"
    return f"{done} of {whole} {piece}"


def _amount(planting: PlantingPlan) -> tuple[float, str]:
    """Amount and piece of a size in words; areas in square metres."""
    found = _SIZE.fullmatch(planting.size)
    if found is None:
        return 1, "pieces"
    amount = float(found[1])
    return (amount / measures.SQUARE_FEET_PER_M2 if found[2] == "sq ft" else amount), found[2]


def _batches(plan: Plan, progress: Progress, words: Dates, left: tuple[Task, ...], width: int) -> Lines:
    """Every batch under its strain line; those that the plan no longer holds are told last."""
    lines = table(BATCH_COLUMNS, batch_rows(plan, progress, words, left), width, indent=2 * INDENT)
    over = no_longer(plan, progress, words)
    return [*lines, *paragraph(f"no longer in the plan: {over}", width)] if over else lines


def batch_rows(
    plan: Plan, progress: Progress, words: Dates, left: Sequence[Task]
) -> list[str | tuple[str, ...]]:
    """A row for each batch, below one that names its strain; `left` is the work that is open."""
    used_up = spent(plan, progress)
    following: dict[str, Task] = {}
    for task in sorted(left, key=lambda task: task.on):
        for batch in _about(task):
            following.setdefault(batch, task)
    rows: list[str | tuple[str, ...]] = []
    for kind, same in groupby(plan.batches, lambda batch: f"{batch.species} ({batch.strain})"):
        rows.append(kind)
        rows += [
            _batch_row(b, recorded_of(b, plan, progress), following.get(b.id), words, used_up) for b in same
        ]
    return rows


def no_longer(plan: Plan, progress: Progress, words: Dates) -> str:
    """Batches of which something is recorded, and that the plan does not hold any more."""
    known = {batch.id for batch in plan.batches}
    over = [(name, one) for name, one in progress.batches.items() if name not in known]
    return "; ".join(f"{name}{_end(one, words)}" for name, one in over)


def _about(task: Task) -> tuple[str, ...]:
    """Batches that a task is about; a load that is shared names them in its id."""
    if task.batch:
        return (task.batch,)
    return tuple(task.id.partition(":")[2].partition(":")[0].split("+")) if task.kind == "cook" else ()


def _batch_row(
    batch: Batch,
    happened: BatchProgress,
    task: Task | None,
    words: Dates,
    used_up: frozenset[str],
) -> tuple[str, ...]:
    units = units_of(batch, happened)
    state = state_of(batch, happened, words.today, used_up)
    ready = words.day(happened.ready_on or happened.received_on or batch.ready_on)
    return (
        batch.id,
        f"{short_stage(batch.stage)}" + ("" if batch.generation is None else f" G{batch.generation}"),
        state,
        f"{len(living(batch, happened, used_up))} of {len(units)}",
        f"since {ready}" if state in ("ready", "used") else ready,
        "" if task is None else f"{task.kind.replace('-', ' ')} {words.day(task.on)}",
    )


def _end(happened: BatchProgress, words: Dates) -> str:
    if not happened.lost:
        return ""
    count = measures.counted(len(happened.lost), "unit")
    return f" ({count} lost, last on {words.day(max(happened.lost.values()))})"
