"""The command line: reads arguments, calls a use case, prints. The only place with a clock."""

from __future__ import annotations

import gc
import os
import signal
import sys
from datetime import date, datetime
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn, TextIO, cast

import typer

from scheduler.errors import BudswellError, Fault, NoPlan, UsageError

INTERRUPTED = 130
"""Exit code after Ctrl-C, as typer gives it."""

if TYPE_CHECKING:
    from rich.console import Console

    from scheduler.plan import Plan
    from scheduler.season.season import Season
    from scheduler.service.seasons import Clock
    from scheduler.trade.catalogue import Catalogue

app = typer.Typer(
    name="budswell",
    help="Plans spawn production for outdoor mushroom plantings, back from the day of planting.",
    invoke_without_command=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

SeasonPath = Annotated[Path, typer.Argument(metavar="SEASON", help="A season folder, or its .toml file.")]
Today = Annotated[
    str | None, typer.Option("--today", metavar="DATE", help="Plan as if it were this day (YYYY-MM-DD).")
]


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


@app.command()
def plan(
    season: SeasonPath,
    as_json: Annotated[bool, typer.Option("--json", help="Print the plan as JSON.")] = False,
    today: Today = None,
    keep: Annotated[bool, typer.Option(help="Keep the plan in the season's book.")] = True,
) -> None:
    """Plan a season, and keep the plan in the season's book.

    The plan says what to start when, how much of it, and with which spares; the answer comes first. A long
    one is best read in a pager: budswell plan SEASON | less
    """
    from scheduler.present.progress import progress

    read, catalogue = _season(season, today)
    from scheduler.service import planning  # after the season: a faulty file never waits for the solver

    try:
        with progress(_console(sys.stderr)) as watch:
            if keep:
                made = planning.plan_and_keep(read, catalogue, kept_at=_now(), watch=watch)
            else:
                made = planning.plan_season(read, catalogue, watch)
    except NoPlan as refused:
        if as_json:
            _print_json(cast("Plan", refused.refusal))
            raise typer.Exit(refused.exit_code) from None
        raise
    if as_json:
        _print_json(made)
    else:
        from scheduler.present.terminal import show_plan

        show_plan(made, _console(sys.stdout))


@app.command()
def check(season: SeasonPath, today: Today = None) -> None:
    """Check a season file and name every fault at once.

    Each with its line, what was found, what is allowed and a likely fix; then warnings and defaults taken.
    """
    from scheduler.present.checks import show_check
    from scheduler.service import seasons

    read = seasons.check(season, _clock(), _date(today))
    show_check(read.name, read.warnings, read.assumed, _console(sys.stdout))


@app.command()
def calendar(
    season: SeasonPath,
    output: Annotated[Path, typer.Option("--output", "-o", metavar="FILE", help="The .ics file to write.")],
    today: Today = None,
) -> None:
    """Write the kept plan as an iCalendar file.

    Where none is kept, or the season has changed since, it is planned first.
    """
    from scheduler.measures import counted
    from scheduler.present.calendar import calendar as as_calendar
    from scheduler.present.files import require_place, write_atomically
    from scheduler.present.progress import progress

    read, catalogue = _season(season, today)
    require_place(output, keep=_own_files(read))  # before a plan that may take its time
    from scheduler.service import planning

    with progress(_console(sys.stderr)) as watch:
        made = planning.plan_for_views(read, catalogue, kept_at=_now(), watch=watch)
    write_atomically(output, as_calendar(made))
    tasks, orders = counted(len(made.tasks), "task"), counted(len(made.orders), "order")
    typer.echo(f"{output}: {tasks} and {orders} of plan {made.plan_no}.")
    if made.status == "stopped":
        from scheduler.present.faults import show_stopped

        show_stopped(_console(sys.stderr))


@app.command()
def profiles(
    name: Annotated[
        str | None, typer.Argument(metavar="NAME", help="A species, method, wood, container, or lab.")
    ] = None,
) -> None:
    """List the catalogue, or show one entry's figures.

    Every figure comes with its basis and source.
    """
    from scheduler.present.profiles import show_catalogue, show_figures
    from scheduler.service import views

    if name is None:
        show_catalogue(views.catalogue_rows(), _console(sys.stdout))
    else:
        title, rows = views.figure_rows(name)
        show_figures(title, rows, _console(sys.stdout))


@app.command()
def schema(
    document: Annotated[
        str, typer.Argument(metavar="DOCUMENT", help="Which document: plan.", show_default=False)
    ] = "plan",
) -> None:
    """Print the JSON Schema of the plan's JSON."""
    if document != "plan":
        raise UsageError(
            Fault("budswell schema", f'no document called "{document}"', "plan", "budswell schema plan")
        )
    import json

    from scheduler.document import schema as plan_schema

    typer.echo(json.dumps(plan_schema(), indent=2))


def _season(path: Path, today: str | None) -> tuple[Season, Catalogue]:
    from scheduler.service import seasons

    season, catalogue = seasons.read(path, _clock(), _date(today))
    return seasons.with_kept_id(season), catalogue


def _own_files(season: Season) -> tuple[Path, Path]:
    """What a season cannot do without."""
    from scheduler.book.store import book_path

    return season.path, book_path(season.path)


def _date(text: str | None) -> date | None:
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise UsageError(
            Fault("--today", f'"{text}"', "a date as YYYY-MM-DD", "--today 2027-02-01")
        ) from None


def _clock() -> Clock:
    from scheduler.service.seasons import Clock

    return Clock(datetime.now().astimezone().date(), _system_timezone())


def _system_timezone() -> str:
    """The IANA name of this machine's time zone; UTC where the machine does not say."""
    named = os.environ.get("TZ", "").lstrip(":")
    if named:
        return named
    link = Path("/etc/localtime")
    if link.is_symlink():
        parts = link.resolve().parts
        if "zoneinfo" in parts:
            return "/".join(parts[parts.index("zoneinfo") + 1 :])
    return "UTC"


def _now() -> str:
    return datetime.now().astimezone().isoformat(timespec="seconds")


def _print_json(plan: Plan) -> None:
    """A document is the same bytes everywhere, whatever the letters of this terminal."""
    from scheduler.document import to_json

    typer.echo(to_json(plan).encode(), nl=False)


def _console(stream: TextIO) -> Console:
    """A page as wide as the terminal, or as COLUMNS says; a pipe has room for a little more than usual."""
    from rich.console import Console

    told = stream.isatty() or "COLUMNS" in os.environ
    return Console(file=stream, highlight=False, width=None if told else 100)


def main() -> NoReturn:
    """Run the command line; every error is one clear block on stderr and an exit code."""
    gc.disable()  # a command lives for seconds: looking for cycles costs it a quarter of that
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # nor does it look for what it has none of
    if hasattr(signal, "SIGPIPE"):
        # A reader that has seen enough (a pager, `head`) ends a command without a word.
        signal.signal(signal.SIGPIPE, signal.SIG_DFL)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    try:
        code: int = app(prog_name="budswell", standalone_mode=False) or 0
        sys.stdout.flush()
    except BudswellError as error:
        code = _failed(error)
    except typer.TyperException as wrong:
        code = _failed(_wrong_call(wrong))
    except OSError as error:
        # Nothing can be written any more, also not what Python would still write at its end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        fault = Fault("the output", f"it cannot be written: {error.strerror}", "a place that takes it")
        code = _failed(UsageError(fault))
    if code == INTERRUPTED:
        typer.echo("Stopped before it was done.", err=True)
    sys.exit(code)


def _failed(error: BudswellError) -> int:
    """Shows an error; a refusal is an answer, so it goes where the plan would have gone."""
    from scheduler.present.faults import show_error

    show_error(error, _console(sys.stdout if isinstance(error, NoPlan) else sys.stderr))
    return error.exit_code


def _wrong_call(wrong: typer.TyperException) -> UsageError:
    """What typer has found wrong with a call, as a fault like all others."""
    context: typer.Context | None = getattr(wrong, "ctx", None)
    command, usage = "budswell", "budswell COMMAND"
    if context is not None:
        command, usage = context.command_path, context.get_usage().removeprefix("Usage: ")
    return UsageError(Fault(command, wrong.format_message(), usage, f"{command} --help"))


if __name__ == "__main__":
    main()
