"""The commands of `budswell`, and what is said without one."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

import typer

from scheduler.cli import ahead, beginning, buying, calendars, many, paper, planned, serving, under_way, yard

app = typer.Typer(
    name="budswell",
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


COMMANDS: tuple[Callable[..., None], ...] = (
    beginning.new,
    planned.plan,
    many.plan_many,
    planned.check,
    calendars.calendar,
    serving.serve,
    ahead.outlook,
    ahead.rehearse,
    buying.shopping,
    paper.sheets,
    under_way.record,
    under_way.replan,
    under_way.today,
    under_way.show,
    under_way.learn,
    yard.moisture,
    planned.profiles,
    planned.schema,
)

for command in COMMANDS:
    app.command()(command)
app.add_typer(under_way.book, name="book")
