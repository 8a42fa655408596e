"""What a record printed: the entries with their numbers, what goes without saying, and what follows."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING

from rich.text import Text

from scheduler.measures import Units
from scheduler.present.entries import said
from scheduler.present.layout import Column, fold, paragraph, table, write
from scheduler.progress import Entry, Recorded
from scheduler.workdays import full

if TYPE_CHECKING:
    from rich.console import Console


def show_recorded(
    numbered: Sequence[Recorded],
    unsaid: Collection[Entry],
    unusual: Sequence[str],
    means: Sequence[str],
    path: str,
    console: Console,
    units: Units = "metric",
) -> None:
    """Every entry with its number and day, then what follows from them and what to do next."""
    width = console.width
    rows = [
        (
            f"{one.entry_no}",
            full(one.entry.on),
            said(one.entry, units=units) + " (as planned)" * (one.entry in unsaid),
        )
        for one in numbered
    ]
    lines = table((Column("entry"), Column("day"), Column("recorded", soft=True)), rows, width, indent=0)
    for what in unusual:
        lines += fold(f"Unusual, and recorded on your word: {what}", width)
    if means:
        lines.append(Text(""))
    for what in means:
        lines += paragraph(what, width, mark="- ")
    lines += ["", *fold(f"Next: budswell replan {path}. Take it back: budswell record {path} undo.", width)]
    write(lines, console)


def show_words(examples: Sequence[tuple[str, str]], console: Console) -> None:
    """Every word that a record may begin with, and an example of each."""
    lines = table((Column("word"), Column("for example", soft=True)), examples, console.width, indent=0)
    write(lines, console)
