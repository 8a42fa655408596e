"""What an entry means for the rest of the season, in sentences that are said once it is recorded.

Cautions follow published safety guidance; the maker's manual of a vessel comes first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date

from scheduler import measures
from scheduler.journal import pieces, weighing
from scheduler.journal.context import Context
from scheduler.journal.doubt import made_from
from scheduler.journal.units import BATCH_ID, batch_of, kept_back, living, planned
from scheduler.measures import counted
from scheduler.progress import LOOK_AGAIN, Entry, in_short
from scheduler.workdays import full

KILL = (
    "Leave them closed: heat-kill the units unopened before they are emptied, for as long as a load of their "
    "kind takes and by the manual of the cooker's maker."
)


def consequences(entry: Entry, context: Context) -> tuple[str, ...]:
    """What an entry means; `context` is the one it was judged in, without the entry itself."""
    says = _SAYS.get(entry.kind)
    return tuple(says(entry, context, context.after(entry))) if says else ()


def _lost(entry: Entry, before: Context, after: Context) -> Iterator[str]:
    name = entry.subject
    alive = living(after.plan, after.progress, name)
    kept = [unit for unit in kept_back(after.plan, name) if unit in alive]
    yield f"{in_short(entry.units)} lost; {_left(name, len(alive), after)}."
    if kept:
        yield f"{in_short(kept)} {_is(kept)} kept back for a redo."
    elif kept_back(before.plan, name):
        yield f"Nothing of {name} is kept back for a redo any more."
    yield KILL
    made = [unit for lost in entry.units for unit in _children(lost, entry.on, after)]
    watched = [unit for unit in made if unit in after.progress.batch(batch_of(unit)).watch]
    if watched:
        states = f"{_was(watched)} made from what is lost and {_is(watched)} on watch now"
        yield f"{in_short(watched)} {states}. {_apart(entry.on)}"
    waiting = _still_to_make(entry.units, after)
    if waiting:
        yield f"{', '.join(waiting)} {_was(waiting)} to be made from what is lost: replan."


def _watch(entry: Entry, before: Context, after: Context) -> Iterator[str]:
    yield f"{in_short(entry.units)} {_is(entry.units)} on watch. {_apart(entry.on)}"


def _clean(entry: Entry, before: Context, after: Context) -> Iterator[str]:
    still = after.progress.batch(entry.subject).watch
    ended = [unit for unit in before.progress.batch(entry.subject).watch if unit not in still]
    if ended:
        yield f"{in_short(ended)} {_is(ended)} no longer on watch."
    checks = [t for t in after.plan.tasks if t.kind == "check" and t.batch == entry.subject]
    ahead = [t.on for t in checks if t.id not in after.progress.done and t.on > after.today]
    if ahead and not entry.units:
        yield f"Look at {entry.subject} again on {full(min(ahead))}."


def _inoculated(entry: Entry, before: Context, after: Context) -> Iterator[str]:
    batch = planned(after.plan, entry.subject)
    if batch is None:
        yield f"{entry.subject} is in no plan yet: replan."
    elif entry.count is not None and entry.count != batch.started:
        alive = living(after.plan, after.progress, batch.id)
        yield f"{entry.count} units instead of {batch.started}: {_left(batch.id, len(alive), after)}."


def _used(entry: Entry, before: Context, after: Context) -> Iterator[str]:
    alive = living(after.plan, after.progress, entry.subject)
    yield f"{in_short(entry.units)} used up; {_left(entry.subject, len(alive), after)}."


def _yard(entry: Entry, before: Context, after: Context) -> Iterator[str]:
    kind: pieces.Yard = "felled" if entry.kind == "felled" else "planted"
    left = pieces.left(after, entry.subject, kind)
    if left:
        yield f"{counted(left, 'piece')} of {entry.subject} {'is' if left == 1 else 'are'} left to be {kind}."
    elif left is not None:
        yield f"All of {entry.subject} is {kind}."


def _put_off(entry: Entry, before: Context, after: Context) -> Iterator[str]:
    yield f"{entry.subject} is not planted before {full(entry.until or entry.on)}: replan."


def _weighed(entry: Entry, before: Context, after: Context) -> Iterator[str]:
    log = f"{entry.subject}{''.join(f', {unit}' for unit in entry.units)}"
    first = weighing.first_weight(entry, after)
    if first is None:
        yield f"{log}: this is its first weight, with which later ones are compared."
        return
    units = after.plan.season.units
    share = 1 - (entry.amount or 0.0) / first[0]
    change = f"{abs(share) * 100:.0f} % {'below' if share >= 0 else 'above'}"
    yield f"{log}: {change} its first weight of {measures.mass(first[0], units)} on {full(first[1])}."
    if any(one.name == entry.subject for one in after.plan.plantings):
        yield "How moist the logs are, and whether to water: budswell moisture."


def _undo(entry: Entry, before: Context, after: Context) -> Iterator[str]:
    taken = next(one.entry for one in before.recorded if one.entry_no == entry.corrects)
    named = in_short(taken.units) if taken.units and BATCH_ID.fullmatch(taken.subject) else taken.subject
    what = " ".join(filter(None, [taken.kind, named]))
    yield f"Entry {entry.corrects} no longer counts: {what}, {full(taken.on)}."


def _left(name: str, alive: int, context: Context) -> str:
    """How many live against how many are needed."""
    batch = planned(context.plan, name)
    lives = f"{alive or 'none'} live{'s' if alive == 1 else ''}"
    return f"{lives}, {batch.needed} needed" if batch else lives


def _children(unit: str, by: date, context: Context) -> Iterator[str]:
    return made_from(context.plan, context.progress.batches, unit, by)


def _still_to_make(units: tuple[str, ...], context: Context) -> list[str]:
    """Batches of the plan that were still to be made from some of these units."""
    return [
        batch.id
        for batch in context.plan.batches
        if context.progress.batch(batch.id).inoculated_on is None
        and any(unit.parent in units for unit in batch.units)
    ]


def _apart(on: date) -> str:
    return f"Set apart, use nothing from it, look again on {full(on + LOOK_AGAIN)}."


def _is(units: Sequence[str]) -> str:
    return "is" if len(units) == 1 else "are"


def _was(units: Sequence[str]) -> str:
    return "was" if len(units) == 1 else "were"


_SAYS: Mapping[str, Callable[[Entry, Context, Context], Iterator[str]]] = {
    "lost": _lost,
    "watch": _watch,
    "clean": _clean,
    "inoculated": _inoculated,
    "used": _used,
    "felled": _yard,
    "planted": _yard,
    "weighed": _weighed,
    "put-off": _put_off,
    "undo": _undo,
}
