"""The use case of `outlook`: a kept plan is turned into a course, played, and asked what it hangs on."""

from __future__ import annotations

from scheduler.assemble.frame import Frame
from scheduler.assemble.not_begun import as_if_not_begun
from scheduler.lines.shapes import Basis
from scheduler.outlook.course import Course
from scheduler.outlook.describe import describe
from scheduler.plan import Plan
from scheduler.problem.calendar import calendar
from scheduler.problem.compile import compile_season
from scheduler.problem.shapes import Days
from scheduler.progress import NOTHING, Progress
from scheduler.season.season import Season
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import DayCount


def course_of(
    season: Season, catalogue: Catalogue, plan: Plan, basis: Basis, progress: Progress = NOTHING
) -> Course:
    """The course of a plan, from what it was written from; `season` is what was left of it then."""
    problem = compile_season(season, catalogue, basis.sizing)
    count = DayCount(problem.origin)
    pieces = {
        name: {count.number(day): pieces for day, pieces in on.items()} for name, on in basis.days.items()
    }
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
