"""The command that plans many seasons: a club's, or one over a grid of what is tried with it."""

from __future__ import annotations

import gc
import sys
import tomllib
from collections.abc import Iterator, Mapping
from contextlib import AbstractContextManager, nullcontext
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.parts import Today, clock, console, day, now, processes_of
from scheduler.errors import Fault, UsageError

if TYPE_CHECKING:
    from scheduler.season.what_if import Choice
    from scheduler.service.spreading import Crew

PLACES = {
    "--start-dates": "[season].no_work_before",
    "--certainty": "[season].certainty",
    "--shelf": "[lab.shelf].volume",
    "--fridge": "[lab.fridge].volume",
}
"""Options that are short for a grid, and the place of the season file that each tries values at."""
BEFORE = ".planned"
"""What the file beside the table ends in, in which is kept what was planned."""
HINT = "for example [season] and below it certainty = [0.8, 0.9]"


def plan_many(
    place: Annotated[
        Path, typer.Argument(metavar="DIR", help="A folder with season folders in it, or one season.")
    ],
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", metavar="FILE", help="The table, as FILE.csv or FILE.parquet."),
    ] = None,
    start_dates: Annotated[
        str | None, typer.Option(metavar="DAYS", help="Try to begin on these days: 2027-01-09,2027-01-23")
    ] = None,
    certainty: Annotated[
        str | None, typer.Option(metavar="SHARES", help="Try to be so sure: 0.8,0.9,0.95")
    ] = None,
    shelf: Annotated[
        str | None, typer.Option(metavar="VOLUMES", help="Try a shelf of these: '100 L,150 L'")
    ] = None,
    fridge: Annotated[
        str | None, typer.Option(metavar="VOLUMES", help="Try a fridge of these: '60 L,90 L'")
    ] = None,
    grid: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="Try what this file says: keys of a season file, each with a list."
        ),
    ] = None,
    jobs: Annotated[
        str | None, typer.Option(metavar="N", help="Processes side by side; as many as processors.")
    ] = None,
    cluster: Annotated[
        str | None, typer.Option(metavar="ADDRESS", help="Plan on the Dask cluster of this scheduler.")
    ] = None,
    keep: Annotated[bool, typer.Option("--keep", help="Keep each plan in the book of its season.")] = False,
    anew: Annotated[
        bool, typer.Option("--anew", help="Plan everything, also what was planned before.")
    ] = False,
    today: Today = None,
) -> None:
    """Plan every season of a folder, or one in many variants, into one table.

    A season that cannot be planned is a row with the reason, and stops no other. With -o a run that was
    stopped goes on where it was: run the same again. Season folders are not changed without --keep.
    """
    options = {"--start-dates": start_dates, "--certainty": certainty, "--shelf": shelf, "--fridge": fridge}
    choices = (*_options(options), *_grid(grid))
    if keep and choices:
        found = "plans of what is only tried, for a book"
        raise UsageError(Fault("--keep", found, "seasons as they stand in their files", "leave --keep out"))
    if cluster is not None and jobs is not None:
        allowed = "one of them: a cluster has the workers that were started for it"
        raise UsageError(Fault(f"--jobs {jobs}", "also --cluster", allowed, "leave --jobs out"))
    processes, told_today, at = processes_of(jobs), day(today), datetime.now(UTC)
    if output is not None:
        _require_places(output, place)
    from scheduler.book.results import Results
    from scheduler.present.many import show_many
    from scheduler.present.progress import counting
    from scheduler.service.planning_many import Asked
    from scheduler.service.planning_many import plan_many as planned

    gc.enable()  # it lives longer than other commands
    before = output.with_suffix(BEFORE) if output else None
    try:
        with counting(console(sys.stderr), "planning seasons") as told, _crew(cluster, processes) as crew:
            asked = Asked(
                place,
                lambda file: clock(file, at),
                told_today,
                choices,
                kept_at=now() if keep else None,
                before=lambda: Results.open(before, anew) if before else nullcontext(),
                told=told,
            )
            table = planned(asked, crew)
    except KeyboardInterrupt:
        if before:
            typer.echo(f"What was planned is kept in {before}: run the same again to go on.", err=True)
        raise
    if output is not None:
        from scheduler.present.files import write_atomically
        from scheduler.present.table_files import table_file

        write_atomically(output, table_file(table.rows, output))
    show_many(table, output, before, console(sys.stdout))
    if any(row.result.reason for row in table.rows):
        raise typer.Exit(1)


def _crew(cluster: str | None, processes: int) -> AbstractContextManager[Crew]:
    if cluster is not None:
        from scheduler.service.cluster import workers

        return workers(cluster)
    from scheduler.service.processes import Processes

    return Processes(processes)


def _options(options: Mapping[str, str | None]) -> Iterator[Choice]:
    """What is tried by the options of the call."""
    from scheduler.season.what_if import from_text

    for option, text in options.items():
        if text is not None:
            yield from_text(option, PLACES[option], text)


def _grid(path: Path | None) -> tuple[Choice, ...]:
    """What is tried by a grid file. UsageError where it cannot be read, or is none."""
    from scheduler.season.what_if import from_toml

    if path is None:
        return ()
    try:
        return from_toml(tomllib.loads(path.read_text(encoding="utf-8-sig")), str(path))
    except OSError as error:
        found = f"it cannot be read: {error.strerror}"
    except ValueError as error:
        found = str(error)
    raise UsageError(Fault(f"--grid {path}", found, "a file in TOML, written as a season file is", HINT))


def _require_places(output: Path, place: Path) -> None:
    """UsageError where the table, or what is kept beside it, cannot be written, or lies over a season."""
    from scheduler.present.files import require_place
    from scheduler.present.table_files import require_kind
    from scheduler.season.place import weather_file
    from scheduler.service.planning_many import season_files

    require_kind(output)
    weather = map(weather_file, season_files(place)) if output.exists() else ()
    require_place(output, keep=filter(None, weather), suffix=f".table{output.suffix}")
    require_place(output.with_suffix(BEFORE))
