"""The use case of `serve --feed`: a season's calendars as they are now, for as long as they are asked for."""

from __future__ import annotations

import re
import secrets
from collections.abc import Callable, Mapping
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path
from threading import Lock

from scheduler.book.store import book_path
from scheduler.errors import Fault, UnsoundFile, UsageError
from scheduler.ledger import When
from scheduler.plan import Plan
from scheduler.present.alarms import Alarm
from scheduler.present.calendar import Piece, calendar
from scheduler.present.calendar_check import faults
from scheduler.present.files import write_private
from scheduler.season.place import key_file
from scheduler.season.season import Season
from scheduler.service import kept
from scheduler.service.told import SPLIT, Sheet, Told, is_told, tell, with_hours
from scheduler.web.feed import Served

SHEETS: tuple[Sheet, ...] = ("events", "to-dos")
"""All events and all to-dos; the events of each category are served beside them."""

_KEY = re.compile(r"[A-Za-z0-9_-]{32,}")
_KEY_BYTES = 32


def key(path: Path, new: bool = False) -> str:
    """The secret in the file at `path`, which its owner alone may read; a new one where there is none.

    With `new` it is changed, and addresses with the old one lead nowhere from then on. Raises UsageError
    where the file holds something else, or cannot be read or written.
    """
    if new or not path.exists():
        write_private(path, f"{secrets.token_urlsafe(_KEY_BYTES)}\n".encode())
    try:
        found = path.read_text(encoding="utf-8").strip()
        if path.stat().st_mode & 0o077:  # it was copied, perhaps
            path.chmod(0o600)
    except (OSError, UnicodeError) as error:
        raise UsageError(_no_key(path)) from error
    if not _KEY.fullmatch(found):
        raise UsageError(_no_key(path))
    return found


def _no_key(path: Path) -> Fault:
    found = "the secret of the addresses cannot be read"
    return Fault(str(path), found, "a file that budswell has written", "--new-token makes a new one")


def kept_plan(season: Season) -> Plan:
    """The plan whose calendars are served. UsageError where none was kept: nothing is planned to serve it."""
    found = kept.newest(season)
    if found is None:
        where = season.path.parent
        raise UsageError(
            Fault(
                str(season.path),
                "no plan of this season is kept yet",
                "a season that was planned",
                f"budswell plan {where}",
            )
        )
    return found.plan


class Feed:
    """The files of one season; made anew when its file or its book has changed, else the last good ones.

    `read` reads the season, `when` says when a plan is told, and `say` is told why files stay as they were.
    """

    def __init__(
        self,
        file: Path,
        read: Callable[[], Season],
        when: Callable[[Plan], When],
        say: Callable[[str], None],
        alarm: Alarm | None = None,
    ) -> None:
        """Raises what reading and telling a season can: it is served only where it is sound at first."""
        self._file, self._read, self._when, self._say, self._alarm = file, read, when, say, alarm
        self._key = key(key_file(file))
        self._lock = Lock()
        self._seen = state_of(self._file)
        self._told, self._files = self._made({})
        self._why = ""

    @property
    def plan(self) -> Plan:
        """The plan whose calendars are served."""
        return self._told.plan

    def names(self) -> list[str]:
        """What is served and has something in it."""
        return [f"{name}.ics" for name, found in _files(self._told).items() if found]

    def key(self) -> str:
        """The secret as it is now; the last one while its file is gone, or holds something else."""
        with suppress(OSError, UnicodeError):
            found = key_file(self._file).read_text(encoding="utf-8").strip()
            if _KEY.fullmatch(found):  # else it is half written, or somebody's guess
                self._key = found
        return self._key

    def file(self, name: str) -> Served | None:
        """The file of a name as it is now; None where none has that name."""
        with self._lock:
            state = state_of(self._file)
            if state != self._seen:
                self._make_anew(state)
            return self._files.get(name)

    def _make_anew(self, state: tuple[object, ...]) -> None:
        try:
            self._told, self._files = self._made(self._files)
        except Exception as error:  # whatever it is: a calendar that loses its file loses its entries
            fault = getattr(error, "fault", None) or next(iter(getattr(error, "faults", [])), None)
            why = f"{fault.where}: {fault.found}" if isinstance(fault, Fault) else str(error)
            if why != self._why:
                self._say(f"The calendars stay as they were: {why}")
            self._why = why
            return
        # As it was before: whatever has changed meanwhile, be it by this telling, is looked at again.
        self._seen, self._why = state, ""

    def _made(self, before: Mapping[str, Served]) -> tuple[Told, dict[str, Served]]:
        season = self._read()
        plan = with_hours(kept_plan(season), season)
        told = tell(book_path(season.path), plan, SHEETS, self._alarm, self._when(plan))
        files = {f"{name}.ics": _written(name, found, told) for name, found in _files(told).items()}
        for name, made in files.items():
            wrong = faults(made.data)
            if wrong:
                raise UnsoundFile(name, wrong)
        return told, {name: _later(made, before.get(name)) for name, made in files.items()}


def state_of(file: Path) -> tuple[object, ...]:
    """By which it is seen that a season file or its book has changed."""
    return tuple(_stat(path) for path in (file, book_path(file)))


def _stat(path: Path) -> tuple[int, ...]:
    try:
        status = path.stat()
    except OSError:
        return ()
    return status.st_ino, status.st_size, status.st_mtime_ns


def _files(told: Told) -> dict[str, list[Piece]]:
    """The entries of each file by its name."""
    events = told.shown["events"]
    parts = {
        name: [piece for piece in events if piece.shown.category == category]
        for category, name in SPLIT.items()
    }
    return {"events": events, "to-dos": told.shown["to-dos"], **parts}


def _written(name: str, found: list[Piece], told: Told) -> Served:
    """A file, of the moment at which an entry of it was changed last, be it that it was taken out."""
    sheet: Sheet = "to-dos" if name == "to-dos" else "events"
    moments = [row.modified for row in told.ledger.values() if is_told(row, sheet, name)]
    modified = max(moments, default=datetime.fromisoformat(f"{told.plan.season.today}T00:00:00+00:00"))
    return Served(calendar(told.plan, found, told.ledger, "" if name == "events" else name), modified)


def _later(made: Served, before: Served | None) -> Served:
    """The file with a moment that is later than that of other bytes before it.

    Two changes of one second, or one that is in no entry, would leave a program that goes by the moment
    behind for good.
    """
    if before is None or made.data == before.data:
        return before or made
    return Served(made.data, max(made.modified, before.modified + timedelta(seconds=1)))
