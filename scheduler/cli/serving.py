"""The command that serves a season's calendars until it is stopped."""

from __future__ import annotations

import gc
import shlex
import sys
from typing import Annotated

import typer

from scheduler.cli.parts import SeasonPath, Today, clock, console, day, when
from scheduler.errors import Fault, UsageError

HOST = "127.0.0.1"
"""Where nothing is said: only programs on the same machine reach it."""
PORT = 8427


def serve(
    season: SeasonPath,
    feed: Annotated[
        bool, typer.Option("--feed", help="Serve calendars that programs subscribe to by an address.")
    ] = False,
    host: Annotated[str, typer.Option(metavar="ADDRESS", help="Where to listen; 0.0.0.0: all.")] = HOST,
    port: Annotated[int, typer.Option(metavar="N", min=0, max=65535, help="0: any that is free.")] = PORT,
    new_token: Annotated[
        bool, typer.Option("--new-token", help="Make new secret addresses; the old ones lead nowhere.")
    ] = False,
    alarm: Annotated[
        str | None,
        typer.Option(metavar="WHEN", help="'evening before', 'morning' or '2 h before' (min, h, d)."),
    ] = None,
    today: Today = None,
) -> None:
    """Serve the calendars of the kept plan until Ctrl-C, at secret addresses.

    What was recorded or planned anew meanwhile is in them at the next call. Where the season cannot be
    read, they stay as they were.
    """
    from scheduler.present.alarms import alarm as read_alarm
    from scheduler.web.server import listening, reaches_others, require_library, run

    call = f"budswell serve --feed {shlex.quote(str(season))}"
    if not feed:
        raise UsageError(Fault("budswell serve", "nothing is said to be served", "--feed", call))
    rings = read_alarm(alarm) if alarm is not None else None
    told = day(today)
    require_library("budswell serve")
    from scheduler.present.served import show_served
    from scheduler.season.place import season_file
    from scheduler.season.season import Season
    from scheduler.service import seasons
    from scheduler.service.feed import Feed, kept_plan, key, key_path
    from scheduler.web.feed import app

    def read() -> Season:
        return seasons.with_kept_id(seasons.read(season, clock(season), told)[0])

    kept_plan(read())
    with listening(host, port) as listener:
        secret = key(key_path(season_file(season)), new_token)
        found = Feed(
            season_file(season),
            read,
            lambda plan: when(season, told, plan),
            lambda words: typer.echo(words, err=True),
            rings,
        )
        show_served(
            found.plan,
            found.names(),
            _base(host, listener.getsockname()[1]),
            # What is no terminal is kept, perhaps, and an address is a secret.
            secret if sys.stdout.isatty() else None,
            key_path(season_file(season)),
            reaches_others(host),
            call,
            console(sys.stdout),
        )
        sys.stdout.flush()
        gc.enable()  # it lives longer than other commands
        try:
            run(app(found), listener)
        except KeyboardInterrupt:
            typer.echo("Stopped; calendars keep what they have.")


def _base(host: str, port: int) -> str:
    """The address as it is typed elsewhere: of all addresses of a machine its name is the one to type."""
    import socket

    name = socket.gethostname() if host in ("0.0.0.0", "::") else host
    return f"http://{f'[{name}]' if ':' in name else name}:{port}"
