"""A rehearsal on the screen: what saves the season from each loss, and what would have helped."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from rich.console import Console

from scheduler import measures
from scheduler.present.dates import Dates
from scheduler.present.layout import Column, Lines, fold, paragraph, section, table, write
from scheduler.rehearsal import OUTCOMES, Better, Rehearsal, Rehearsed, Saved
from scheduler.workdays import full

SAVED: dict[Saved, str] = {
    "lost": "lost",
    "remedy": "saved by a remedy",
    "redo": "saved by a redo",
    "spares": "saved by spares",
}
WAYS = {
    "spare grain": "redo from spare grain",
    "kept-back grain": "redo from the grain kept back",
    "one more generation": "redo with one more generation of grain",
    "culture": "redo from the culture",
    "found culture": "redo from the culture that was found",
    "bought culture": "redo from a culture that is bought",
}
"""How lost things are made again, by the names of the ways."""
COLUMNS = (
    Column("batch", whole=True),
    Column("seen on", whole=True),
    Column("what saves it", soft=True),
    Column("planted", soft=True),
    Column("chance"),
    Column("what would have helped", soft=True),
)
SEEN = {
    False: "seen at the last look before it is ready (--late: not before it should be ready)",
    True: "seen on the day on which it should be ready",
}
NO_PLAN = "no plan fits"


def show_rehearsal(found: Rehearsal, console: Console) -> None:
    """Print a rehearsal."""
    width = console.width
    number = "" if found.plan_no is None else f", plan {found.plan_no}"
    lines: Lines = [*fold(f"{found.season}{number}, as of {full(found.today)}", width)]
    lines += section("One batch lost, the worst first", losses(found.single, found, width), width)
    lines += section("Two batches lost at once, the worst first", pairs(found, width), width)
    lines += section("Remedies", remedies([*found.single, *found.pairs], width), width)
    lines += section("Notes", notes(found, width), width)
    write(lines, console)


def losses(rehearsed: Sequence[Rehearsed], found: Rehearsal, width: int) -> Lines:
    """How many are saved by what, and a row for each."""
    words = Dates(found.today)
    told = Counter(one.outcome for one in rehearsed)
    counts = ", ".join(f"{told[outcome]} {SAVED[outcome]}" for outcome in OUTCOMES if told[outcome])
    rows = [_row(one, words) for one in rehearsed]
    return [
        *paragraph(f"{measures.counted(len(rows), 'rehearsal')}: {counts}.", width),
        *table(COLUMNS, rows, width),
    ]


def pairs(found: Rehearsal, width: int) -> Lines:
    """The pairs, and how many of them were looked at."""
    if not found.pairs:
        return []
    told = f"{len(found.pairs)} of the {found.pairs_there} pairs of which two losses can be seen on one day."
    return [*losses(found.pairs, found, width), *paragraph(told, width)]


def remedies(rehearsed: Sequence[Rehearsed], width: int) -> Lines:
    """What each remedy is, in full."""
    lines: Lines = []
    for one in rehearsed:
        if one.remedy is not None:
            text = f"{' and '.join(one.names)}: {one.remedy.text} Cost: {one.remedy.cost}."
            lines += paragraph(text, width, "- ")
    return lines


def notes(found: Rehearsal, width: int) -> Lines:
    """What has to be known about the rehearsal as a whole."""
    told = [
        f"Each loss is all of a batch, {SEEN[found.late]}; all work before that day is taken to be done as "
        "planned. Nothing was recorded.",
        "The chances are those of the plans: that losses alone leave enough, and nothing is made again.",
    ]
    if any(one.better for one in (*found.single, *found.pairs)):
        told.append(
            "What would have helped, least work first, is worked out from the plan, and not planned itself."
        )
    told += [f"Not rehearsed: {' and '.join(one.batches)}: {one.why}." for one in found.left_out]
    return [line for note in (*told, *found.notes) for line in paragraph(note, width, "- ")]


def _row(one: Rehearsed, words: Dates) -> tuple[str, ...]:
    now = NO_PLAN if one.chance_now is None else measures.chance(one.chance_now)
    return (
        "\n".join(one.names),
        words.day(one.on),
        _saved(one),
        _planted(one, words),
        now,
        "; or ".join(map(_better, one.better)),
    )


def _saved(one: Rehearsed) -> str:
    if one.way is not None:
        return WAYS[one.way]
    if one.remedy is not None:
        return f"{'nothing' if one.outcome == 'lost' else 'remedy'}: {one.remedy.kind}"
    if one.outcome == "redo":
        return f"made again: {', '.join(one.new)}"
    return "nothing" if one.outcome == "lost" else "spares"


def _planted(one: Rehearsed, words: Dates) -> str:
    """Days that are not as planned."""
    moved = [p for p in one.plantings if p.now_on and p.now_on != p.was_on]
    if one.chance_now is None:
        return ""
    return (
        "; ".join(f"{p.name} {words.days(p.now_on)}, not {words.days(p.was_on)}" for p in moved)
        or "as planned"
    )


def _better(better: Better) -> str:
    if better.what == "earlier":
        return f"all of it {measures.counted(better.days, 'day')} earlier"
    work = measures.duration(better.minutes)
    return f"{measures.counted(better.units, 'unit')} more in a second batch (about {work} of work)"
