"""The command that puts a season on paper."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Annotated

import typer

from scheduler.cli import drawing
from scheduler.cli.parts import SeasonPath, Today, clock, day
from scheduler.errors import Fault, UsageError

KINDS = ("pdf", "html")
LEAST_MM = 5
MM = {"": 1.0, "mm": 1.0, "cm": 10.0, "in": 25.4}
_PAIR = re.compile(r"\s*(\d+(?:\.\d+)?)\s*[x×]\s*(\d+(?:\.\d+)?)\s*(mm|cm|in)?\s*")


def sheets(
    season: SeasonPath,
    output: Annotated[
        list[Path] | None,
        typer.Option("--output", "-o", metavar="FILE", help="A .pdf or .html file; may be given twice."),
    ] = None,
    bench: Annotated[bool, typer.Option("--bench", help="A sheet for each day in the lab.")] = False,
    yard: Annotated[bool, typer.Option("--yard", help="A sheet for each day outdoors.")] = False,
    labels: Annotated[bool, typer.Option("--labels", help="A label for each unit that is made.")] = False,
    poster: Annotated[bool, typer.Option("--poster", help="The timeline on one page.")] = False,
    days: Annotated[
        list[str] | None, typer.Option("--day", metavar="DATE", help="Only this day; may be repeated.")
    ] = None,
    since: Annotated[
        str | None, typer.Option(metavar="DATE", help="From this day on; today, if left out.")
    ] = None,
    until: Annotated[str | None, typer.Option(metavar="DATE", help="Up to this day.")] = None,
    batches: Annotated[
        list[str] | None,
        typer.Option("--batch", metavar="ID", help="Labels of this batch only; may be repeated."),
    ] = None,
    paper: Annotated[str | None, typer.Option(metavar="NAME", help="A4, A3, letter or tabloid.")] = None,
    label: Annotated[
        str | None,
        typer.Option(metavar="NAME|WxH", help="Sheet of labels, 'A4 24', or a label's size in mm."),
    ] = None,
    grid: Annotated[str | None, typer.Option(metavar="CxR", help="Columns and rows of own labels.")] = None,
    gap: Annotated[str | None, typer.Option(metavar="XxY", help="Room between own labels, in mm.")] = None,
    margin: Annotated[
        str | None, typer.Option(metavar="XxY", help="Left of the first label and above it, in mm.")
    ] = None,
    start: Annotated[
        int, typer.Option(metavar="N", min=1, max=10_000, help="First free label of a part-used sheet.")
    ] = 1,
    outline: Annotated[bool, typer.Option("--outline", help="Print the borders of labels.")] = False,
    address: Annotated[
        str, typer.Option(metavar="URL", help="Codes lead to the batch's page at this address.")
    ] = "",
    today: Today = None,
) -> None:
    """Put the kept plan on paper: bench and yard sheets, labels, the timeline as a poster.

    Where no kind is named it is the sheets of the bench and of the yard, from today on. Labels of own size:
    --label 60x30 --gap 2x0 takes as many as the paper has room for.
    """
    from scheduler.service import sheets as on_paper

    kinds = _kinds(output or [])
    places = list(zip(output or [], kinds, strict=True))
    drawing.require_places(season, places)
    from scheduler.present.sheets import document
    from scheduler.service.under_way import under_way

    document.require_libraries("--output", kinds)
    asked = on_paper.Asked(
        bench=bench,
        yard=yard,
        labels=labels,
        poster=poster,
        days=tuple(found for text in days or [] if (found := day(text, "--day"))),
        since=day(since, "--since"),
        until=day(until, "--until"),
        batches=tuple(batches or []),
        paper=paper,
    )
    size = _pair(label, "--label") if label and _PAIR.fullmatch(label) else None
    sticky = on_paper.Sticky(
        name=None if size else label,
        size=size,
        grid=_counts(grid),
        gap=_pair(gap, "--gap") if gap else (0.0, 0.0),
        margin=_pair(margin, "--margin") if margin else None,
        start=start,
        outline=outline,
        address=_address(address),
    )
    if size and min(size) < LEAST_MM:
        raise UsageError(Fault("--label", f'"{label}"', f"a label of {LEAST_MM} mm or more each way"))
    if size is None and (grid or gap):
        raise UsageError(
            Fault("--grid" if grid else "--gap", "no size of a label is given", "--label WxH with it")
        )
    state = under_way(season, clock(season).today, day(today))
    made = on_paper.sheets(state, asked, sticky)
    page = document.html(made)
    written = [(path, document.pdf(page) if kind == "pdf" else page.encode()) for path, kind in places]
    from scheduler.present.files import write_atomically

    for path, data in written:
        write_atomically(path, data)
        typer.echo(f"{path}: {document.counted(made)} of plan {state.plan.plan_no}.")


def _kinds(output: list[Path]) -> list[str]:
    if not output:
        raise UsageError(
            Fault("budswell sheets", "Missing option '--output'.", "a .pdf or .html file", "-o sheets.pdf")
        )
    kinds: list[str] = []
    for path in output:
        ends = path.suffix.lower()
        if ends not in (".pdf", ".html", ".htm"):
            allowed = "a name that ends in .pdf or .html"
            raise UsageError(Fault("--output", f'"{path}" does not say which kind', allowed, f"{path}.pdf"))
        kinds.append("pdf" if ends == ".pdf" else "html")
    return kinds


def _pair(text: str, option: str) -> tuple[float, float]:
    """Two lengths in millimetres, as they are typed: ``63.5x38.1``, ``2.5x1 in``."""
    found = _PAIR.fullmatch(text)
    if not found:
        raise UsageError(
            Fault(option, f'"{text}"', "two lengths in mm, across and down", f"{option} 63.5x38.1")
        )
    unit = MM[found[3] or ""]
    return float(found[1]) * unit, float(found[2]) * unit


def _counts(text: str | None) -> tuple[int, int] | None:
    if text is None:
        return None
    found = re.fullmatch(r"\s*(\d{1,3})\s*[x×]\s*(\d{1,3})\s*", text)
    if not found or "0" in (found[1], found[2]):
        raise UsageError(Fault("--grid", f'"{text}"', "columns and rows", "--grid 3x8"))
    return int(found[1]), int(found[2])


def _address(text: str) -> str:
    if text and not re.fullmatch(r"https?://[^\s/]+(/\S*)?", text):
        raise UsageError(Fault("--address", f'"{text}" is no address', "http://host or https://host"))
    return text
