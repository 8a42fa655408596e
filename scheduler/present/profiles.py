"""The catalogue on the screen: what the trade knows by name, and its figures with their basis and source."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from rich.console import Console

from scheduler.measures import counted, number
from scheduler.present.layout import Column, Lines, fold, paragraph, section, table, write

FIGURE_COLUMNS = (
    Column("figure", soft=True),
    Column("value", soft=True),
    Column("basis", soft=True),
    Column("source", soft=True),
)


@dataclass(frozen=True)
class FigureRow:
    """One figure as it is shown: its spread, unit, basis, and the title of its source."""

    name: str
    low: float | None
    likely: float
    high: float | None
    unit: str
    basis: str
    source: str
    entry: str = ""
    """The entry that it belongs to, where figures of several are shown."""


@dataclass(frozen=True)
class CatalogueRow:
    """One entry of the catalogue: its kind (species, method, wood, container), its name and a few words."""

    kind: str
    name: str
    about: str = ""


def show_catalogue(rows: Iterable[CatalogueRow], console: Console) -> None:
    """Print what the catalogue holds, kind by kind."""
    by_kind: dict[str, list[tuple[str, str]]] = {}
    for row in rows:
        by_kind.setdefault(row.kind, []).append((row.name, row.about))
    lines: Lines = []
    for kind, entries in by_kind.items():
        body = table((Column(soft=True), Column(soft=True)), entries, console.width)
        lines += section(kind.capitalize(), body, console.width)
    write(lines or paragraph("The catalogue is empty.", console.width), console)


@dataclass(frozen=True)
class About:
    """What else an entry says, under one heading: pairs of a name and a sentence, or a table with heads."""

    title: str
    rows: Sequence[Sequence[str]]
    heads: Sequence[str] = ("", "")


def show_entry(title: str, rows: Sequence[FigureRow], about: Iterable[About], console: Console) -> None:
    """Print one entry: its figures with spread, unit, basis and source, then what else is known of it."""
    body = table(FIGURE_COLUMNS, map(_cells, rows), console.width)
    lines = section(title, body or paragraph("No figures.", console.width), console.width)
    for part in about:
        columns = [Column(head, soft=True) for head in part.heads]
        lines += section(part.title, table(columns, part.rows, console.width), console.width)
    write(lines, console)


def show_unsourced(
    rows: Sequence[FigureRow], figures: Mapping[str, int], judgements: Mapping[str, int], console: Console
) -> None:
    """Print the figures that no publication gives, entry by entry, after the counts of all by basis."""
    lines: Lines = [
        *fold(f"{counted(len(rows), 'figure')} without a published source.", console.width),
        *paragraph(f"All figures: {_by_basis(figures)}.", console.width),
        *paragraph(f"Judgements on methods, woods and look-alikes: {_by_basis(judgements)}.", console.width),
    ]
    for entry, some in groupby(rows, key=lambda row: row.entry):
        body = table(FIGURE_COLUMNS, map(_cells, some), console.width)
        lines += section(entry.capitalize(), body, console.width)
    write(lines, console)


def _by_basis(counts: Mapping[str, int]) -> str:
    return ", ".join(f"{count} {basis}" for basis, count in sorted(counts.items())) or "none"


def _cells(row: FigureRow) -> tuple[str, str, str, str]:
    return row.name, spread(row), row.basis, row.source


def spread(row: FigureRow) -> str:
    """The likely value with its unit, and the band where there is one: ``15 d (12 to 20)``."""
    likely = f"{number(row.likely)} {row.unit}".strip()
    if row.low is None and row.high is None:
        return likely
    low = row.likely if row.low is None else row.low
    high = row.likely if row.high is None else row.high
    return f"{likely} ({number(low)} to {number(high)})"
