"""The command that serves a season, its pages and its calendars, until it is stopped."""

from __future__ import annotations

import gc
import os
import shlex
import sys
from contextlib import ExitStack
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.parts import SeasonPath, Today, clock, clock_in, console, day, now, when
from scheduler.errors import Fault, UsageError
from scheduler.pipes import broken_pipe_is_an_error

if TYPE_CHECKING:
    from datetime import date
    from pathlib import Path

    from scheduler.service.desk import Desk
    from scheduler.service.feed import Feed
    from scheduler.web.door import Door

HOST = "127.0.0.1"
"""Where nothing is said: only programs on the same machine reach it."""
EVERY = "0.0.0.0"
PORT = 8427
PASSPHRASE = "BUDSWELL_PASSPHRASE"
"""The variable that holds the passphrase, where nobody is there to type it."""


def serve(
    season: SeasonPath,
    feed: Annotated[
        bool, typer.Option("--feed", help="The calendars alone, at their secret addresses; no page.")
    ] = False,
    lan: Annotated[
        bool,
        typer.Option("--lan", help="Asks for a passphrase; opens to the network, or as --host says."),
    ] = False,
    host: Annotated[
        str | None, typer.Option(metavar="ADDRESS", help="Where to listen; 0.0.0.0: all.")
    ] = None,
    port: Annotated[int, typer.Option(metavar="N", min=0, max=65535, help="0: any that is free.")] = PORT,
    names: Annotated[
        list[str] | None,
        typer.Option("--name", metavar="NAME", help="One more name by which this machine is called."),
    ] = None,
    new_token: Annotated[
        bool, typer.Option("--new-token", help="Make new secret addresses; the old ones lead nowhere.")
    ] = False,
    alarm: Annotated[
        str | None,
        typer.Option(metavar="WHEN", help="'evening before', 'morning' or '2 h before' (min, h, d)."),
    ] = None,
    today: Today = None,
) -> None:
    """Serve the season as a local page until Ctrl-C, and its calendars at secret addresses.

    What was recorded or planned anew meanwhile is on it at the next call. Where the season cannot be
    read, the calendars stay as they were.
    """
    from scheduler.present.alarms import alarm as read_alarm
    from scheduler.web.server import listening, reaches_others, require_library, run

    call = f"budswell serve{' --feed' * feed} {shlex.quote(str(season))}"
    where = host or (EVERY if lan else HOST)
    is_open = reaches_others(where)
    if is_open and not feed and not lan:
        opened = f"--host {where} opens the page to other machines"
        raise UsageError(
            Fault("budswell serve", opened, "a page that asks for a passphrase", f"{call} --lan")
        )
    rings = read_alarm(alarm) if alarm is not None else None
    told = day(today)
    require_library("budswell serve", is_feed=feed)
    from scheduler.season.place import key_file, season_file
    from scheduler.season.season import Season
    from scheduler.service import seasons
    from scheduler.service.feed import Feed, kept_plan, key

    def read() -> Season:
        return seasons.with_kept_id(seasons.read(season, clock(season), told)[0])

    kept_plan(read())
    door = None if feed else _door(asks=lan)
    with listening(where, port) as listener, ExitStack() as at_the_end:
        # Who hangs up in the middle of an answer ends that answer, and not the server.
        at_the_end.enter_context(broken_pipe_is_an_error())
        secret = key(key_file(season), new_token)
        found = Feed(
            season_file(season),
            read,
            lambda plan: when(season, told, plan),
            lambda words: typer.echo(words, err=True),
            rings,
        )
        base = _base(where, listener.getsockname()[1])
        if door is None:
            from scheduler.present.served import show_served
            from scheduler.web import feed as calendars

            show_served(
                found.plan,
                found.names(),
                base,
                # What is no terminal is kept, perhaps, and an address is a secret.
                secret if sys.stdout.isatty() else None,
                key_file(season),
                is_open,
                call,
                console(sys.stdout),
            )
            served = calendars.app(found)
        else:
            from scheduler.present.served import show_page
            from scheduler.web import page

            desk = _desk(season, told, found, is_open, door.is_locked)
            at_the_end.callback(desk.close)
            show_page(found.plan, base, is_open, door.is_locked, console(sys.stdout))
            names_of_it = page.machine_names(where, names or (), is_open)
            cookie = f"budswell-{listener.getsockname()[1]}"
            served = page.app(desk, found, door, names_of_it, cookie)
        sys.stdout.flush()
        gc.enable()  # it lives longer than other commands
        try:
            run(served, listener)
        except KeyboardInterrupt:
            typer.echo("Stopped; calendars keep what they have.")


def _desk(season: Path, told: date | None, feed: Feed, is_open: bool, is_locked: bool) -> Desk:
    """The pages of a season, with the clock of this machine."""
    from scheduler.service.desk import Desk
    from scheduler.service.desk_forms import FORMS
    from scheduler.service.desk_pages import PAGES

    def say(words: str) -> None:
        typer.echo(words, err=True)

    return Desk(
        season,
        clock_in,
        told,
        now,
        feed,
        say,
        PAGES,
        FORMS,
        is_open=is_open,
        is_locked=is_locked,
    )


def _door(asks: bool) -> Door:
    """Where it `asks`, only who knows the passphrase may come in, from this machine too."""
    from scheduler.web.door import SHORTEST, Door

    if not asks:
        return Door(None)
    told = os.environ.get(PASSPHRASE)
    if told is None:
        if not (sys.stdin.isatty() and sys.stderr.isatty()):
            allowed = f"a passphrase typed in a terminal, or in the variable {PASSPHRASE}"
            raise UsageError(Fault("--lan", "nobody is there to type a passphrase", allowed))
        told = typer.prompt("Passphrase for the page", hide_input=True, confirmation_prompt=True, err=True)
    if len(told) < SHORTEST:
        found = f"a passphrase of {len(told)} letters"
        raise UsageError(Fault("--lan", found, f"{SHORTEST} letters or more", "a few words do well"))
    return Door(told)


def _base(host: str, port: int) -> str:
    """The address as it is typed elsewhere: of all addresses of a machine its name is the one to type."""
    import socket

    name = socket.gethostname() if host in (EVERY, "::") else host
    return f"http://{f'[{name}]' if ':' in name else name}:{port}"
