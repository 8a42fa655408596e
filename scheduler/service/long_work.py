"""What the page works out apart: replans, what-ifs, remedies and the outlook, as plain data in and out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from scheduler.chances import SeasonOutlook
from scheduler.errors import (
    BookError,
    BudswellError,
    Fault,
    ProfileError,
    SeasonError,
    SolverDisagreement,
    UsageError,
)
from scheduler.plan import Plan, Remedy
from scheduler.progress import Entry
from scheduler.service.seasons import Clock

if TYPE_CHECKING:
    from scheduler.service.replanning import Replan
    from scheduler.service.under_way import UnderWay

Kind = Literal["onward", "what-if", "remedy", "keep", "take", "outlook"]
"""What a replan would say now, after some words, or with a remedy; a replan, or one with a remedy, that is
kept; the outlook."""
SEASONS, SEED = 20000, 1
"""As the command plays them where nothing is said."""


@dataclass(frozen=True)
class Asked:
    """One piece of work."""

    kind: Kind
    season: Path
    clock: Clock
    today: date | None
    kept_at: str
    words: tuple[str, ...] = ()
    number: int = 0
    """Of the remedy."""
    seen: str = ""
    """The note that belongs to the words."""
    stamp: str = ""
    """How the season stood when it was shown, where nothing is to be done once it is another (`stamp_of`)."""


@dataclass(frozen=True)
class Onward:
    """A replan, made or only asked about, or the refusal of one."""

    plan: Plan
    before: Plan
    news: tuple[Entry, ...]
    way: str | None = None
    unfrozen: bool = False
    remedy: Remedy | None = None


@dataclass(frozen=True)
class Failed:
    """Why it could not be worked out."""

    faults: tuple[Fault, ...]


Outcome = Onward | SeasonOutlook | Failed

ENDED = Failed(
    (Fault("this machine", "the work was ended from outside", "memory for a search", "try again"),)
)


MOVED = Fault(
    "the season",
    "something was recorded or planned since this was shown, and nothing was done",
    "what fits the season as it stands now",
    "look at it again, then choose",
)


def faults_of(error: BudswellError) -> tuple[Fault, ...]:
    """What is wrong, fault by fault."""
    match error:
        case SeasonError(faults=faults) | ProfileError(faults=faults):
            return tuple(faults)
        case UsageError(fault=fault) | BookError(fault=fault):
            return (fault,)
        case SolverDisagreement(what=what, details=details):
            return (Fault("a bug of ours", what, "", "; ".join(details)),)
    return (Fault("budswell", str(error), ""),)


def work_out(asked: Asked) -> Outcome:
    """What comes of a piece of work; errors come back as what they say."""
    try:
        return _worked_out(asked)
    except BudswellError as error:
        return Failed(faults_of(error))
    except Exception as error:  # a process that breaks would be taken for one that was ended
        found = f"this is a bug of ours, not a mistake in your season: {type(error).__name__}: {error}"
        return Failed((Fault("budswell", found, "", "Please report it, with the season and its book"),))


def _worked_out(asked: Asked) -> Outcome:
    if asked.kind == "outlook":
        from scheduler.service import outlook

        return outlook.of_kept(asked.season, asked.clock, outlook.Asked(SEASONS, SEED))
    from scheduler.service.replanning import Impossible

    try:
        found, remedy = _replan(asked)
    except Impossible as impossible:
        return Onward(impossible.plan, impossible.before, impossible.news)
    return Onward(found.plan, found.before, found.news, found.way, found.unfrozen, remedy)


def _replan(asked: Asked) -> tuple[Replan, Remedy | None]:
    from scheduler.service import replanning

    # The page asks about work that nobody recorded before; what is left of it is still to be done.
    how = replanning.Asked(asked.clock, asked.today, undone=True)
    _require_as_shown(asked)
    if asked.kind == "keep":
        return replanning.replan(asked.season, how, kept_at=asked.kept_at), None
    if asked.kind == "take":
        remedy, found = replanning.take(asked.season, asked.number, how, kept_at=asked.kept_at)
        return found, remedy
    if asked.kind == "remedy":
        remedy, found = replanning.with_remedy(asked.season, asked.number, how)
        return found, remedy
    said = [asked.words] if asked.words else []
    return replanning.imagine(_state(asked), said, how), None


def _require_as_shown(asked: Asked) -> None:
    """UsageError where the season is no longer as it was shown: the piece has waited for other work."""
    from scheduler.service.stamp import stamp_of

    if asked.stamp and asked.stamp != stamp_of(_state(asked)):
        raise UsageError(MOVED)


def _state(asked: Asked) -> UnderWay:
    from scheduler.service.under_way import under_way

    return under_way(asked.season, asked.clock.today, asked.today)
