"""The use case of `outlook`: a kept plan is turned into a course, played, and asked what it hangs on."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.assemble.frame import Frame
from scheduler.assemble.not_begun import as_if_not_begun
from scheduler.book.store import KeptPlan, book_path
from scheduler.chances import SeasonOutlook
from scheduler.errors import BookError, Fault, UsageError
from scheduler.journal.fold import fold
from scheduler.lines.remaining import remaining
from scheduler.lines.shapes import Basis
from scheduler.outlook.course import Course
from scheduler.outlook.describe import describe
from scheduler.plan import Plan
from scheduler.problem.calendar import calendar
from scheduler.problem.compile import compile_season
from scheduler.problem.shapes import Days
from scheduler.progress import NOTHING, Progress, Recorded
from scheduler.season.season import Season
from scheduler.service import basis_text, planning, seasons
from scheduler.service.under_way import adopted, news, seen_by, under_way
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import DayCount

if TYPE_CHECKING:
    from scheduler.solve.look import Watch


@dataclass(frozen=True)
class Asked:
    """How many seasons are played, and with which dice."""

    seasons: int
    seed: int


def outlook(
    path: Path,
    clock: seasons.Clock,
    today: date | None,
    asked: Asked,
    *,
    kept_at: str,
    watch: Watch | None = None,
) -> SeasonOutlook:
    """The outlook of the season at `path`, by its kept plan; it is planned and kept where none holds.

    Raises UsageError where nothing is left to plant, BookError where the plan does not say what it was
    written from; else as `planning.plan_ahead`.
    """
    planning.plan_ahead(path, clock, today, kept_at=kept_at, watch=watch)
    return of_kept(path, clock, asked)


def of_kept(path: Path, clock: seasons.Clock, asked: Asked) -> SeasonOutlook:
    """The outlook of the newest kept plan, whatever the season file says by now; nothing is planned or kept.

    Raises as `outlook`, and UsageError where no plan is kept.
    """
    latest, recorded = _kept(path)
    course = course_of_kept(path, clock, latest, recorded)
    from scheduler.outlook.findings import look_ahead  # arrays, once there is something to play

    found = look_ahead(course, latest.plan, seasons=asked.seasons, seed=asked.seed)
    return replace(found, notes=tuple(_notes(latest.plan, len(news(latest, recorded)))))


def course_of_kept(
    path: Path, clock: seasons.Clock, latest: KeptPlan, recorded: tuple[Recorded, ...]
) -> Course:
    """The course of the newest kept plan, by what it knew of the entries. Raises as `of_kept`."""
    plan = latest.plan
    seen = set(seen_by(latest))
    known = tuple(one for one in recorded if one.entry_no in seen)
    progress = fold(known, plan)
    # As the plan saw it: on its day, with what was adopted by then, and with windows that were over.
    season, catalogue = seasons.read(
        path, clock, plan.season.today, adopted=partial(adopted, progress), keep_over=True
    )
    left = remaining(season, catalogue, progress)
    if not left.plantings:
        raise UsageError(_nothing_left(season, progress))
    return course_of(left, catalogue, plan, _basis(left.path, latest.basis), progress)


def _nothing_left(season: Season, progress: Progress) -> Fault:
    """Why there is nothing to look ahead to: what was not planted has lost its window."""
    missed = [one.name for one in season.plantings if not progress.planting(one.name).planted]
    if missed:
        return Fault(
            str(season.path),
            f"every window is over, and not planted: {', '.join(missed)}",
            "a planting that is still to be made",
            "budswell record SEASON planted NAME, or put-off NAME until DATE; then budswell replan SEASON",
        )
    return Fault(
        str(season.path),
        "everything is planted: there is nothing to look ahead to",
        "a planting that is still to be made",
        "budswell today SEASON shows what is left to do",
    )


def _kept(path: Path) -> tuple[KeptPlan, tuple[Recorded, ...]]:
    state = under_way(path, date.min, None)
    return state.kept, state.recorded


def _basis(file: Path, text: str | None) -> Basis:
    try:
        return basis_text.from_text(text or "")
    except ValueError:
        raise BookError(
            Fault(
                str(book_path(file)),
                "the kept plan does not say what it was written from: an older budswell has kept it",
                "a plan that was kept by this one",
                "budswell plan SEASON keeps one; once something is recorded, budswell replan SEASON does",
            )
        ) from None


def _notes(plan: Plan, count: int) -> list[str]:
    if not count:
        return []
    entries = "1 entry" if count == 1 else f"{count} entries"
    return [
        f"Recorded since plan {plan.plan_no} was made: {entries}. The chances are those of that plan, "
        f"as if that had not happened; budswell replan takes it in, or says what will not fit."
    ]


def course_of(
    season: Season, catalogue: Catalogue, plan: Plan, basis: Basis, progress: Progress = NOTHING
) -> Course:
    """The course of a plan, from what it was written from; `season` is what was left of it then."""
    problem = compile_season(season, catalogue, basis.sizing)
    count = DayCount(problem.origin)
    pieces = {name: {count.number(day): n for day, n in on.items()} for name, on in basis.days.items()}
    frame = Frame(
        season,
        catalogue,
        basis.sizing,
        problem,
        calendar(season, basis.sizing.since),
        Days(pieces, basis.cooker),
        progress,
    )
    anew = as_if_not_begun(frame)
    return describe(season, catalogue, plan, basis.sizing, anew.sizing, anew.problem, anew.days)
