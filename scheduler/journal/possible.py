"""Whether an entry can be true, given the plan and what was recorded before; and whether it is unusual."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date

from scheduler.errors import Fault, UsageError
from scheduler.journal import pieces, weighing
from scheduler.journal.context import Context
from scheduler.journal.follows import felling_of
from scheduler.journal.undoing import undo
from scheduler.journal.units import living, planned
from scheduler.journal.unusual import unusual
from scheduler.measures import counted
from scheduler.plan import Batch
from scheduler.progress import Entry, in_short
from scheduler.season.wrong import Wrong
from scheduler.workdays import full


@dataclass(frozen=True)
class Judgement:
    """What there is to say about an entry that can be true."""

    unusual: tuple[str, ...] = ()
    """What is unusual about it: it is asked about, or said with ``--force``."""


def judge(entry: Entry, context: Context) -> Judgement:
    """Judges an entry against what was recorded before it: `Context.after` of the entries of its own command.

    Raises UsageError where it cannot have happened so.
    """
    try:
        _day(entry, context)
        _JUDGES.get(entry.kind, _nothing)(entry, context)
    except Wrong as wrong:
        where = " ".join(filter(None, ["record", entry.kind, entry.subject]))
        raise UsageError(Fault(where, wrong.found, wrong.allowed, wrong.hint)) from None
    return Judgement(tuple(unusual(entry, context)))


def _day(entry: Entry, context: Context) -> None:
    if entry.on > context.today:
        raise Wrong(
            f"{full(entry.on)} is still to come",
            f"today, {full(context.today)}, or a day before it",
            "--on DATE",
        )
    if context.begins is not None and entry.on < context.begins:
        raise Wrong(
            f"{full(entry.on)} lies before the season's first plan",
            f"{full(context.begins)} or a day after it",
            "what was there before belongs in the season file",
        )


def _nothing(entry: Entry, context: Context) -> None:
    """Care of a planting, and what was bought or found, can always have happened."""


def _cooked(entry: Entry, context: Context) -> None:
    batch = _planned(entry, context)
    if batch.cook_on is None:
        raise Wrong(f"nothing of {batch.id} is cooked", "a batch that is sterilised, steamed or pasteurised")
    started = context.progress.batch(batch.id).inoculated_on
    if started is not None and entry.on > started:
        raise Wrong(
            f"{batch.id} was inoculated before, on {full(started)}",
            f"a day up to {full(started)}",
            "--on DATE",
        )


def _inoculated(entry: Entry, context: Context) -> None:
    happened = context.progress.batch(entry.subject)
    batch = planned(context.plan, entry.subject)
    parents = [entry.parent] if entry.parent else []
    if batch is not None:
        if batch.inoculate_on is None:
            raise Wrong(f"{batch.id} is {batch.state}", "a batch that is made here")
        if batch.cook_on is not None and (happened.cooked_on is None or happened.cooked_on > entry.on):
            raise Wrong(
                f"{batch.id} was not cooked by {full(entry.on)}, as far as the book says",
                "a batch that was cooked before",
                f"first record cooked {batch.id} --on the day it was",
            )
        parents = sorted({(unit.parent or "").partition("/")[0] for unit in batch.units if unit.parent})
    for parent in parents:
        _require_made(parent, entry.on, context, f"{entry.subject} is made from it")
    later = [on for on in (happened.ready_on, *happened.lost.values()) if on is not None and on < entry.on]
    if later:
        raise Wrong(
            f"{entry.subject} was growing on {full(min(later))} already", f"a day up to {full(min(later))}"
        )


def _of_growing(entry: Entry, context: Context) -> None:
    """Something was seen of a batch, or done with it, that only a batch that is there can have."""
    _require_made(entry.subject, entry.on, context, "nothing grows there yet")
    alive = living(context.plan, context.progress, entry.subject)
    if not alive:
        raise Wrong(f"nothing of {entry.subject} lives any more", "a batch of which something lives")
    gone = [unit for unit in entry.units if unit not in alive]
    if gone:
        lost = context.progress.batch(entry.subject).lost
        how = "lost" if all(unit in lost for unit in gone) else "lost or used up"
        are = "is" if len(gone) == 1 else "are"
        raise Wrong(f"{in_short(gone)} {are} {how} already", f"units that live: {in_short(alive)}")


def _require_made(name: str, on: date, context: Context, why: str) -> None:
    """A batch was inoculated, or had come, by a day."""
    batch, happened = planned(context.plan, name), context.progress.batch(name)
    if batch is None and happened.inoculated_on is None:
        return  # all of it is over, and no plan tells any more
    if batch is not None and batch.inoculate_on is None:
        if batch.state == "bought" and happened.received_on is None and batch.ready_on > on:
            raise Wrong(
                f"{name} was not received by {full(on)}, as far as the book says",
                "a batch that is there",
                f"first record received {name} --on the day it was",
            )
        return
    if happened.inoculated_on is None or happened.inoculated_on > on:
        raise Wrong(
            f"{name} was not inoculated by {full(on)}, as far as the book says; {why}",
            "a batch that was inoculated before",
            f"first record inoculated {name} --on the day it was",
        )


def _felled(entry: Entry, context: Context) -> None:
    _pieces(entry, context, "felled")
    planted = context.progress.planting(entry.subject).planted
    if planted and not pieces.left(context, entry.subject, "planted") and entry.on > max(planted):
        raise Wrong(
            f"{entry.subject} was planted on {full(max(planted))}, before that", "a day before it was planted"
        )


def _planted(entry: Entry, context: Context) -> None:
    _pieces(entry, context, "planted")


def _pieces(entry: Entry, context: Context, kind: pieces.Yard) -> None:
    left = pieces.left(context, entry.subject, kind)
    if left is not None and (entry.count or 0) > left:
        raise Wrong(
            f"{counted(entry.count or 0, 'piece')} of {entry.subject}",
            f"at most {left}: so many are left to be {kind}" if left > 0 else f"nothing is left to be {kind}",
        )


def _put_off(entry: Entry, context: Context) -> None:
    if entry.until is None or entry.until <= entry.on:
        raise Wrong(f"until {entry.until}", f"a day after {full(entry.on)}")
    if not pieces.left(context, entry.subject, "planted"):
        raise Wrong(f"{entry.subject} is planted already", "a planting that is still to be made")


def _done(entry: Entry, context: Context) -> None:
    done = context.progress.done
    if entry.subject in done:
        raise Wrong(f"{entry.subject} was done on {full(done[entry.subject])} already", "a task that is open")
    felling = felling_of(entry.subject)
    if felling is not None and felling not in done:
        raise Wrong(
            f"{felling} is not done yet, as far as the book says",
            "bucking and hauling of what is down",
            f"first record done {felling}",
        )


def _received(entry: Entry, context: Context) -> None:
    ordered = context.progress.bought.get(entry.subject) or context.progress.batch(entry.subject).ordered_on
    if ordered is not None and entry.on < ordered:
        raise Wrong(
            f"{entry.subject} was only bought on {full(ordered)}", f"{full(ordered)} or a day after it"
        )


def _planned(entry: Entry, context: Context) -> Batch:
    batch = planned(context.plan, entry.subject)
    if batch is None:
        raise Wrong(f"the plan does not know {entry.subject} any more", "a batch of the plan")
    return batch


_JUDGES: Mapping[str, Callable[[Entry, Context], None]] = {
    "cooked": _cooked,
    "inoculated": _inoculated,
    **dict.fromkeys(("ready", "clean", "watch", "lost", "used", "fridge"), _of_growing),
    "felled": _felled,
    "planted": _planted,
    "weighed": weighing.judge,
    "put-off": _put_off,
    "done": _done,
    "received": _received,
    "undo": undo,
}
