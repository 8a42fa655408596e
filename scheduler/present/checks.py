"""The answer of a check: the season file can be read, with what was warned about and what was assumed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich.console import Console

from scheduler.measures import counted
from scheduler.plan import Assumption
from scheduler.present.layout import Column, Lines, fold, paragraph, section, table, write
from scheduler.present.trust import assumed_table

EXPLAINED_COLUMNS = (
    Column("key"),
    Column("taken", soft=True),
    Column("basis", soft=True),
    Column("where it comes from", soft=True),
)

SILENT = "the season file does not say"
"""The reason of most defaults, which need not be said of each."""


@dataclass(frozen=True)
class Explained:
    """A default that was taken, with its basis, the title of its source, and a word on why it is so."""

    taken: Assumption
    basis: str
    source: str
    note: str


def show_check(
    season_name: str,
    warnings: Sequence[str],
    assumed: Sequence[Assumption],
    console: Console,
    explained: Sequence[Explained] | None = None,
) -> None:
    """Print that a season file is right, its warnings, and the defaults that were taken.

    Where they are `explained`, each stands with its basis and where it comes from.
    """
    width = console.width
    verdict = f"with {counted(len(warnings), 'warning')}" if warnings else "without a warning"
    warned = [line for warning in warnings for line in paragraph(warning, width, mark="- ")]
    taken = assumed_table(assumed, width) if explained is None else _explained_table(explained, width)
    lines = [
        *fold(f"{season_name}: the season file can be planned, {verdict}.", width),
        *section("Warnings", warned, width),
        *section("Assumed", taken, width),
    ]
    write(lines, console)


def _explained_table(explained: Sequence[Explained], width: int) -> Lines:
    rows = [(one.taken.key, one.taken.value, one.basis, _origin(one)) for one in explained]
    return table(EXPLAINED_COLUMNS, rows, width)


def _origin(one: Explained) -> str:
    """The reason, what is published on it, and what the season says of it where it says anything."""
    why = "" if one.taken.why == SILENT else one.taken.why
    parts = (one.note, one.source, why)
    return "; ".join(part for part in parts if part)
