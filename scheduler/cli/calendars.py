"""The command that writes calendar files."""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli import pushing
from scheduler.cli.parts import SeasonPath, Today, console, day, now, when
from scheduler.cli.planned import season_to_plan
from scheduler.errors import Fault, UsageError

if TYPE_CHECKING:
    from scheduler.plan import Plan
    from scheduler.service.calendars import Wishes, Written


def calendar(
    season: SeasonPath,
    output: Annotated[
        Path | None, typer.Option("--output", "-o", metavar="FILE", help="The .ics file of events.")
    ] = None,
    todos: Annotated[Path | None, typer.Option(metavar="FILE", help="An .ics file of to-dos.")] = None,
    split: Annotated[
        Path | None, typer.Option(metavar="DIR", help="A folder for one file of events per category.")
    ] = None,
    helpers: Annotated[
        Path | None, typer.Option(metavar="FILE", help="An .ics file of the planting days, for helpers.")
    ] = None,
    alarm: Annotated[
        str | None,
        typer.Option(metavar="WHEN", help="'evening before', 'morning' or '2 h before' (min, h, d)."),
    ] = None,
    once: Annotated[
        bool, typer.Option("--once", help="For importing once: what left the plan is cancelled.")
    ] = False,
    adopt: Annotated[
        list[Path] | None,
        typer.Option(metavar="FILE", help="Last exported file, where the book has lost its numbers."),
    ] = None,
    renumber: Annotated[
        bool, typer.Option("--renumber", help="Where that file is lost too: number above all before.")
    ] = False,
    push: Annotated[
        str | None, typer.Option(metavar="URL", help="Put the events on a CalDAV calendar.")
    ] = None,
    push_todos: Annotated[
        str | None, typer.Option(metavar="URL", help="Put the to-dos on a CalDAV calendar of their own.")
    ] = None,
    pull: Annotated[
        str | None, typer.Option(metavar="URL", help="Record what was ticked off on a CalDAV calendar.")
    ] = None,
    user: Annotated[str, typer.Option(metavar="NAME", help="Who you are to the server.")] = "",
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Only say what push or pull would do.")] = False,
    plain_http: Annotated[
        bool, typer.Option("--plain-http", help="Send the password openly, in a network you trust.")
    ] = False,
    today: Today = None,
) -> None:
    """Write the kept plan as iCalendar files, or put it on a server: events, to-dos, a file per category.

    Where none is kept, the season has changed since, or work of it is late, it is planned first. A file
    written again updates calendars that subscribe to it: what is the same stays the same to the last byte.
    """
    from scheduler.present.alarms import alarm as read_alarm
    from scheduler.present.progress import progress
    from scheduler.service import calendars
    from scheduler.service.own_files import own_files

    rings = read_alarm(alarm) if alarm is not None else None
    # Also where a day is told: it may lie before what was written last.
    at_least = int(datetime.now(UTC).timestamp()) if renumber else 0
    wishes = calendars.Wishes(output, todos, split, helpers, tuple(adopt or ()), rings, once, at_least)
    server = pushing.Server(push, push_todos, pull, user, dry_run, plain_http)
    server.require_usable()
    _require_one_thing(season, wishes, server)
    if pull:
        pushing.pull(server, season, day(today))
        return
    read, catalogue = season_to_plan(season, today)
    # Before a plan that may take its time.
    wishes.require_places(own_files(season))
    calendars.require_ours(read, wishes.adopt)
    from scheduler.service import planning

    with progress(console(sys.stderr)) as watch:
        made = planning.plan_for_views(read, catalogue, kept_at=now(), watch=watch, keep=not dry_run)
    if server.is_meant():
        pushing.push(server, read, made, rings, day(today))
        return
    outcome = calendars.write(read, made, wishes, when(season, day(today), made))
    for path, entries in outcome.adopted:
        typer.echo(f"{path}: {entries} entries taken up into the book.")
    for one in outcome.written:
        typer.echo(_told(one, made))
    if made.status == "stopped":
        from scheduler.present.faults import show_stopped

        show_stopped(console(sys.stderr))


def _require_one_thing(season: Path, wishes: Wishes, server: pushing.Server) -> None:
    """UsageError where a call asks for nothing, for too much at once, or for what does not go together."""
    numbers = "--once" if wishes.once else "--renumber" if wishes.at_least else ""
    pushes = server.events or server.todos
    if server.is_meant() and (wishes.places() or wishes.adopt or numbers or (server.pull and pushes)):
        allowed = "files, or --push and --push-todos, or --pull: one of the three"
        raise UsageError(Fault("budswell calendar", "too much at once", allowed, "call it twice"))
    if server.dry and not server.is_meant():
        raise UsageError(
            Fault("--dry-run", "nothing is pushed or pulled", "--push, --push-todos or --pull with it")
        )
    if wishes.adopt and not wishes.places() and numbers:
        raise UsageError(Fault(numbers, "no file is written", "a file to write", "-o FILE with it"))
    if not wishes.places() and not wishes.adopt and not server.is_meant():
        missing = "Missing option '--output', '--todos', '--split', '--helpers' or '--adopt'."
        hint = f"budswell calendar {season} -o season.ics"
        raise UsageError(Fault("budswell calendar", missing, "at least one file", hint))


def _told(one: Written, plan: Plan) -> str:
    from scheduler.measures import counted

    if one.sheet == "helpers":
        from scheduler.present import helpers_calendar

        held = helpers_calendar.counted(plan)
    else:
        what = "to-do" if one.sheet == "to-dos" else "task"
        held = " and ".join(counted(n, word) for n, word in ((one.tasks, what), (one.orders, "order")) if n)
    parts = ((one.new, "new"), (one.changed, "changed"), (one.gone, "gone"))
    news = ", ".join(f"{count} {word}" for count, word in parts if count)
    return f"{one.path}: {held or 'nothing'}{f' ({news})' if news else ''} of plan {plan.plan_no}."
