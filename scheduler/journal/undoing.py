"""Whether an entry may be taken back: it stands, and nothing that stands after it leans on it."""

from __future__ import annotations

from collections.abc import Iterator

from scheduler.journal.context import Context
from scheduler.journal.units import batch_of, planned
from scheduler.progress import Entry, Recorded
from scheduler.season.wrong import Wrong

_OF_GROWING = ("ready", "clean", "watch", "lost", "used", "fridge")


def undo(entry: Entry, context: Context) -> None:
    """Raises `Wrong` where an `undo` cannot be."""
    taken = next((one for one in context.recorded if one.entry_no == entry.corrects), None)
    if taken is None:
        raise Wrong(f"there is no entry {entry.corrects}", "the number of an entry of the book")
    if taken not in context.standing:
        raise Wrong(f"entry {entry.corrects} was taken back already", "an entry that still stands")
    leaning = [one.entry_no for one in _leaning(taken, context)]
    if leaning:
        numbers = ", ".join(map(str, leaning))
        raise Wrong(
            f"entry {taken.entry_no} cannot go alone: {_named(leaning)} {numbers} would stand without it",
            "an entry on which no other one leans",
            f"first undo {leaning[-1]}; a wrong day or number is corrected by recording it again",
        )


def _named(leaning: list[int]) -> str:
    return "entry" if len(leaning) == 1 else "entries"


def _leaning(taken: Recorded, context: Context) -> Iterator[Recorded]:
    """Later entries that are impossible without one, unless another of its kind says the same."""
    kind, name = taken.entry.kind, taken.entry.subject
    for one in context.standing:
        same = (one.entry.kind, one.entry.subject) == (kind, name)
        if same and one != taken:
            return
    for one in context.standing:
        if one.entry_no < taken.entry_no:
            continue
        if kind == "cooked" and (one.entry.kind, one.entry.subject) == ("inoculated", name):
            yield one
        if kind == "inoculated" and (
            (one.entry.kind in _OF_GROWING and one.entry.subject == name)
            or (one.entry.kind == "inoculated" and _is_from(one.entry, name, context))
        ):
            yield one


def _is_from(entry: Entry, parent: str, context: Context) -> bool:
    batch = planned(context.plan, entry.subject)
    parents = {batch_of(unit.parent) for unit in batch.units if unit.parent} if batch else set()
    return parent in parents or parent == entry.parent
