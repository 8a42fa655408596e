"""What is said when a season file was written: where, what of it was assumed, and what to do next."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console

from scheduler.measures import counted
from scheduler.present.layout import Column, Lines, fold, paragraph, section, table, write

NEXT = (
    ("budswell check", "reads it again after a change; --explain says where each default comes from"),
    ("budswell plan", "says what to start when, and keeps the plan"),
    ("budswell calendar", "-o season.ics puts it into your calendar"),
    ("budswell shopping", "lists what to buy where, by when"),
)


def show_begun(
    season: str,
    file: str,
    folder: str,
    assumed: Sequence[tuple[str, str]],
    years: int,
    along: Sequence[str],
    console: Console,
) -> None:
    """Print that a season file was written, what nobody said, and the commands that come next.

    `folder` is what to type for the season; `years` by how many its days were moved when it was copied, and
    `along` the names of files that were copied with it.
    """
    width = console.width
    lines: Lines = [*fold(f"{season}: written to {file}", width)]
    if years:
        moved = f"Its days were moved by {counted(years, 'year')}, so that they lie ahead; look through them."
        lines += paragraph(moved, width)
    if along:
        lines += paragraph(f"Copied with it: {' and '.join(along)}.", width)
    body = table((Column(soft=True), Column(soft=True)), assumed, width)
    if body:
        body += paragraph("They are marked in the file: put in what is so at your place.", width)
    lines += section("Assumed", body, width)
    steps = [(_command(command, folder), does) for command, does in NEXT]
    lines += section("Next", table((Column(whole=True), Column(soft=True)), steps, width), width)
    write(lines, console)


def _command(command: str, folder: str) -> str:
    return f"{command} {folder}"
