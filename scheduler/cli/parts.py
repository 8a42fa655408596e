"""What commands share: the clock, the zone, days as they are typed, and where pages are printed."""

from __future__ import annotations

import os
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TextIO

import typer

from scheduler.errors import Fault, UsageError

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from rich.console import Console

    from scheduler.document import Document
    from scheduler.ledger import When
    from scheduler.plan import Plan
    from scheduler.service.seasons import Clock

SeasonPath = Annotated[Path, typer.Argument(metavar="SEASON", help="A season folder, or its .toml file.")]
MOST_JOBS = 64
Today = Annotated[
    str | None, typer.Option("--today", metavar="DATE", help="Plan as if it were this day (YYYY-MM-DD).")
]


def day(text: str | None, option: str = "--today") -> date | None:
    """A day as it is typed; None where none is. UsageError where it is no day."""
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise UsageError(Fault(option, f'"{text}"', "a date as YYYY-MM-DD", f"{option} 2027-02-01")) from None


def clock(season: Path, at: datetime | None = None) -> Clock:
    """Today where the season is, by the time zone of its file, and the time zone of this machine.

    Where many seasons are read it is the day of one moment, `at`, for all of them.
    """
    from scheduler.season.place import told_timezone

    return clock_in(told_timezone(season), at)


def clock_in(timezone: str | None, at: datetime | None = None) -> Clock:
    """Today in a time zone, that of this machine where it is None, and the time zone of this machine."""
    from scheduler.service.seasons import Clock

    moment = at or datetime.now(UTC)
    return Clock(moment.astimezone(_zone(timezone)).date(), system_timezone())


def _zone(name: str | None) -> ZoneInfo | None:
    """A time zone by its name; None, that of this machine, where the file has none or one that is none."""
    from zoneinfo import ZoneInfo

    try:
        return ZoneInfo(name) if name else None
    except (KeyError, ValueError, OSError):
        return None


def system_timezone() -> str:
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


def whole(text: str, option: str, least: int, most: int, usual: str) -> int:
    """A whole number as it is typed. UsageError where it is none, or lies outside."""
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 20 else -1
    if not least <= number <= most:
        allowed = f"a whole number from {least} to {most}"
        raise UsageError(Fault(option, f'"{text}"', allowed, f"{option} {usual}"))
    return number


def processes_of(jobs: str | None) -> int:
    """How many processes work side by side, as it is typed. UsageError where it is no such number."""
    from scheduler.service.processes import cores

    return cores() if jobs is None else whole(jobs, "--jobs", 1, MOST_JOBS, "1")


def when(season: Path, told: date | None, plan: Plan) -> When:
    """The moment and the day on which something is made of a plan.

    Where the call or the season file tells a day, it is the first moment of that day, or of the plan's own
    where that is later.
    """
    from scheduler.ledger import When
    from scheduler.season.place import told_today

    on = told or told_today(season)
    if on is None:
        return When(datetime.now(UTC), clock(season).today)
    on = max(on, plan.season.today)
    return When(datetime.combine(on, time(), UTC), on)


def now() -> str:
    """This moment, to the second, with its distance from UTC."""
    return datetime.now().astimezone().isoformat(timespec="seconds")


def print_json(document: Document) -> None:
    """A document is the same bytes everywhere, whatever the letters of this terminal."""
    from scheduler.document import to_json

    typer.echo(to_json(document).encode(), nl=False)


def print_data(data: object) -> None:
    """Prints plain data as JSON."""
    import json

    text = json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1)
    typer.echo(f"{text}\n".encode(), nl=False)


def console(stream: TextIO) -> Console:
    """A page as wide as the terminal, or as COLUMNS says; a pipe has room for a little more than usual."""
    from rich.console import Console

    told = stream.isatty() or "COLUMNS" in os.environ
    return Console(file=stream, highlight=False, width=None if told else 100)
