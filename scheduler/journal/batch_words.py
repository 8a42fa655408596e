"""Reads entries about batches: which one or several, which of its units or how many, and what was seen."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from scheduler.journal import amounts, find
from scheduler.journal.context import Context
from scheduler.journal.kinds import KIND_OF_WORD, KindOfEntry
from scheduler.journal.planting_words import planting_entries
from scheduler.journal.units import (
    BATCH_ID,
    all_units,
    batch_of,
    highest,
    kept_back,
    known_batches,
    living,
    lowest,
    numbers,
    planned,
)
from scheduler.plan import Batch
from scheduler.progress import Entry
from scheduler.season.wrong import Wrong, listed, shown


def batch_entries(kind: KindOfEntry, tokens: list[str], on: date, context: Context) -> tuple[Entry, ...]:
    """The entries of one command about batches. Raises `Wrong` where it cannot be understood."""
    if not tokens:
        known = known_batches(context.plan, context.progress)
        raise Wrong("no batch is named", f"a batch, such as {known[0]}" if known else "a batch")
    if kind.kind == "inoculated":
        return (_inoculated(kind, tokens, on, context),)
    found: list[Entry] = []
    while not found or _is_batch(tokens, context):
        name, _, numbered = tokens[0].partition("/")
        batch = find.batch(name, context)
        units, tokens = _units(kind, batch, numbered, tokens[1:], context)
        found.append(Entry(kind.kind, on, batch, units=units))
    seen = " ".join(tokens)
    return tuple(Entry(one.kind, on, one.subject, units=one.units, seen=seen) for one in found)


def _is_batch(tokens: Sequence[str], context: Context) -> bool:
    """Whether one more batch follows: only whole ids count, all else is what was seen."""
    name = tokens[0].partition("/")[0].casefold() if tokens else ""
    return name in (one.casefold() for one in known_batches(context.plan, context.progress))


def _units(
    kind: KindOfEntry, batch: str, numbered: str, tokens: list[str], context: Context
) -> tuple[tuple[str, ...], list[str]]:
    """The units that are meant, none where it is the batch as a whole, and the words after them."""
    if not numbered and tokens and (tokens[0].startswith("/") or _is_list(tokens[0])):
        numbered, tokens = tokens[0].removeprefix("/"), tokens[1:]
    if not kind.takes & {"units", "count"}:
        if numbered:
            raise Wrong(f"/{numbered}", f"the whole batch: {kind.words[0]} {batch}")
        return (), tokens
    if numbered:
        return _named(batch, numbered, context), tokens
    alive = living(context.plan, context.progress, batch)
    kept = kept_back(context.plan, batch)
    if tokens and tokens[0].casefold() == "all":
        tokens = tokens[1:]
    elif "count" in kind.takes:
        wanted, tokens = amounts.count(tokens)
        if wanted is not None:
            if wanted > len(alive):
                raise Wrong(f"{wanted} of {batch}", f"at most {len(alive)}: so many live")
            order = lowest if kind.kind == "used" else highest
            alive = tuple(unit for unit in alive if unit in order(alive, kept)[:wanted])
    return (alive if "count" in kind.takes else ()), tokens


def _is_list(token: str) -> bool:
    return numbers(token) is not None and not token.isdecimal()


def _named(batch: str, numbered: str, context: Context) -> tuple[str, ...]:
    known = all_units(context.plan, context.progress, batch)
    wanted = numbers(numbered)
    if wanted is None:
        raise Wrong(shown(f"/{numbered}"), "numbers of units, such as /3, /1,3,5 or /1-3")
    units = tuple(f"{batch}/{number}" for number in wanted)
    lost = context.progress.batch(batch).lost
    for unit in units:
        if unit not in known and unit not in lost:
            left = ", ".join(one.rpartition("/")[2] for one in known)
            raise Wrong(f"there is no {unit}", f"units of {batch}: {left or 'none'}")
    return units


def _inoculated(kind: KindOfEntry, tokens: list[str], on: date, context: Context) -> Entry:
    """A batch as planned, with another number of units, or one that no plan knows."""
    place = next((n for n, token in enumerate(tokens) if token.casefold() == "from"), None)
    name = find.batch_or_none(tokens[0], known_batches(context.plan, context.progress))
    if name is None and place is None and find.planting_or_none(tokens, context):
        # Growers inoculate logs too.
        return planting_entries(KIND_OF_WORD["planted"], tokens, on, context)[0]
    batch = planned(context.plan, name) if name else None
    if place is not None and batch is None:
        return _unplanned(tokens, place, on, context)
    name = find.batch(tokens[0], context)
    if place is not None and batch is not None:
        tokens = [*tokens[:place], *_as_planned(batch, tokens[place + 1 :], context)]
    count, rest = amounts.count(tokens[1:])
    parent = context.progress.batch(name).parent
    return Entry("inoculated", on, name, count=count, parent=parent, seen=" ".join(rest))


def _as_planned(batch: Batch, tokens: list[str], context: Context) -> list[str]:
    """The words after the parent of a planned batch, which has to be the planned one."""
    parents = list(dict.fromkeys(batch_of(unit.parent) for unit in batch.units if unit.parent))
    said = find.batch(tokens[0].partition("/")[0], context) if tokens else ""
    if said not in parents:
        raise Wrong(
            f"{batch.id} is planned from {listed(parents, 'and')}, not from {said or 'nothing'}",
            f"{batch.id} as it is planned",
            "a batch of your own takes a name that the plan does not have",
        )
    return tokens[1:]


def _unplanned(tokens: list[str], place: int, on: date, context: Context) -> Entry:
    """``NAM-G1x 4 from NAM-La``: a batch of the grower's own."""
    code, _, stage = tokens[0].partition("-")
    name = f"{code.upper()}-{stage[:-1].upper()}{stage[-1:].lower()}"
    codes = sorted({batch.id.partition("-")[0] for batch in context.plan.batches})
    if not BATCH_ID.fullmatch(name) or code.upper() not in codes:
        raise Wrong(
            f"{shown(tokens[0])} cannot be the name of a new batch",
            f"code, stage and letter, such as {codes[0] if codes else 'NAM'}-G1x; codes: {', '.join(codes)}",
            "stages are A plate, T slant, L liquid culture, G1 grain, S sawdust, D dowels, C chips",
        )
    count, between = amounts.count(tokens[1:place])
    if count is None or between:
        raise Wrong(f"how many units of {name} is not said", f"inoculated {name} 4 from a batch")
    if place + 1 >= len(tokens):
        raise Wrong(f"what {name} was made from is not said", f"inoculated {name} {count} from a batch")
    parent = find.batch(tokens[place + 1].partition("/")[0], context)
    seen = " ".join(tokens[place + 2 :])
    return Entry("inoculated", on, name, count=count, parent=parent, seen=seen)
