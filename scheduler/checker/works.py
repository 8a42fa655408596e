"""Whether every work of a Problem lies where it may, and points keep their distance."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from scheduler.checker.violation import Violation
from scheduler.problem.shapes import Days, Point, Problem, Work


def day_of(problem: Problem, days: Days, point: Point) -> int | None:
    """Reads the day of a point; None where its work has no days or its table does not hold the day.

    Raises KeyError where the problem itself names a work or a table that it does not have.
    """
    work = problem.work(point.work)
    lies = days.pieces.get(work.name)
    if point.at in ("first", "last"):
        return _end(lies, point.at)
    if point.at in work.tables:
        return _looked_up(work.tables[point.at], _end(lies, "first"))
    return _looked_up(work.last_tables[point.at], _end(lies, "last"))


def _end(lies: Mapping[int, int] | None, at: str) -> int | None:
    if not lies:
        return None
    return min(lies) if at == "first" else max(lies)


def _looked_up(table: Mapping[int, int], day: int | None) -> int | None:
    return None if day is None else table.get(day)


def pieces(problem: Problem, days: Days) -> Iterator[Violation]:
    """Every work is done in full, once, and nothing is done that is not a work."""
    names = {work.name for work in problem.works}
    for name in sorted(days.pieces.keys() - names):
        yield Violation("pieces", f"{name} is no work of this problem")
    for work in problem.works:
        lies = days.pieces.get(work.name, {})
        if sum(lies.values()) != work.pieces:
            yield Violation("pieces", f"{work.name}: {sum(lies.values())} pieces of {work.pieces} have a day")
        for day, done in lies.items():
            if done < 1:
                yield Violation("pieces", f"{work.name}: day {day} holds {done} pieces")


def limits(problem: Problem, days: Days) -> Iterator[Violation]:
    """Each day of a work is allowed by each of its limits."""
    for work in problem.works:
        for limit in work.limits:
            for day in days.pieces.get(work.name, {}):
                if day not in limit.days:
                    yield Violation(limit.rule, f"{work.name} on day {day}")


def tables(problem: Problem, days: Days) -> Iterator[Violation]:
    """The first day of a work is in all its tables, the last day in all that follow from the last day."""
    for work in problem.works:
        lies = days.pieces.get(work.name)
        for end, by_name in (("first", work.tables), ("last", work.last_tables)):
            day = _end(lies, end)
            for name, table in by_name.items():
                if day is not None and day not in table:
                    yield Violation(work.table_rule, f"{work.name}: no {name} for {end} day {day}")


def spread(problem: Problem, days: Days) -> Iterator[Violation]:
    """A spread work does enough on each of its days, and its days lie close together."""
    for work in problem.works:
        lies = days.pieces.get(work.name)
        if not lies:
            continue
        yield from _least(work, lies)
        if max(lies) - min(lies) > work.span:
            yield Violation("span", f"{work.name}: days {min(lies)} to {max(lies)}, span {work.span}")


def _least(work: Work, lies: Mapping[int, int]) -> Iterator[Violation]:
    least = min(work.least, work.pieces)
    for day, done in lies.items():
        if 0 < done < least:
            yield Violation("least", f"{work.name}: {done} pieces on day {day}, at least {least}")


def lags(problem: Problem, days: Days) -> Iterator[Violation]:
    """Points keep the least and the most distance that a lag asks for."""
    for lag in problem.lags:
        before, after = day_of(problem, days, lag.before), day_of(problem, days, lag.after)
        if before is None or after is None:
            continue
        apart = after - before
        if (lag.least is not None and apart < lag.least) or (lag.most is not None and apart > lag.most):
            yield Violation(
                lag.rule,
                f"{lag.before.work}.{lag.before.at} to {lag.after.work}.{lag.after.at}: {apart} days, "
                f"allowed {lag.least} to {lag.most}",
            )


def horizon(problem: Problem, days: Days) -> Iterator[Violation]:
    """No point lies before day 0 or after the horizon."""
    for work in problem.works:
        for at in ("first", "last", *work.tables, *work.last_tables):
            day = day_of(problem, days, Point(work.name, at))
            if day is not None and not 0 <= day <= problem.horizon:
                yield Violation("horizon", f"{work.name}.{at} on day {day} of 0 to {problem.horizon}")
