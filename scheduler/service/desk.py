"""The local page as a use case: which page lies at a path, made anew when the season has changed.

`desk_pages` makes what is looked at, `desk_forms` does what is sent. What takes its time is worked out
`apart`. The web server asks it for text and sends it text; it comes from several threads.
"""

from __future__ import annotations

import secrets
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from functools import cached_property
from pathlib import Path
from threading import Lock

from scheduler.errors import BudswellError, Fault, SeasonError, UsageError
from scheduler.plan import Plan
from scheduler.present.html import answers
from scheduler.present.html.frame import Frame, icon, style
from scheduler.progress import Progress, Recorded
from scheduler.season.load import require_day
from scheduler.season.place import season_file, told_timezone, told_today
from scheduler.service import reports
from scheduler.service.apart import Apart, Busy
from scheduler.service.feed import Feed, state_of
from scheduler.service.long_work import ENDED, Asked, Kind, Outcome, faults_of, work_out
from scheduler.service.recording import Noted
from scheduler.service.seasons import Clock
from scheduler.service.stamp import stamp_of
from scheduler.service.under_way import UnderWay, seen_by, under_way
from scheduler.web.feed import Served
from scheduler.web.page import Shown, Went

MOST_PAGES = 300
"""So many pages of one state of the season are kept ready."""
MOST_SAID = 2000
"""So many answers to forms are known, for whoever sends one again."""
AGAIN_S = 2
"""A page that waits is asked for again after so long."""


@dataclass(frozen=True)
class Moment:
    """The clock, and a day that goes before it and before what the season file says."""

    clock: Clock
    told: date | None
    faults: tuple[Fault, ...] = ()
    """Why the season file cannot say its day or its time zone now."""


@dataclass(frozen=True)
class Look:
    """The season as it stands at one moment."""

    state: UnderWay
    frame: Frame

    @cached_property
    def progress(self) -> Progress:
        """What all entries say together."""
        return self.state.progress

    @cached_property
    def batches(self) -> Mapping[str, Plan]:
        """The newest plan that knows each batch, by the batch's id."""
        return reports.batches(self.state)

    @cached_property
    def pieces(self) -> Mapping[str, int]:
        """Pieces of each planting before anything was planted."""
        return reports.pieces_wished(self.state)

    @cached_property
    def news(self) -> int:
        """How many entries that still stand the plan does not know, or knew and that stand no more."""
        return len(set(self.state.seen) ^ set(seen_by(self.state.kept)))


@dataclass(frozen=True)
class Answer:
    """What a form has recorded."""

    numbered: tuple[Recorded, ...]
    noted: Noted
    titles: Mapping[str, str] = field(default_factory=dict)


class Missing(Exception):
    """There is no such page."""


Show = Callable[["Desk", Look, Sequence[str], Mapping[str, str], str], Shown]
"""Makes a page from the season as it stands, the rest of its path, its query and the server's address."""
Do = Callable[["Desk", Sequence[str], Mapping[str, str]], Went]
"""Does what a form says: the rest of its path, and its fields."""


class Desk:
    """The pages of one season; `clock` says which day it is in a time zone, `told` a day that goes before it.

    `say` hears what somebody has to know who sits where the server was started.
    """

    def __init__(
        self,
        season: Path,
        clock: Callable[[str | None], Clock],
        told: date | None,
        now: Callable[[], str],
        feed: Feed,
        say: Callable[[str], None],
        shows: Mapping[str, Show],
        does: Mapping[str, Do],
        *,
        is_open: bool = False,
        is_locked: bool = False,
    ) -> None:
        """`shows` is what makes each page and `does` what takes each form, by the first part of their paths.
        `is_open` says whether other machines reach it, `is_locked` whether a passphrase is asked for.

        Raises as `under_way`: a season is served only once it is planned.
        """
        self._say, self._shows, self._does = say, shows, does
        self.season, self.now, self.feed = season, now, feed
        self._clock, self._told = clock, told
        self.is_open, self._is_locked = is_open, is_locked
        self.mark = secrets.token_hex(16)
        self.apart: Apart[Asked, Outcome] = Apart(work_out, ENDED)
        self._file = season_file(season)
        self._last: tuple[date | None, str | None] | None = None
        self._lock = Lock()
        self._looked: tuple[object, Look] | None = None
        self._pages: dict[object, str] = {}
        self._answers: OrderedDict[str, Answer] = OrderedDict()
        began = datetime.now(UTC).replace(microsecond=0)
        self._files = {
            "/style.css": (Served(style(), began), "text/css; charset=utf-8"),
            "/icon.svg": (Served(icon(), began), "image/svg+xml"),
        }
        self.look()

    # -- what the web asks for -----------------------------------------------------------------------

    def file(self, name: str) -> tuple[Served, str] | None:
        """A file that pages need, and its type."""
        return self._files.get(name)

    def show(self, path: str, query: Mapping[str, str], base: str) -> Shown:
        """The page at a path."""
        try:
            look = self.look()
        except BudswellError as error:
            return Shown(answers.fault_page(self._bare(), "This cannot be shown", faults_of(error)), 503)
        try:
            name, *rest = path.strip("/").split("/")
            if name not in self._shows:
                raise Missing
            return self._shows[name](self, look, rest, query, base)
        except Missing:
            return self.refuse("missing", 404)
        except Busy:
            return self.refuse("busy", 503)
        except UsageError as error:
            return Shown(answers.fault_page(look.frame, "This is not so any more", [error.fault]), 409)
        except BudswellError as error:
            return Shown(answers.fault_page(self._bare(), "This cannot be shown", faults_of(error)), 503)
        except Exception as error:
            return self._bug(path, error)

    def do(self, path: str, form: Mapping[str, str]) -> Went:
        """Does what a form says."""
        try:
            name, *rest = path.strip("/").split("/")
            if name not in self._does:
                raise Missing
            return self._does[name](self, rest, form)
        except Missing:
            return Went(shown=self.refuse("missing", 404))
        except Busy:
            return Went(shown=self.refuse("busy", 503))
        except BudswellError as error:
            page = answers.fault_page(
                self._frame(), "This was not recorded", faults_of(error), lead="Nothing was recorded."
            )
            return Went(shown=Shown(page, 422))
        except Exception as error:
            return Went(shown=self._bug(path, error))

    def refuse(self, why: str, status: int) -> Shown:
        """The page that says why something is not done."""
        return Shown(answers.refused_page(self._frame(), why), status)

    def entrance(self, said: str, status: int) -> Shown:
        """The page that asks for the passphrase; it tells nothing of the season."""
        return Shown(answers.entrance_page(self._bare(), said), status)

    def close(self) -> None:
        """Ends what is worked out."""
        self.apart.close()

    # -- what pages and forms are made from -----------------------------------------------------------

    def look(self) -> Look:
        """The season as it stands now; raises as `under_way`."""
        moment = self.moment()
        with self._lock:
            # Seen before it is read: what changes meanwhile is read once more.
            seen = (state_of(self._file), moment)
            if self._looked is None or self._looked[0] != seen:
                state = under_way(self.season, moment.clock.today, moment.told)
                self._looked = (seen, self._look(state, moment.faults))
                self._pages = {}
            return self._looked[1]

    def moment(self) -> Moment:
        """Which day it is; where the season file cannot say, by what it said last.

        SeasonError where it never said anything.
        """
        try:
            require_day(self._file)
        except SeasonError as error:
            if self._last is None:
                raise
            today, timezone = self._last
            return Moment(self._clock(timezone), self._told or today, tuple(error.faults))
        self._last = told_today(self._file), told_timezone(self._file)
        return Moment(self._clock(self._last[1]), self._told)

    def _look(self, state: UnderWay, faults: Sequence[Fault]) -> Look:
        plan = state.plan
        frame = Frame(
            plan.season.name,
            state.kept.plan_no,
            state.today,
            self.mark,
            stamp_of(state),
            self._is_locked,
            broken=tuple(answers.broken(fault) for fault in faults),
        )
        return Look(state, frame)

    def ready(self, look: Look, name: object, make: Callable[[], str]) -> Shown:
        """A page that stays as it is while the season does."""
        with self._lock:
            pages = self._pages if self._looked and self._looked[1] is look else {}
            found = pages.get(name)
        if found is None:
            found = make()
            with self._lock:
                if len(pages) < MOST_PAGES:
                    pages[name] = found
        return Shown(found)

    def asked(
        self, kind: Kind, words: tuple[str, ...] = (), number: int = 0, seen: str = "", stamp: str = ""
    ) -> Asked:
        """A piece of work for this season now; with a `stamp` only while it is as that says."""
        moment = self.moment()
        return Asked(kind, self.season, moment.clock, moment.told, self.now(), words, number, seen, stamp)

    def worked_out(self, look: Look, kind: Kind, number: int = 0) -> Outcome | None:
        """What comes of a question about the season as it stands; None while it is worked out, once."""
        name = self.apart.begin(self.asked(kind, number=number), (kind, number, look.frame.stamp))
        piece = self.apart.find(name)
        return piece.outcome.result() if piece and piece.outcome.done() else None

    def remember(self, answer: Answer) -> str:
        """The name under which an answer is found again."""
        name = secrets.token_urlsafe(9)
        with self._lock:
            self._answers[name] = answer
            while len(self._answers) > MOST_SAID:
                self._answers.popitem(last=False)
        return name

    def answer(self, name: str) -> Answer | None:
        """What a form has recorded."""
        return self._answers.get(name)

    def _bug(self, path: str, error: Exception) -> Shown:
        """Something that should not be: told where the server was started, and no more than that here."""
        self._say(f"A bug of ours at {path}: {type(error).__name__}: {error}. Please report it.")
        return Shown(answers.refused_page(self._bare(), "bug"), 500)

    def _frame(self) -> Frame:
        try:
            return self.look().frame
        except BudswellError:
            return self._bare()

    def _bare(self) -> Frame:
        """A frame that says nothing of the season."""
        return Frame("", None, date.min, self.mark)
