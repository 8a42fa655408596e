"""Many seasons on the screen: how many could be planned, a line for each, and why the others could not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from rich.console import Console

from scheduler import measures
from scheduler.many import VERDICTS, Row, Table
from scheduler.present.layout import Column, Lines, fold, paragraph, section, table, write

MOST_TOLD = 20
"""Seasons without a plan that are told where a file has them all."""
MOST_PLACES = 3
"""Places of the season file that have a column of their own."""


def show_many(found: Table, output: Path | None, before: Path | None, console: Console) -> None:
    """Print what came of many seasons; where it was written to a table, without a line for each.

    `before` is the file in which is kept what was planned.
    """
    width = console.width
    lines: Lines = [*fold(_counted(found), width)]
    if output is None:
        lines += section("Seasons", seasons(found.rows, width), width)
    told = [row for row in found.rows if row.result.reason]
    for title, is_planned in (("Not planned", False), ("Planned, but not kept", True)):
        rows = [row for row in told if (row.result.verdict == "planned") is is_planned]
        lines += section(title, troubles(rows, MOST_TOLD if output else len(rows), width), width)
    if output is not None:
        where = f"{output}: {measures.counted(len(found.rows), 'row')}. What was planned is kept in {before}."
        lines += ["", *fold(where, width)]
    write(lines, console)


def _counted(found: Table) -> str:
    verdicts = Counter(row.result.verdict for row in found.rows)
    told = ", ".join(f"{verdicts[verdict]} {verdict}" for verdict in VERDICTS if verdicts[verdict])
    folders = len({row.folder for row in found.rows})
    ways = "" if folders == len(found.rows) else f" in {len(found.rows) // folders} ways"
    known = f"; {found.known} of them known from before" if found.known else ""
    return f"{measures.counted(folders, 'season')}{ways}: {told}{known}"


def seasons(rows: Sequence[Row], width: int) -> Lines:
    """A line for each season."""
    places = list(dict.fromkeys(place for row in rows for place, _ in row.tried))
    apart = len(places) <= MOST_PLACES
    heads = (
        Column("season", soft=True),
        *(Column(place, soft=True) for place in (places if apart else ["tried"])),
        Column("first task", whole=True),
        Column("planted", soft=True),
        Column("chance"),
        Column("loads", right=True),
        Column("bench", right=True),
    )
    cells = []
    for row in rows:
        tried, result = dict(row.tried), row.result
        cells.append(
            (
                _named(row),
                *([tried.get(place, "") for place in places] if apart else [_tried(row)]),
                str(result.first_task or result.verdict),
                result.plantings,
                "" if result.chance is None else measures.chance(result.chance),
                "" if result.loads is None else str(result.loads),
                "" if result.bench_hours is None else f"{result.bench_hours:.0f} h",
            )
        )
    return table(heads, cells, width)


def _named(row: Row) -> str:
    """The folder; nothing where only one season was asked for."""
    return "" if row.folder == "." else row.folder


def _tried(row: Row) -> str:
    return ", ".join(f"{place} {value}" for place, value in row.tried)


def troubles(rows: Sequence[Row], most: int, width: int) -> Lines:
    """Why the first so many seasons have no plan, or none that is kept, and what would help."""
    lines: Lines = []
    for row in rows[:most]:
        named = ", ".join(filter(None, (_named(row), _tried(row)))) or row.season or "the season"
        lines += paragraph(f"{named}: {row.result.verdict}", width)
        lines += paragraph(row.result.reason, width, indent=4)
        if row.result.way_out:
            lines += paragraph(f"A way out: {row.result.way_out}", width, indent=4)
    if len(rows) > most:
        lines += paragraph(f"... and {len(rows) - most} more, in the table.", width)
    return lines
