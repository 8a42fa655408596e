"""The command that begins a season: it asks, or takes answers as flags, or copies an example."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.parts import Today, clock, console, day
from scheduler.errors import Fault, UsageError

if TYPE_CHECKING:
    from scheduler.season.wrong import Wrong

Answer = str | None


def _flag(words: str) -> typer.models.OptionInfo:
    option: typer.models.OptionInfo = typer.Option(help=words, show_default=False)
    return option


def new(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="The season folder to make.")],
    source: Annotated[
        str | None,
        typer.Option("--from", metavar="EXAMPLE", help="Copy an example by its name, or any season."),
    ] = None,
    yes: Annotated[bool, typer.Option("--yes", help="Ask nothing: flags and defaults.")] = False,
    name: Annotated[Answer, _flag("Name of the season.")] = None,
    units: Annotated[Answer, _flag("metric or imperial.")] = None,
    species: Annotated[Answer, _flag("What to grow: shiitake, wine cap ...")] = None,
    method: Annotated[Answer, _flag("How: drilled logs, totem, chip bed ...")] = None,
    wood: Annotated[Answer, _flag("On which wood.")] = None,
    amount: Annotated[Answer, _flag("How much: '10 logs, 12 cm x 1 m', '4 m2'.")] = None,
    where: Annotated[Answer, _flag("Latitude (44.6, -41.3) or climate ('cold winters').")] = None,
    leaf_turn: Annotated[Answer, _flag("Day on which the leaves turn.")] = None,
    bud_swell: Annotated[Answer, _flag("Day on which the buds swell.")] = None,
    ground_thaws: Annotated[Answer, _flag("Day on which the ground thaws.")] = None,
    last_frost: Annotated[Answer, _flag("Day of the last frost.")] = None,
    window: Annotated[Answer, _flag("Planting days, first/last.")] = None,
    hours: Annotated[Answer, _flag("Free days and hours: 'wed 1.5, sat 6'.")] = None,
    jars: Annotated[Answer, _flag("Quart jars in a load of the cooker; 0 for no cooker.")] = None,
    bags: Annotated[Answer, _flag("Bags of 2.3 kg in a load.")] = None,
    shelf: Annotated[Answer, _flag("Shelf: '150 L at 20 C'.")] = None,
    fridge: Annotated[Answer, _flag("Fridge or cellar: '60 L at 4 C'.")] = None,
    today: Today = None,
) -> None:
    """Begin a season: write a season file from a dozen answers, each with a default.

    Without a terminal, or with --yes, nothing is asked. Nothing is ever overwritten.
    """
    from scheduler.service import starting

    given = {key: value for key, value in locals().items() if key in starting.KEYS and value is not None}
    if source is not None and given:
        flags = ", ".join(f"--{key.replace('_', '-')}" for key in given)
        raise UsageError(Fault("budswell new", f"--from together with {flags}", "one or the other"))
    told = clock(folder)
    on = day(today) or told.today
    file = starting.place_for(folder)
    season_id = _new_id()
    if source is not None:
        begun = starting.begin_from(file, source, clock=told, today=on, season_id=season_id)
    else:
        asks = not yes and sys.stdin.isatty()
        if asks:
            typer.echo("A dozen questions; Enter takes what stands in brackets, Ctrl-C writes nothing.\n")
        begun = starting.begin(file, given, _ask if asks else None, clock=told, today=on, season_id=season_id)
    from scheduler.present.begun import show_begun

    show_begun(
        begun.name,
        str(begun.path),
        shlex.quote(str(folder)),
        [(key.replace("_", " "), value) for key, value in begun.unsaid],
        begun.years,
        begun.along,
        console(sys.stdout),
    )


def _new_id() -> str:
    import uuid

    return str(uuid.uuid4())


def _ask(words: str, default: str, wrong: Wrong | None) -> str:
    if wrong is not None:
        hint = f"; {wrong.hint}" if wrong.hint else ""
        typer.echo(f"  {wrong.found}: not that. Allowed: {wrong.allowed}{hint}")
    try:
        typer.echo(f"{words} [{default}]: ", nl=False)
        line = sys.stdin.readline()
    except KeyboardInterrupt:
        line = ""
    if not line:
        typer.echo("\nNothing was written.", err=True)
        raise typer.Exit(130)
    return line.strip()
