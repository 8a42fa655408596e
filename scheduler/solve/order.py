"""Puts equal batches in order, where that can lose no plan: the greatest help against a long search.

Batches may change places as wholes when the Problem says exactly the same of each. They may then also be
sorted stage by stage as long as a later start never ends earlier and no aim counts a pair of their days
once only: sorting keeps every distance, every profile and every sum. Otherwise only the first stage is
sorted.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence, Set
from itertools import chain, pairwise

from scheduler.problem.shapes import Point, Problem, Work
from scheduler.problem.tighten import one_day
from scheduler.solve.variables import Variables

Fact = tuple[object, ...]
Batch = tuple[str, ...]


def equal_batches(model: Variables) -> None:
    """Of two batches that are alike in everything, the first is never later than the second."""
    problem = model.problem
    held = model.held.pieces
    groups = [g for g in problem.equals if any(name not in held for batch in g for name in batch)]
    said = _said(problem, {name for group in groups for batch in group for name in batch})
    for group in groups:
        about = [_about(batch, said) for batch in group]
        if any(other != about[0] for other in about[1:]):
            continue
        stages = len(group[0]) if _sortable(problem, group[0]) else 1
        for one, other in pairwise(group):
            for earlier, later in list(zip(one, other, strict=True))[:stages]:
                model.cp.add(model.first[earlier] <= model.first[later])


def _said(problem: Problem, names: Set[str]) -> dict[str, list[Fact]]:
    """Everything that the Problem says of some works, apart from names of rules; every work as a Point."""
    said: dict[str, list[Fact]] = {name: [] for name in names}
    for name in names:
        said[name].append(("work", Point(name), *_nature(problem.work(name))))
    for name, fact in chain(_of_pairs(problem), _of_days(problem)):
        if name in names:
            said[name].append(fact)
    return said


def _of_pairs(problem: Problem) -> Iterator[tuple[str, Fact]]:
    """Lags, stays and aims, told of both their works."""
    for lag in problem.lags:
        for name in {lag.before.work, lag.after.work}:
            yield name, ("lag", lag.before, lag.after, lag.least, lag.most)
    for number, room in enumerate(problem.rooms):
        for stay in room.stays:
            for name in {stay.start.work, stay.end.work}:
                yield name, ("stay", number, stay.start, stay.end, stay.amount)
    for term in problem.terms:
        for name in {point.work for point in (term.plus, term.minus) if point is not None}:
            yield name, ("aim", term.tier, term.weight, term.offset, term.plus, term.minus, term.flat)


def _of_days(problem: Problem) -> Iterator[tuple[str, Fact]]:
    """What a work takes of days and cookers, and what it is kept apart from."""
    for number, limit in enumerate(problem.day_limits):
        for name, each in limit.per_piece.items():
            yield name, ("day", number, Point(name), each)
    for number, cooker in enumerate(problem.cookers):
        for name, share in cooker.shares.items():
            yield name, ("cooker", number, Point(name), share, cooker.classes[name])
    for number, apart in enumerate(problem.aparts):
        for side, names in enumerate((apart.left, apart.right)):
            for name in names:
                yield name, ("apart", number, side, Point(name))
    for name, each in problem.day_cost.minutes.items() if problem.day_cost else ():
        yield name, ("cost", Point(name), each)


def _nature(work: Work) -> Fact:
    """A work without its name."""
    tables = frozenset((name, frozenset(table.items())) for name, table in work.tables.items())
    last_tables = frozenset((name, frozenset(table.items())) for name, table in work.last_tables.items())
    days = frozenset(limit.days for limit in work.limits)
    return days, tables, last_tables, work.pieces, work.least, work.span


def _about(batch: Batch, said: dict[str, list[Fact]]) -> Counter[Fact]:
    """What is said of a batch, with places in it instead of names."""
    place = {name: number for number, name in enumerate(batch)}

    def blank(part: object) -> object:
        return (place[part.work], part.at) if isinstance(part, Point) and part.work in place else part

    return Counter(tuple(map(blank, fact)) for name in batch for fact in said[name])


def _sortable(problem: Problem, batch: Batch) -> bool:
    """Whether batches like this one may be sorted stage by stage."""
    works = [problem.work(name) for name in batch]
    tables = [table for work in works for table in (*work.tables.values(), *work.last_tables.values())]
    pairs = [(term.plus, term.minus) for term in problem.terms if term.flat]
    return (
        all(one_day(work) for work in works)
        and all(_rising(sorted(table.items())) for table in tables)
        and not any(plus and minus and {plus.work, minus.work} <= {*batch} for plus, minus in pairs)
    )


def _rising(table: Sequence[tuple[int, int]]) -> bool:
    """Whether a later start never ends earlier."""
    return all(one[1] <= other[1] for one, other in pairwise(table))
