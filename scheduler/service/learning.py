"""The use case of `learn`: what the books of a grower's seasons say of losses and days, beside the trade."""

from __future__ import annotations

import shlex
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial, reduce
from itertools import combinations
from operator import add
from pathlib import Path

from scheduler.book.store import book_path
from scheduler.errors import Fault, UsageError
from scheduler.journal.made import KnownPlan, batches_made
from scheduler.journal.observed import observed
from scheduler.learned import Learned, LearnedFrom
from scheduler.lines.learned_days import learn_days
from scheduler.lines.learned_losses import learn_losses
from scheduler.lines.observed import Observed
from scheduler.progress import Recorded
from scheduler.season.place import figures_file, season_file
from scheduler.season.season import Season
from scheduler.service import own_figures, seasons
from scheduler.service.inputs import made_with
from scheduler.service.under_way import UnderWay, adopted, kept_plans, seen_by, under_way
from scheduler.trade import catalogue as trade
from scheduler.trade.catalogue import Catalogue

SAME_PLACE = 1.0
"""Degrees of latitude within which two seasons may be those of one lab (a rule of this planner)."""
_BEGINNING = 5
"""So many first entries tell a copy of a book from one of its own."""


@dataclass(frozen=True)
class _Told:
    """One season with its book."""

    path: Path
    state: UnderWay
    season: Season


def learn(
    paths: Sequence[Path], clock: Callable[[Path], seasons.Clock], today: date | None, *, keep: bool
) -> Learned:
    """What was learned from the seasons at `paths`, of one lab; kept beside the first of them with `keep`.

    Raises UsageError where a season is named twice, was not planned, has nothing recorded or is of another
    lab, or where there is nothing to keep or no place for it; SeasonError, ProfileError and BookError as the
    files do. Nothing is written then.
    """
    catalogue = trade.load()
    _require_different(paths)
    told = [_told(path, clock(path), today) for path in paths]
    _require_one_lab(told)
    workspace = told[0].season.lab.workspace
    together = reduce(add, (_observed(one, catalogue) for one in told), Observed())
    found = Learned(
        seasons=tuple(
            LearnedFrom(one.season.name, one.state.kept.plan_no, len(one.state.recorded)) for one in told
        ),
        workspace=workspace,
        prior=f"the figures of {made_with()}",
        losses=learn_losses(catalogue, workspace, together.fates),
        days=learn_days(catalogue, together.runs, together.unknown_runs),
    )
    found = replace(found, notes=tuple(_notes(found, told)))
    return _kept(found, told) if keep else found


def _told(path: Path, clock: seasons.Clock, today: date | None) -> _Told:
    state = under_way(path, clock.today, today)
    if not state.recorded:
        hint = f"budswell record {shlex.quote(str(path))} words: what can be recorded"
        allowed = "a season of which something was recorded"
        raise UsageError(Fault(str(book_path(state.file)), "nothing is recorded in it yet", allowed, hint))
    change = partial(adopted, state.progress)
    season, _ = seasons.read(path, clock, today, adopted=change, keep_over=True)
    return _Told(path, state, season)


def _observed(told: _Told, catalogue: Catalogue) -> Observed:
    known = [KnownPlan(one.plan, frozenset(seen_by(one))) for one in kept_plans(told.state)]
    return observed(batches_made(known, told.state.recorded), told.season, catalogue)


def _require_different(paths: Sequence[Path]) -> None:
    known: set[Path] = set()
    for path in paths:
        file = season_file(path).resolve()
        if file in known:
            raise UsageError(
                Fault(str(path), "this season is named twice", "each season once", "leave it out")
            )
        known.add(file)


def _require_one_lab(told: Sequence[_Told]) -> None:
    """Refuses what cannot be counted together: a copy of a season, and the season of another lab."""
    first = told[0]
    for one, other in combinations(told, 2):
        if _begin_alike(one.state.recorded, other.state.recorded):
            hint = f"leave out {one.path} or {other.path}"
            found = f"its book begins like that of {one.path}: one is a copy of the other"
            raise UsageError(Fault(str(other.path), found, "each season once", hint))
    for one in told[1:]:
        here, there = first.season, one.season
        found = ""
        if there.lab.workspace != here.lab.workspace:
            found = (
                f"its work was done in a {there.lab.workspace}, that of {here.name} in a {here.lab.workspace}"
            )
        elif _apart(here, there):
            found = f"it lies at latitude {there.site.latitude:g}, {here.name} at {here.site.latitude:g}"
        if found:
            allowed = "seasons of one grower's lab: another hand or air has losses of its own"
            raise UsageError(Fault(str(one.path), found, allowed, "learn from it by itself"))


def _begin_alike(one: Sequence[Recorded], other: Sequence[Recorded]) -> bool:
    """Whether two books have the same first entries, written at the same moments."""
    shared = min(len(one), len(other), _BEGINNING)
    return one[:shared] == other[:shared]


def _apart(one: Season, other: Season) -> bool:
    here, there = one.site.latitude, other.site.latitude
    return here is not None and there is not None and abs(here - there) > SAME_PLACE


def _notes(found: Learned, told: Sequence[_Told]) -> Iterator[str]:
    named = sorted(
        {(name, part) for one in told for name, table in one.season.figures.items() for part in table}
    )
    if named:
        which = ", ".join(f"{species} {part.replace('.', ' ')}" for species, part in named)
        yield f"The season file has figures of its own, which go before all that is learned: {which}."
    before = told[0].season.own
    if before is None or before.learned is None:
        return
    missing = [name for name in before.learned.seasons if name not in {one.name for one in found.seasons}]
    if missing:
        yield (
            f"What was kept before also came from {', '.join(missing)}, which is not counted here: name its "
            "folder as well to count it."
        )


def _kept(found: Learned, told: Sequence[_Told]) -> Learned:
    if not any(one.made for one in found.losses) and not any(own_figures.batches(one) for one in found.days):
        allowed = "a batch that was begun and looked at since"
        hint = "record clean, lost or ready of what grows"
        raise UsageError(Fault(str(told[0].path), "there is nothing to keep yet", allowed, hint))
    path = figures_file(told[0].path)
    mine = [file for one in told for file in (one.state.file, book_path(one.state.file))]
    own_figures.keep(path, found, mine)
    return replace(found, kept=str(path))
