"""A table of measurements: rows of named figures that are kept as JSON, and how they are printed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

Cell = int | float | str | bool | None
Rows = Mapping[str, Mapping[str, Cell]]
"""Figures by row and name. Seconds end in ``_s``; None is what was not measured, or does not apply."""


@dataclass(frozen=True)
class Run:
    """What one call of the bench is given."""

    folder: Path
    """Copies of the examples, and room for more."""
    instances: Path
    """Sets of published instances, each a folder with its `optimum.csv`."""
    quick: bool = False
    """Whether small sizes and few repetitions will do."""


@dataclass(frozen=True)
class Column:
    """A figure, what stands over it, and how it is written."""

    key: str
    head: str
    form: str = "{}"


@dataclass(frozen=True)
class Table:
    """How the rows come about, and how they are shown."""

    title: str
    columns: Sequence[Column]
    measure: Callable[[Run], Rows]
    notes: Sequence[str] = ()
    """Sentences below the rows."""

    def text(self, rows: Rows) -> str:
        """The title, the rows in columns, and the notes."""
        lines = [("", *(column.head for column in self.columns))]
        lines += [(name, *(_written(column, row) for column in self.columns)) for name, row in rows.items()]
        widths = [max(map(len, column)) for column in zip(*lines, strict=True)]
        table = [
            " ".join([cells[0].ljust(widths[0]), *map(str.rjust, cells[1:], widths[1:])]) for cells in lines
        ]
        return "\n".join([self.title, *(f"  {line.rstrip()}" for line in table), *self.notes]) + "\n"


def _written(column: Column, row: Mapping[str, Cell]) -> str:
    value = row.get(column.key)
    if value is None:
        return "-"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value if isinstance(value, str) else column.form.format(value)
