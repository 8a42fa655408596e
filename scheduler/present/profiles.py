"""The catalogue on the screen: what the trade knows by name, and its figures with their basis and source."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rich.console import Console

from scheduler.measures import number
from scheduler.present.layout import Column, Lines, paragraph, section, table, write

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


def show_figures(title: str, rows: Sequence[FigureRow], console: Console) -> None:
    """Print figures with their spread, unit, basis and source."""
    body = table(
        FIGURE_COLUMNS, [(row.name, spread(row), row.basis, row.source) for row in rows], console.width
    )
    write(section(title, body or paragraph("No figures.", console.width), console.width), console)


def spread(row: FigureRow) -> str:
    """The likely value with its unit, and the band where there is one: ``15 d (12 to 20)``."""
    likely = f"{number(row.likely)} {row.unit}".strip()
    if row.low is None and row.high is None:
        return likely
    low = row.likely if row.low is None else row.low
    high = row.likely if row.high is None else row.high
    return f"{likely} ({number(low)} to {number(high)})"
