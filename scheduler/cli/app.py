"""The commands of `budswell`, and what is said without one."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

import typer

from scheduler.cli import ahead, beginning, buying, calendars, many, paper, planned, serving, under_way, yard
from scheduler.cli.commands import group

COMMANDS: dict[str, Callable[..., None] | typer.Typer] = {
    "new": beginning.new,
    "plan": planned.plan,
    "plan-many": many.plan_many,
    "check": planned.check,
    "calendar": calendars.calendar,
    "serve": serving.serve,
    "outlook": ahead.outlook,
    "rehearse": ahead.rehearse,
    "shopping": buying.shopping,
    "sheets": paper.sheets,
    "record": under_way.record,
    "replan": under_way.replan,
    "today": under_way.today,
    "show": under_way.show,
    "learn": under_way.learn,
    "moisture": yard.moisture,
    "profiles": planned.profiles,
    "schema": planned.schema,
    "book": under_way.book,
}

app = typer.Typer(
    name="budswell",
    cls=group(COMMANDS),
    help="Plans spawn production for outdoor mushroom plantings, back from the day of planting.",
    invoke_without_command=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


def _version(asked: bool) -> None:
    if asked:
        from scheduler import __version__

        typer.echo(f"budswell {__version__}")
        raise typer.Exit


@app.callback()
def budswell(
    context: typer.Context,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and stop.")
    ] = False,
) -> None:
    """Plans spawn production for outdoor mushroom plantings, back from the day of planting."""
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())
