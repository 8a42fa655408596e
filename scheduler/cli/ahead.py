"""The commands that look ahead: the outlook, and the rehearsal of every loss."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from scheduler.chances import USUAL_SEASONS, USUAL_SEED
from scheduler.cli import drawing
from scheduler.cli.parts import (
    SeasonPath,
    Today,
    clock,
    console,
    day,
    now,
    print_json,
    processes_of,
    whole,
)

SEASONS = str(USUAL_SEASONS)
FEWEST, MOST = 100, 1_000_000
SEED = str(USUAL_SEED)
LAST_SEED = 2**63 - 1


def outlook(
    season: SeasonPath,
    seasons: Annotated[str, typer.Option(metavar="N", help="How many seasons are played.")] = SEASONS,
    seed: Annotated[
        str, typer.Option(metavar="N", help="Where the dice begin: the same seed, the same seasons.")
    ] = SEED,
    as_json: Annotated[bool, typer.Option("--json", help="Print the outlook as JSON.")] = False,
    svg: Annotated[
        Path | None, typer.Option("--svg", metavar="FILE", help="Also draw the starts into an SVG file.")
    ] = None,
    png: Annotated[
        Path | None, typer.Option("--png", metavar="FILE", help="Also draw the starts into a PNG file.")
    ] = None,
    today: Today = None,
) -> None:
    """Play the kept plan many times over: how likely is each planting, and how late may it all begin?

    Losses, slow growth, redo and waiting for a day with hours are played. Where no plan is kept, the season
    has changed since, or work of it is late, it is planned first.
    """
    from scheduler.present.progress import progress

    played = whole(seasons, "--seasons", FEWEST, MOST, SEASONS)
    dice = whole(seed, "--seed", 0, LAST_SEED, SEED)
    if svg or png:
        from scheduler.present.picture import require_library

        require_library("--svg" if svg else "--png")
    pictures = drawing.places(season, svg, png)  # before a plan that may take its time
    from scheduler.service import outlook as ahead

    asked = ahead.Asked(played, dice)
    with progress(console(sys.stderr)) as watch:
        found = ahead.outlook(season, clock(season), day(today), asked, kept_at=now(), watch=watch)
    if pictures:
        from scheduler.present.files import write_atomically
        from scheduler.present.picture import draw

        drawn = [(path, draw(found, kind)) for path, kind in pictures]
        for path, data in drawn:
            write_atomically(path, data)
    if as_json:
        print_json(found)
    else:
        from scheduler.present.outlook import show_outlook

        show_outlook(found, console(sys.stdout))


def rehearse(
    season: SeasonPath,
    pairs: Annotated[bool, typer.Option("--pairs", help="Also lose two batches at once.")] = False,
    late: Annotated[
        bool, typer.Option("--late", help="Each loss is seen only when the batch should be ready.")
    ] = False,
    jobs: Annotated[
        str | None,
        typer.Option(metavar="N", help="Processes that rehearse side by side; as many as processors."),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print the rehearsal as JSON.")] = False,
    today: Today = None,
) -> None:
    """Lose each batch in turn, on its check day, and replan: what would save the season?

    Everything before that day is taken to be done as planned. Nothing is recorded. Where no plan is kept, the
    season has changed since, or work of it is late, it is planned first.
    """
    from scheduler.present.progress import counting, progress
    from scheduler.service import processes, rehearsing

    many = processes_of(jobs)
    with counting(console(sys.stderr), "rehearsing losses") as told:
        asked = rehearsing.Asked(
            clock(season),
            day(today),
            pairs,
            late,
            lambda losses, heard: processes.each(rehearsing.play, losses, many, heard),
            told,
        )
        with progress(console(sys.stderr)) as watch:
            found = rehearsing.rehearse(season, asked, kept_at=now(), watch=watch)
    if as_json:
        print_json(found)
    else:
        from scheduler.present.rehearsal import show_rehearsal

        show_rehearsal(found, console(sys.stdout))
