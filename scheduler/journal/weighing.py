"""Whether a log can weigh what it is said to: between dry and waterlogged, by size and first weight."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from scheduler.journal import pieces
from scheduler.journal.context import Context
from scheduler.measures import mass
from scheduler.progress import Entry
from scheduler.season.wrong import Wrong
from scheduler.workdays import full

A_YEAR = timedelta(days=365)
"""So long a log keeps its wood: later the fungus has eaten too much of it (common practice)."""


def judge(entry: Entry, context: Context) -> None:
    """Raises `Wrong` where a planting has no logs, or not that one, or none of it can weigh that."""
    name, weight = entry.subject, entry.amount or 0.0
    planting = pieces.planting_plan(context.plan, name)
    if planting is not None and (pieces.is_bed(planting) or "stump" in planting.size):
        raise Wrong(f"{name} is {planting.size}", "a planting with logs, of which one is marked and weighed")
    happened, bounds = context.progress.planting(name), context.log_weights(name)
    down = min(happened.felled, default=None)
    if down is not None and entry.on < down:
        raise Wrong(f"{name} was felled on {full(down)}, after that", f"{full(down)} or a day after it")
    if bounds is None:
        return
    number = int(entry.units[0].split()[1]) if entry.units else 0
    if number > bounds.pieces:
        raise Wrong(f"log {number} of {name}", f"log 1 to log {bounds.pieces}: so many there are")
    first = first_weight(entry, context)
    if first is None:
        return
    before, on = first
    units = context.plan.season.units
    # Its first weight may be that of a log that had dried already, and was all wood at the most.
    least, most = before * bounds.driest, before * bounds.soaked
    span = f"{mass(least, units)} to {mass(most, units)}: it weighed {mass(before, units)} on {full(on)}"
    hint = "if that first weight was wrong, take it back with undo and record it again"
    if weight < least and entry.on - on <= A_YEAR:
        raise Wrong(f"{mass(weight, units)}, lighter than the dry wood in it", span, hint)
    if weight > most:
        raise Wrong(f"{mass(weight, units)}, heavier than it can be when waterlogged", span, hint)


def unusual(entry: Entry, context: Context) -> Iterator[str]:
    """What is unusual about a weight, in sentences."""
    name, weight, units = entry.subject, entry.amount or 0.0, context.plan.season.units
    happened, bounds = context.progress.planting(name), context.log_weights(name)
    to_fell = pieces.parts(context.plan, name, "felled")
    if to_fell and not (happened.felled or happened.planted):
        yield f"The book does not say that wood for {name} was felled."
    if bounds is None:
        return
    first = first_weight(entry, context)
    if first is not None:
        before, _ = first
        if weight > before * bounds.wettest:
            yield f"{mass(weight, units)} is more than a log of {mass(before, units)} weighs full of water."
        if weight < before * bounds.driest:
            yield f"{mass(weight, units)} is less than the dry wood in a log of {mass(before, units)}."
    elif not bounds.lightest_g <= weight <= bounds.heaviest_g:
        least, most = mass(bounds.lightest_g, units), mass(bounds.heaviest_g, units)
        yield (
            f"{mass(weight, units)} is no weight for a log of {name}: thin and dry it weighs {least}, "
            f"thick and waterlogged {most}."
        )


def first_weight(entry: Entry, context: Context) -> tuple[float, date] | None:
    """The first weight of the same log before an entry, in grams, and its day; None where there is none."""
    weights = context.progress.planting(entry.subject).weights_g.get("".join(entry.units), {})
    first = min((on for on in weights if on < entry.on), default=None)
    return None if first is None else (weights[first], first)
