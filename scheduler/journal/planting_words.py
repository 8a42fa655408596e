"""Reads entries about plantings: how many pieces, what was picked or weighed, until when it is put off."""

from __future__ import annotations

from datetime import date

from scheduler.journal import amounts, find, pieces
from scheduler.journal.context import Context
from scheduler.journal.kinds import KindOfEntry
from scheduler.progress import Entry
from scheduler.season.wrong import Wrong, shown


def planting_entries(kind: KindOfEntry, tokens: list[str], on: date, context: Context) -> tuple[Entry, ...]:
    """The entry of a command about a planting. Raises `Wrong` where it cannot be understood."""
    name, rest = find.planting(tokens, context)
    if kind.kind == "felled" or kind.kind == "planted":
        count, rest = _count(kind.kind, name, rest, context)
        ended = pieces.parts_ended(context, name, kind.kind, count)
        return (Entry(kind.kind, on, name, units=ended, count=count, seen=" ".join(rest)),)
    if "log" in kind.takes:
        log, rest = amounts.log(rest)
        grams, rest = amounts.grams(rest)
        log, rest = (log, rest) if log else amounts.log(rest)
        return (Entry(kind.kind, on, name, units=log, amount=grams, seen=" ".join(rest)),)
    if "mass" in kind.takes:
        grams, rest = amounts.grams(rest)
        return (Entry(kind.kind, on, name, amount=grams, seen=" ".join(rest)),)
    if "until" in kind.takes:
        until, rest = _until(rest)
        return (Entry(kind.kind, on, name, until=until, seen=" ".join(rest)),)
    return (Entry(kind.kind, on, name, seen=" ".join(rest)),)


def _count(kind: pieces.Yard, name: str, tokens: list[str], context: Context) -> tuple[int, list[str]]:
    """So many pieces as are said, else all that are left."""
    planting = pieces.planting_plan(context.plan, name)
    if planting is not None and pieces.is_bed(planting):
        area, rest = amounts.measured(tokens, "area", "square_metre")
        if area:
            return pieces.pieces_of_area(planting, area), rest
    count, rest = amounts.count(tokens)
    left = pieces.left(context, name, kind)
    if count is None and left is None:
        raise Wrong(f"the plan does not know {name} any more", f"how many pieces were {kind}")
    if count is None and not left:
        raise Wrong(f"nothing of {name} is left to be {kind}", f"how many pieces were {kind}")
    return count or left or 0, rest


def _until(tokens: list[str]) -> tuple[date, list[str]]:
    words = [*tokens]
    if words[:1] and words[0].casefold() in ("until", "till", "to"):
        words = words[1:]
    said = words[0] if words else ""
    try:
        return date.fromisoformat(said), words[1:]
    except ValueError:
        found = shown(said) if said else "no day"
        raise Wrong(found, "until a day written as 2027-05-20") from None
