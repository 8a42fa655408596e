"""`calendar --push` and `--pull`: speaks to a calendar server and prints what was done there."""

from __future__ import annotations

import importlib.util
import os
import shlex
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from scheduler.cli.parts import clock, now, when
from scheduler.errors import Fault, UsageError
from scheduler.pipes import broken_pipe_is_an_error

if TYPE_CHECKING:
    from scheduler.ledger import Kind
    from scheduler.plan import Plan
    from scheduler.present.alarms import Alarm
    from scheduler.season.season import Season
    from scheduler.web.dav import Collection

PASSWORD = "BUDSWELL_PASSWORD"
"""The variable that holds the password."""
SERVICE = "budswell"
"""Under which a keyring holds it."""
_DOES = {
    "new": "new",
    "changed": "changed",
    "ticked": "ticked off",
    "gone": "taken away",
    "left": "left as it is",
    "refused": "refused by the server",
}


@dataclass(frozen=True)
class Server:
    """Which calendars of a server are spoken to, and as whom."""

    events: str | None
    todos: str | None
    pull: str | None
    user: str
    dry: bool
    plain_http: bool

    def is_meant(self) -> bool:
        """Whether any is."""
        return bool(self.events or self.todos or self.pull)

    def require_usable(self) -> None:
        """Raises UsageError for an address that cannot be spoken to."""
        from scheduler.web.dav import require_usable

        for option, url in (("--push", self.events), ("--push-todos", self.todos), ("--pull", self.pull)):
            if url:
                require_usable(option, url, self.plain_http)

    @contextmanager
    def calendar(self, url: str) -> Iterator[Collection]:
        """One calendar, for a while."""
        from scheduler.web.dav import Collection

        _require_text("--user", self.user)
        password = _password(self.user) if self.user else ""
        _require_text(PASSWORD, password)
        with broken_pipe_is_an_error(), Collection.open(url, self.user, password) as found:
            yield found


def push(server: Server, season: Season, plan: Plan, alarm: Alarm | None, today: date | None) -> None:
    """Puts events and to-dos where they are wished, and prints each step of a dry run, else their number.

    Exit code 2 where the server has refused an entry.
    """
    from scheduler.service import dav
    from scheduler.workdays import full

    wished: tuple[tuple[str | None, Kind], ...] = ((server.events, "VEVENT"), (server.todos, "VTODO"))
    is_refused = False
    for url, kind in wished:
        if not url:
            continue
        with server.calendar(url) as to:
            steps = dav.push(season, plan, kind, to, alarm, when(season.path, today, plan), server.dry)
        shown = steps if server.dry else [step for step in steps if step.does in ("left", "refused")]
        for step in shown:
            why = f": {step.why}" if step.why else ""
            typer.echo(f"  {_DOES[step.does]}: {step.summary} ({full(step.on)}){why}")
        is_refused |= any(step.does == "refused" for step in steps)
        counts = Counter(step.does for step in steps)
        news = ", ".join(f"{counts[does]} {words}" for does, words in _DOES.items() if counts[does])
        would = "would be " if server.dry and news else ""
        made = f"plan {plan.plan_no}" if plan.plan_no else "a plan that would be kept first"
        typer.echo(f"{url}: {would}{news or 'nothing new'}, of {made}.")
    if is_refused:
        raise typer.Exit(2)


def pull(server: Server, season: Path, today: date | None) -> None:
    """Records what was ticked off, and prints it; exit code 2 where something was not recorded."""
    from scheduler.service import dav
    from scheduler.workdays import full

    assert server.pull is not None
    with server.calendar(server.pull) as source:
        found = dav.pull(season, source, clock=clock(season).today, today=today, at=now(), dry=server.dry)
    for one in found:
        did = (
            f"not recorded: {one.refused}" if one.refused else "to be recorded" if server.dry else "recorded"
        )
        typer.echo(f"  {one.summary}, {full(one.on)}: {did}")
    count = sum(not one.refused for one in found)
    would = "would be " if server.dry else ""
    then = f" Next: budswell replan {shlex.quote(str(season))}." if count and not server.dry else ""
    typer.echo(f"{server.pull}: {count} {would}recorded, {len(found) - count} not.{then}")
    if count < len(found):
        raise typer.Exit(2)


def _require_text(where: str, text: str) -> None:
    """UsageError, which does not repeat it, for what cannot be sent."""
    try:
        text.encode()
    except UnicodeError as error:
        raise UsageError(Fault(where, "it is no text in UTF-8", "letters, digits and signs")) from error


def _password(user: str) -> str:
    """From the environment, else from the keyring; UsageError where neither has it."""
    found = os.environ.get(PASSWORD)
    if found is None:
        found = _in_keyring(user)
    if found is None:
        raise UsageError(_no_password(user, "there is no password"))
    return found


def _in_keyring(user: str) -> str | None:
    """None too on a machine without a keyring; UsageError where it is locked, or does not answer."""
    if importlib.util.find_spec("keyring") is None:
        return None
    import keyring
    from keyring.errors import KeyringError, NoKeyringError

    try:
        return keyring.get_password(SERVICE, user)
    except NoKeyringError:
        return None
    except KeyringError as error:
        raise UsageError(_no_password(user, f"the keyring does not open: {error}")) from error


def _no_password(user: str, found: str) -> Fault:
    allowed = f"a password in the variable {PASSWORD}, or in a keyring"
    return Fault(f"--user {user}", found, allowed, f"keyring set {SERVICE} {user}")
