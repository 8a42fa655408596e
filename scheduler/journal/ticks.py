"""What a task that is done says has happened: a batch cooked or inoculated, logs felled, or just that."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date

from scheduler.journal import pieces
from scheduler.journal.context import Context
from scheduler.journal.follows import CARED, INOCULATIONS, held
from scheduler.plan import Task
from scheduler.progress import Entry, Kind

_OF_BATCH: Mapping[str, Kind] = {
    **dict.fromkeys(INOCULATIONS, "inoculated"),
    "pasteurise": "cooked",
    "check": "clean",
    "move-to-fridge": "fridge",
}
_OF_YARD: Mapping[str, pieces.Yard] = {"fell": "felled", "haul": "felled", "plant": "planted"}


def entries(tasks: tuple[Task, ...], on: date | None, context: Context, seen: str = "") -> tuple[Entry, ...]:
    """The entries that say that tasks are done, in the order of the tasks: on one day, or each on its own."""
    found: list[Entry] = []
    for task in tasks:
        new = [entry for entry in _of(task, on or task.on, context, seen) if entry not in found]
        found += new
        context = context.after(*new)
    return tuple(found)


def _of(task: Task, on: date, context: Context, seen: str) -> Iterator[Entry]:
    done = Entry("done", on, task.id, seen=seen)
    if task.kind == "cook":
        yield from _cooked(task, on, context, done)
    elif task.batch is not None and task.kind in _OF_BATCH:
        yield Entry(_OF_BATCH[task.kind], on, task.batch, seen=seen)
    elif task.planting is not None and task.kind in CARED:
        yield Entry(CARED[task.kind], on, task.planting, seen=seen)
    elif task.planting is not None and task in pieces.parts(
        context.plan, task.planting, _OF_YARD.get(task.kind, "planted")
    ):
        yield _part(task, on, context, seen)
    else:
        yield done


def _cooked(task: Task, on: date, context: Context, done: Entry) -> Iterator[Entry]:
    """A batch is cooked when its last load is; until then, and for lost units, the load itself is done."""
    others = {
        name
        for other in context.plan.tasks
        if other.kind == "cook" and other.id != task.id and other.id not in context.progress.done
        for name in held(other)
    }
    whole = [name for name in held(task) if name not in others]
    for name in whole:
        if context.progress.batch(name).cooked_on is None:
            yield Entry("cooked", on, name, seen=done.seen)
    if not whole or len(whole) < len(held(task)):
        yield done


def _part(task: Task, on: date, context: Context, seen: str) -> Entry:
    """All pieces of a part, less those of the next open part that were recorded without it."""
    kind, name = _OF_YARD[task.kind], task.planting or ""
    still = [part for part in pieces.parts(context.plan, name, kind) if part.id not in context.progress.done]
    before = pieces.beside_parts(context, name, kind) if still[:1] == [task] else 0
    count = pieces.of_part(context.plan, task) - before
    return Entry(kind, on, name, units=pieces.ends(task), count=count, seen=seen)
