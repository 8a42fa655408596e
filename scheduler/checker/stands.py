"""Whether a finished plan may be kept: its days by the Problem, its dates by the rules of the trade."""

from __future__ import annotations

from collections.abc import Mapping

from scheduler.checker import (
    agreement,
    cooking,
    descent,
    facts,
    people,
    rooms,
    running_order,
    spawn,
    tasks,
    yard,
)
from scheduler.checker.case import Case, Check
from scheduler.checker.schedule import check_days
from scheduler.checker.violation import Violation
from scheduler.lines.shapes import Sizing
from scheduler.plan import Plan
from scheduler.problem.shapes import Days, Problem
from scheduler.progress import NOTHING, Progress
from scheduler.season.season import Season

RULES: Mapping[str, Check] = {
    **agreement.CHECKS,
    **people.CHECKS,
    **cooking.CHECKS,
    **rooms.CHECKS,
    **descent.CHECKS,
    **spawn.CHECKS,
    **yard.CHECKS,
    **running_order.CHECKS,
    **tasks.CHECKS,
    **facts.CHECKS,
}
"""Every rule of a finished plan by name; the first sentence of each function says what it asks."""


def check_plan(
    plan: Plan,
    days: Days,
    season: Season,
    sizing: Sizing,
    problem: Problem,
    progress: Progress = NOTHING,
) -> list[Violation]:
    """Names every rule that a plan breaks; an empty list means that it may be shown and kept.

    `progress` is what has happened already: the plan is judged as what is left to do. `days` is the answer
    the plan was made from: the plan's own dates have to be the same. Raises KeyError where the problem itself
    names a work or a table that it does not have.
    """
    case = Case(plan, days, season, sizing, problem, progress)
    dated = [Violation(rule, what) for rule, check in RULES.items() for what in check(case)]
    return check_days(problem, days) + dated
