"""Reads what a grower types with one hand, ``lost NAM-G1a 6``, into the entries that it means."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date

from scheduler.errors import Fault, UsageError
from scheduler.journal import amounts, find, ticks
from scheduler.journal.batch_words import batch_entries
from scheduler.journal.context import Context
from scheduler.journal.due import due
from scheduler.journal.kinds import KIND_OF_WORD, KINDS, KindOfEntry
from scheduler.journal.planting_words import planting_entries
from scheduler.journal.units import numbers
from scheduler.plan import Order, Task
from scheduler.progress import Entry
from scheduler.season.wrong import Wrong, meant, shown
from scheduler.workdays import full


def read_words(words: Sequence[str], on: date | None, context: Context) -> tuple[Entry, ...]:
    """The entries that the words of a command mean, for the day on which it happened.

    That is today where none is named; but ``done all`` then means that every task was done on its own day.
    Raises UsageError where they cannot be understood; whether it can have happened is judged apart.
    """
    tokens = " ".join(words).split()
    try:
        kind, rest = _kind(tokens)
        if on is None and kind.kind == "done" and rest[:1] and rest[0].casefold() == "all":
            return _all_tasks(rest, None, context)
        return _READERS[kind.subject](kind, rest, on or context.today, context)
    except Wrong as wrong:
        where = " ".join(["record", *tokens])
        fault = Fault(
            where if len(where) <= 80 else f"{where[:80]}...", wrong.found, wrong.allowed, wrong.hint
        )
        raise UsageError(fault) from None


def _kind(tokens: list[str]) -> tuple[KindOfEntry, list[str]]:
    allowed = f"one of: {', '.join(kind.words[0] for kind in KINDS)}"
    if not tokens:
        raise Wrong("nothing was said", allowed, f"for example: {KIND_OF_WORD['lost'].example}")
    word = tokens[0].casefold()
    if [word, *(token.casefold() for token in tokens[1:2])] == ["put", "off"]:
        return KIND_OF_WORD["put-off"], tokens[2:]
    if word not in KIND_OF_WORD:
        raise Wrong(f"{shown(tokens[0])} is no kind of entry", allowed, meant(word, KIND_OF_WORD))
    return KIND_OF_WORD[word], tokens[1:]


def _tasks(kind: KindOfEntry, tokens: list[str], on: date, context: Context) -> tuple[Entry, ...]:
    open_tasks = due(context.plan, context.progress, context.today)
    if not tokens:
        return ticks.entries((_the_one(open_tasks, on),), on, context)
    if tokens[0].casefold() == "all":
        return _all_tasks(tokens, on, context)
    chosen: list[Task] = []
    while tokens and (wanted := numbers(tokens[0])) is not None:
        for number in wanted:
            if not 1 <= number <= len(open_tasks):
                raise Wrong(f"there is no task {number}", _listed(open_tasks))
            chosen.append(open_tasks[number - 1])
        tokens = tokens[1:]
    if not chosen:
        task, tokens = find.task(tokens, context)
        chosen.append(task)
    return ticks.entries(tuple(dict.fromkeys(chosen)), on, context, " ".join(tokens))


def _all_tasks(tokens: list[str], on: date | None, context: Context) -> tuple[Entry, ...]:
    """Everything that is due is done and ordered: on one day, or each on its own."""
    open_tasks = due(context.plan, context.progress, context.today)
    if not open_tasks:
        raise Wrong("no task is due", _listed(open_tasks), "name a later task by its id")
    orders = [
        Entry("bought", on or max(order.order_by, context.plan.season.today), name)
        for name, order in _due_orders(context.today, context).items()
    ]
    return (*orders, *ticks.entries(open_tasks, on, context, " ".join(tokens[1:])))


def _the_one(open_tasks: tuple[Task, ...], on: date) -> Task:
    """The only task of a day, or the only one that is overdue."""
    of_day = [task for task in open_tasks if task.on == on] or list(open_tasks)
    if len(of_day) == 1:
        return of_day[0]
    said = f"{len(of_day)} tasks are open" if of_day else "no task is due"
    hint = "done 2, or done all" if of_day else "name a later task by its id"
    raise Wrong(said, _listed(open_tasks), hint)


def _listed(tasks: Sequence[Task]) -> str:
    """The open tasks with the numbers by which they may be named."""
    lines = [f"{number} {task.title} ({full(task.on)})" for number, task in enumerate(tasks, start=1)]
    return "; ".join(lines) or "a task of the plan by its id"


def _orders(kind: KindOfEntry, tokens: list[str], on: date, context: Context) -> tuple[Entry, ...]:
    if [token.casefold() for token in tokens] != ["all"]:
        return tuple(Entry(kind.kind, on, subject) for subject in find.bought(tokens, context))
    things = find.buyables(context)
    if kind.kind == "bought":
        subjects = list(_due_orders(on, context))
    else:
        placed = dict.fromkeys(one.subject for one in things if _on(one.subject, context, "bought"))
        subjects = [name for name in placed if not _on(name, context, "received")]
    if not subjects:
        soon = min((one.order.order_by for one in things if one.order), default=None)
        next_day = f", the next order is due by {full(soon)}" if soon and soon > on else ""
        what = "to be bought" if kind.kind == "bought" else "bought and still to come"
        raise Wrong(f"nothing is {what} on {full(on)}{next_day}", "the name of what it was")
    return tuple(Entry(kind.kind, on, subject) for subject in subjects)


def _due_orders(on: date, context: Context) -> dict[str, Order]:
    """Orders that are due by a day and not placed yet, by what entries call them."""
    things = find.buyables(context)
    due_by = {one.subject: one.order for one in things if one.order and one.order.order_by <= on}
    return {name: order for name, order in due_by.items() if not _is_placed(name, order, context)}


def _is_placed(subject: str, order: Order, context: Context) -> bool:
    placed = _on(subject, context, "bought") or _on(subject, context, "received")
    return placed is not None and placed >= order.order_by


def _on(subject: str, context: Context, what: str) -> date | None:
    """Day on which something was bought, or received; None where it was not."""
    progress = context.progress
    batch = progress.batch(subject)
    if what == "bought":
        return progress.bought.get(subject) or batch.ordered_on
    return progress.received.get(subject) or batch.received_on


def _species(kind: KindOfEntry, tokens: list[str], on: date, context: Context) -> tuple[Entry, ...]:
    name, rest = find.species(tokens, context)
    strain, stage, rest = amounts.stage(rest)
    amount, count, rest = amounts.in_hand(stage, rest)
    seen = " ".join(rest)
    return (Entry("found", on, name, count=count, amount=amount, seen=seen, stage=stage, strain=strain),)


def _entry(kind: KindOfEntry, tokens: list[str], on: date, context: Context) -> tuple[Entry, ...]:
    if tokens:
        wanted = numbers(tokens[0])
        if wanted is None or len(wanted) != 1:
            raise Wrong(shown(tokens[0]), "the number of an entry", "budswell book show SEASON lists them")
        return (Entry("undo", on, "", seen=" ".join(tokens[1:]), corrects=wanted[0]),)
    last = [one.entry_no for one in context.standing if one.entry.kind != "undo"]
    if not last:
        raise Wrong("there is nothing to undo", "a season of which something was recorded")
    return (Entry("undo", on, "", corrects=last[-1]),)


_READERS: Mapping[str, Callable[[KindOfEntry, list[str], date, Context], tuple[Entry, ...]]] = {
    "batch": batch_entries,
    "planting": planting_entries,
    "task": _tasks,
    "order": _orders,
    "species": _species,
    "entry": _entry,
}
