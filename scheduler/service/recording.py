"""The use case of `record`: what a grower says has happened becomes entries of the season's book."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.book.store import Book, book_path
from scheduler.errors import BudswellError, Fault, UsageError
from scheduler.journal.context import Context
from scheduler.journal.implied import implied
from scheduler.journal.kinds import KINDS
from scheduler.journal.means import consequences
from scheduler.journal.possible import judge
from scheduler.journal.words import read_words
from scheduler.measures import Units
from scheduler.progress import Entry, Recorded
from scheduler.service.under_way import UnderWay, seen_by, under_way
from scheduler.trade import catalogue as trade

if TYPE_CHECKING:
    from scheduler.lines.logs import Weights


class Unusual(UsageError):
    """Something that hardly ever happens like that: it is recorded only on the grower's word."""


@dataclass(frozen=True)
class Noted:
    """Entries that were read from a grower's words, and what follows from them."""

    entries: tuple[Entry, ...]
    unsaid: tuple[Entry, ...]
    """Those of them that were not said: they go without saying, as they were planned."""
    unusual: tuple[str, ...]
    """What is odd about them, and was recorded on the grower's word."""
    means: tuple[str, ...]
    """What follows: units in doubt, what is left, what to do with what is lost."""
    units: Units = "metric"
    """In which the season tells amounts."""


def record(
    path: Path,
    words: Sequence[str],
    *,
    clock: date,
    today: date | None,
    on: date | None,
    force: bool,
    at: str,
    seen: str = "",
) -> tuple[tuple[Recorded, ...], Noted]:
    """Records what happened, in one transaction; the entries with their numbers, and what follows from them.

    `seen` is a note that is kept as it is, where words could be taken for more than they are meant.
    Raises UsageError where the words cannot be read, nothing of the kind can have happened, or it is unusual
    and not forced; nothing is recorded then. BookError as the book does.
    """
    state = under_way(path, clock, today)
    with Book.open(book_path(state.file), create=True) as book:
        # Read again inside the transaction: another command may have recorded meanwhile.
        state = UnderWay(state.file, state.today, state.kept, book.entries(), state.begins)
        noted = read(state, words, on=on, force=force, seen=seen)
        numbered = tuple(Recorded(book.record(entry, at), at, entry) for entry in noted.entries)
    return numbered, noted


def read(state: UnderWay, words: Sequence[str], *, on: date | None, force: bool, seen: str = "") -> Noted:
    """What the words mean where the season stands; raises as `record`. Nothing is recorded."""
    context = context_of(state)
    unusual, means = list[str](), list[str]()
    judged, unsaid = list[Entry](), list[Entry]()
    for entry in read_words(words, on, context):
        entry = replace(entry, seen=" ".join(f"{entry.seen} {seen}".split()))
        for one in implied(entry, context):
            judge(one, context)
            unsaid.append(one)
            judged.append(one)
            context = context.after(one)
        judgement = judge(entry, context)
        if judgement.unusual and not force:
            raise Unusual(
                Fault(
                    " ".join(words),
                    " ".join(judgement.unusual),
                    "what usually happens, or what you know to be so",
                    "add --force if that is how it was",
                )
            )
        unusual += judgement.unusual
        entry = replace(entry, forced=bool(judgement.unusual))
        judged.append(entry)
        means += consequences(entry, context)
        context = context.after(entry)
    return Noted(
        tuple(judged), tuple(unsaid), tuple(unusual), tuple(dict.fromkeys(means)), state.plan.season.units
    )


def context_of(state: UnderWay) -> Context:
    """What entries are read and judged against."""
    return Context(
        plan=state.plan,
        recorded=state.recorded,
        today=state.today,
        species=tuple(trade.load().species),
        seen=seen_by(state.kept),
        begins=state.begins,
        log_weights=cache(partial(_log_weights, state)),
    )


def _log_weights(state: UnderWay, planting: str) -> Weights | None:
    """Between which weights the logs of a planting can lie; None too where its season file is not right."""
    from scheduler.service.moisture import weights_of  # only a weight asks for the season file

    try:
        return weights_of(state.file, planting, state.today)
    except BudswellError:
        return None


def examples() -> list[tuple[str, str]]:
    """The words for each kind of entry, and an example of it."""
    return [(", ".join(kind.words), kind.example) for kind in KINDS]
