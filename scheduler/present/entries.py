"""The entries of a book in words: one sentence for each kind, and the table of them all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from rich.console import Console

from scheduler import measures
from scheduler.plan import Rewrite
from scheduler.present.layout import Column, Lines, paragraph, table, write
from scheduler.present.words import stage
from scheduler.progress import Entry, Kind, Recorded, in_short, taken_back
from scheduler.workdays import full

COLUMNS = (Column("no.", right=True), Column("day"), Column("what", soft=True), Column(soft=True))

SAID: Mapping[Kind, str] = {
    "cooked": "{batch} heat-treated",
    "inoculated": "{batch} inoculated{from_}",
    "ready": "{batch} found fully run",
    "clean": "{batch} looked at and found clean",
    "watch": "{batch} in doubt",
    "lost": "{batch} lost",
    "used": "{batch} used up",
    "fridge": "{batch} moved to the fridge",
    "felled": "{subject}: {pieces} felled",
    "soaked": "{subject}: logs soaked",
    "planted": "{subject}: {pieces} planted",
    "turned": "{subject}: turned",
    "watered": "{subject}: watered",
    "weighed": "{log}: {mass} weighed",
    "picked": "{subject}: {mass} picked",
    "bought": "{subject} ordered",
    "received": "{subject} received",
    "found": "{strain} found in hand: {found}",
    "put-off": "{subject} put off{until}",
    "done": "done: {task}",
    "undo": "entry {corrects} taken back",
    "remedy": "remedy adopted: {seen}{changes}",
}
"""One sentence for each kind; what was seen follows it, unless it is told in it."""


def said(entry: Entry, titles: Mapping[str, str] | None = None, units: measures.Units = "metric") -> str:
    """An entry in words; `titles` are those of tasks, by their ids, as far as they are known."""
    sentence = SAID[entry.kind]
    words = sentence.format_map(_parts(entry, titles or {}, units))
    return f"{words}; {entry.seen}" if entry.seen and "{seen}" not in sentence else words


def _parts(entry: Entry, titles: Mapping[str, str], units: measures.Units) -> dict[str, str]:
    """Every piece of every sentence; those that an entry says nothing of are not in its sentence."""
    return {
        "subject": entry.subject,
        "seen": entry.seen or entry.subject,
        "batch": _batch(entry),
        "log": ", ".join((entry.subject, *entry.units)),
        "from_": f" from {entry.parent}" if entry.parent else "",
        "pieces": "all" if entry.count is None else str(entry.count),
        "mass": "some" if entry.amount is None else measures.mass(entry.amount, units),
        "strain": " ".join(filter(None, (entry.subject, entry.strain, stage(entry.stage or "")))),
        "found": _found(entry, units),
        "until": f" until {full(entry.until)}" if entry.until else "",
        "task": titles.get(entry.subject, entry.subject),
        "corrects": str(entry.corrects),
        "changes": f" ({'; '.join(map(_change, entry.changes))})" if entry.changes else "",
    }


def _batch(entry: Entry) -> str:
    """The batch, or how many and which of its units."""
    if entry.units:
        count = len(entry.units)
        return in_short(entry.units) + (f" ({count} units)" if count > 1 else "")
    if entry.count is not None:
        return f"{entry.subject}: {measures.counted(entry.count, 'unit')}"
    return entry.subject


def _found(entry: Entry, units: measures.Units) -> str:
    parts = [] if entry.count is None else [measures.counted(entry.count, "unit")]
    if entry.amount is not None:
        liquid = entry.stage == "liquid culture"
        parts.append(measures.quantity(entry.amount, "ml" if liquid else "g", units))
    return ", ".join(parts) or "some"


def _change(change: Rewrite) -> str:
    return f"{change.key} = {change.now}" if change.now is not None else f"without {change.key}"


def show_entries(
    recorded: Iterable[Recorded],
    console: Console,
    titles: Mapping[str, str] | None = None,
    units: measures.Units = "metric",
) -> None:
    """Print every entry of a book in order, marked where it is taken back or was forced."""
    recorded = list(recorded)
    lines = entry_table(recorded, taken_back(recorded), console.width, titles, units)
    write(lines or paragraph("Nothing is recorded yet.", console.width), console)


def entry_table(
    recorded: Iterable[Recorded],
    gone: Mapping[int, int],
    width: int,
    titles: Mapping[str, str] | None = None,
    units: measures.Units = "metric",
) -> Lines:
    """Entries with number, day, words and marks; empty where there are none."""
    return table(COLUMNS, entry_rows(recorded, gone, titles, units), width)


def entry_rows(
    recorded: Iterable[Recorded],
    gone: Mapping[int, int],
    titles: Mapping[str, str] | None = None,
    units: measures.Units = "metric",
) -> list[tuple[str, ...]]:
    """A row for each entry in the order of the book."""
    return [
        (
            str(one.entry_no),
            full(one.entry.on),
            said(one.entry, titles, units),
            _marks(one, gone),
        )
        for one in sorted(recorded, key=lambda one: one.entry_no)
    ]


def _marks(one: Recorded, gone: Mapping[int, int]) -> str:
    marks = [f"TAKEN BACK by {gone[one.entry_no]}"] if one.entry_no in gone else []
    return "\n".join([*marks, *(["forced"] if one.entry.forced else [])])
