"""What was promised before: which works are held to their days, and what it costs to move them."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace

from scheduler.problem.shapes import DayLimit, Point, Problem, Push, Term, Work

Promised = Mapping[str, Mapping[int, int]]
"""Days on which works were promised, with pieces."""

MOVED, DAYS_MOVED = 1, 2
"""The tiers of moved works and of the days by which they move, before all that makes a plan better."""
WEIGHT = 1
"""Of one moved work, and of one day by which it moves: days count between plans that move as many works."""

_FOLLOW = ("kept", "emptied", "down")
"""Works that stand for the end of something and follow from the others."""


def open_works(problem: Problem, done: str) -> Iterator[Work]:
    """Works that are still to be done: not those of the rule `done`, nor those that follow from others."""
    for work in problem.works:
        kind = work.name.rpartition(":")[2]
        if kind not in _FOLLOW and not any(limit.rule == done for limit in work.limits):
            yield work


def still_possible(problem: Problem, promised: Promised, today: int, done: str) -> dict[str, frozenset[int]]:
    """Open works whose promised days all lie ahead, suffice, and are allowed by their limits and tables."""
    found = {}
    for work in open_works(problem, done):
        days = frozenset(promised.get(work.name, ()))
        allowed = all(days <= limit.days for limit in work.limits)
        suffice = sum(promised.get(work.name, {}).values()) == work.pieces
        if days and min(days) >= today and suffice and allowed and _is_known(work, days):
            found[work.name] = days
    return found


def _is_known(work: Work, days: Collection[int]) -> bool:
    """Whether the tables of a work hold what follows from its first and its last day."""
    return all(min(days) in table for table in work.tables.values()) and all(
        max(days) in table for table in work.last_tables.values()
    )


def with_promises(problem: Problem, promised: Promised, held: Collection[str], done: str) -> Problem:
    """The Problem for replanning: moving a promised work that is not `held` costs, what is new comes early.

    Days with work are no aim any more, and nothing is polished that was promised.
    """
    terms: list[Term] = []
    new: list[Push] = []
    for work in open_works(problem, done):
        if work.name not in promised:
            new.append(Push(Point(work.name), late=False))
        elif work.name not in held:
            terms += _terms(work.name, min(promised[work.name]), max(promised[work.name]))
    return replace(
        problem,
        terms=(*terms, *problem.terms),
        day_cost=None,
        pushes=(tuple(new),) if new else (),
        equals=(),
    )


def with_cookers(problem: Problem, cooker: Mapping[str, str], held: Collection[str]) -> Problem:
    """The Problem with each held work in the cooker it was promised, so that its load stays the same."""

    def elsewhere(work: str, name: str) -> bool:
        return work in held and cooker.get(work, name) != name

    return replace(
        problem,
        cookers=tuple(
            replace(
                one,
                shares={work: share for work, share in one.shares.items() if not elsewhere(work, one.name)},
                classes={work: kind for work, kind in one.classes.items() if not elsewhere(work, one.name)},
            )
            for one in problem.cookers
        ),
    )


def with_parts(problem: Problem, promised: Promised, names: Collection[str]) -> Problem:
    """The Problem with as many pieces of some works on each of their days as were promised."""
    limits = [DayLimit(f"promised {name}", "", promised[name], {name: 1}) for name in sorted(names)]
    return replace(problem, day_limits=(*problem.day_limits, *limits))


def _terms(name: str, first: int, last: int) -> Iterator[Term]:
    for tier, flat, what in ((MOVED, True, "moved"), (DAYS_MOVED, False, "days")):
        yield Term(f"{what} later: {name}", tier, WEIGHT, -last, plus=Point(name, "last"), flat=flat)
        yield Term(f"{what} earlier: {name}", tier, WEIGHT, first, minus=Point(name), flat=flat)
