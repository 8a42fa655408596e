"""What a plan is worth, whoever made it: counted from its days by the checker and by nobody's own words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from scheduler.checker.schedule import check_days, value
from scheduler.problem.shapes import Days, Point, Problem, Term
from tests.bench.table import Cell

TIERS = {3: "margin", 4: "risk", 5: "days"}


def quality(problem: Problem, days: Days, goals: Sequence[str]) -> dict[str, Cell]:
    """The figures of a plan that may have left plantings out: what is left out costs nothing, and is counted.

    `wrong` counts the rules that are broken among the works that have days.
    """
    there = replace(problem, terms=tuple(term for term in problem.terms if _has_days(term, days)))
    worth = value(there, days)
    lab = {day for name, on in days.pieces.items() if name.endswith((":inoculate", ":cook")) for day in on}
    return {
        "made": f"{sum(goal in days.pieces for goal in goals)}/{len(goals)}",
        "left out": len(_left_out(problem, days)),
        "wrong": wrong(problem, days),
        **{name: worth.get(number, 0) for number, name in TIERS.items()},
        "late": _missed(there, days, "after the best span"),
        "short": _missed(there, days, "margin"),
        "lab days": len(lab),
    }


def wrong(problem: Problem, days: Days) -> int:
    """How many rules are broken among the works that have days."""
    left_out = _left_out(problem, days)
    # A work without a day breaks the rules of its own pieces and of its cooker, and no other.
    own = len(left_out) + len(left_out & {name for pot in problem.cookers for name in pot.shares})
    return len(check_days(problem, days)) - own


def all_planted(problem: Problem, days: Days, goals: Sequence[str]) -> bool:
    """Whether every planting has its days, by the rules; a jar that is not kept back may have been forgotten."""
    return days.pieces.keys() >= set(goals) and wrong(problem, days) == 0


def _left_out(problem: Problem, days: Days) -> set[str]:
    return {work.name for work in problem.works} - days.pieces.keys()


def _has_days(term: Term, days: Days) -> bool:
    return all(point is None or point.work in days.pieces for point in (term.plus, term.minus))


def _missed(problem: Problem, days: Days, what: str) -> int:
    """How many aims of a kind are not met."""
    return sum(
        term.offset + _day(problem, days, term.plus) - _day(problem, days, term.minus) > 0
        for term in problem.terms
        if term.name.startswith(f"{what}:")
    )


def _day(problem: Problem, days: Days, point: Point | None) -> int:
    return 0 if point is None else days.at(problem, point)
