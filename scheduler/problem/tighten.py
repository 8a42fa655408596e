"""Narrows the days of every work by longest paths before any search, or names the rules that cannot hold.

A day is struck out only where no answer can use it, so the narrowed Problem has exactly the same answers.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import deque
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass

from scheduler.problem.shapes import Point, Problem, Work

End = tuple[str, str]
"""A work and which end of it: ``first`` or ``last``. A work of one day has only ``first``."""


@dataclass(frozen=True)
class Contradiction:
    """The rules that alone leave some work without a day; not the fewest, but enough."""

    rules: tuple[str, ...]


@dataclass(frozen=True)
class Windows:
    """The days that are left to each work, in rising order."""

    first: Mapping[str, Sequence[int]]
    last: Mapping[str, Sequence[int]]
    every: Mapping[str, Sequence[int]]
    """Days that may hold any piece of the work."""


@dataclass(frozen=True)
class Arc:
    """`after` lies at least `least` days after `before`; None stands for day 0."""

    rule: str
    before: Point | None
    after: Point | None
    least: int


Held = Mapping[str, Mapping[int, int]]
"""Days with pieces of works that stay where they are."""
NOTHING_HELD: Held = {}


class _Empty(Exception):
    """No day is left; carries the rules that struck out the last ones."""

    def __init__(self, rules: set[str]) -> None:
        super().__init__()
        self.rules = rules


def pieces_a_day(work: Work) -> int:
    """Fewest pieces on a day of the work."""
    return max(1, min(work.least, work.pieces))


def one_day(work: Work) -> bool:
    """Whether all of a work is sure to fall on a single day."""
    return work.span == 0 or work.pieces < 2 * pieces_a_day(work)


def tighten(
    problem: Problem, *, met: Set[int] = frozenset(), held: Held = NOTHING_HELD
) -> Windows | Contradiction:
    """Leaves each work the days that limits, tables, lags and bare capacities allow, to a fixed point.

    `met` names tiers whose aims are all to be met in full; works that are `held` lie on their days, which
    are known to agree with each other. Ends also where lags form a cycle that cannot hold: its works run
    out of days. Raises KeyError for a point of an unknown table.
    """
    try:
        net = _Net(problem, held)
        net.settle(arc for arc in _arcs(problem, met) if not _is_held(arc, held))
    except _Empty as empty:
        return Contradiction(tuple(sorted(empty.rules - {""})))
    return net.windows()


def loose(problem: Problem) -> Windows | Contradiction:
    """Leaves each work the days that limits, tables and bare capacities allow, whatever the lags say."""
    try:
        return _Net(problem).windows()
    except _Empty as empty:
        return Contradiction(tuple(sorted(empty.rules - {""})))


def _is_held(arc: Arc, held: Held) -> bool:
    return all(point is None or point.work in held for point in (arc.before, arc.after))


def _arcs(problem: Problem, met: Set[int]) -> Iterator[Arc]:
    """Every least distance between two points."""
    for lag in problem.lags:
        if lag.least is not None:
            yield Arc(lag.rule, lag.before, lag.after, lag.least)
        if lag.most is not None:
            yield Arc(lag.rule, lag.after, lag.before, -lag.most)
    for room in problem.rooms:
        yield from (Arc(room.rule, stay.start, stay.end, 0) for stay in room.stays)
    for work in problem.works:
        if not one_day(work):
            first, last = Point(work.name, "first"), Point(work.name, "last")
            yield Arc("", first, last, 0)
            yield Arc("", last, first, -work.span)
    for term in problem.terms:
        if term.tier in met:
            yield Arc("", term.plus, term.minus, term.offset)


class _Spot:
    """A point as its end of a work and its table, with its earliest and latest day while they are known."""

    __slots__ = ("end", "span", "table")

    def __init__(self, end: End, table: Mapping[int, int] | None) -> None:
        self.end = end
        self.table = table
        self.span: tuple[int, int] | None = None


_Link = tuple[Arc, _Spot | None, _Spot | None]
"""An arc and the spots of its points."""


class _Net:
    """The ends of works, the days that are left to each, and the rules that took the others."""

    def __init__(self, problem: Problem, held: Held = NOTHING_HELD) -> None:
        self.problem, self.held = problem, held
        self.raw: dict[str, Sequence[int]] = {}
        self.why: dict[End, set[str]] = {}
        self.days: dict[End, Sequence[int]] = {}
        self.spots: dict[Point, _Spot] = {}
        reasons = self._limit()
        for work in problem.works:
            self._add(work, reasons[work.name])
        self.at: dict[End, list[_Spot]] = {end: [] for end in self.days}

    def _limit(self) -> dict[str, set[str]]:
        """Sets the days that may hold any piece of a work at all; the rules that took others."""
        every = frozenset(range(self.problem.horizon + 1))
        days: dict[str, Set[int]] = {}
        why: dict[str, set[str]] = {}

        def keep(name: str, rule: str, left: Set[int]) -> None:
            if len(left) < len(days[name]):
                days[name] = left
                why[name].add(rule)

        for work in self.problem.works:
            days[work.name], why[work.name] = every, set()
            if work.name in self.held:
                days[work.name] = self.held[work.name].keys()
                continue
            for limit in work.limits:
                keep(work.name, limit.rule, days[work.name] & limit.days)
        for offer in self.problem.day_limits:
            for name, amount in offer.per_piece.items():
                if name in self.held:
                    continue
                work = self.problem.work(name)
                need = amount * (work.pieces if one_day(work) else pieces_a_day(work))
                if need > 0:
                    keep(name, offer.rule, {d for d in days[name] if offer.capacity.get(d, 0) >= need})
        self.raw = {name: range(len(every)) if left is every else sorted(left) for name, left in days.items()}
        return why

    def _add(self, work: Work, why: set[str]) -> None:
        """Adds the ends of a work, with the days that its tables know."""
        horizon = self.problem.horizon
        for at, tables in (("first", work.tables), ("last", work.last_tables)):
            end = (work.name, "first" if one_day(work) else at)
            days = self.days.get(end, self.raw[work.name])
            if work.name in self.held:
                self.days[end], self.why[end] = [days[0] if end[1] == "first" else days[-1]], set()
                continue
            for table in tables.values():
                days = [day for day in days if 0 <= table.get(day, -1) <= horizon]
            self.days[end] = days
            self.why[end] = self.why.get(end, why) | ({work.table_rule} if tables else set())
            if not days:
                raise _Empty(self.why[end])

    def _spot(self, point: Point | None) -> _Spot | None:
        """The spot of a point; None for day 0."""
        if point is None:
            return None
        if point not in self.spots:
            work = self.problem.work(point.work)
            follows, table = point.at, None
            if point.at not in ("first", "last"):
                follows = "first" if point.at in work.tables else "last"
                table = (work.tables if follows == "first" else work.last_tables)[point.at]
            spot = _Spot((work.name, "first" if one_day(work) else follows), table)
            self.spots[point] = spot
            self.at[spot.end].append(spot)
        return self.spots[point]

    def _span(self, spot: _Spot | None) -> tuple[int, int]:
        """Earliest and latest day of a spot; kept until its end loses a day."""
        if spot is None:
            return 0, 0
        if spot.span is None:
            days = self.days[spot.end]
            if spot.table is None:
                spot.span = days[0], days[-1]
            else:
                values = [spot.table[day] for day in days]
                spot.span = min(values), max(values)
        return spot.span

    def _keep(self, spot: _Spot | None, low: int, high: int, rules: set[str]) -> list[End]:
        """Strikes out the days on which a spot lies before `low` or after `high`; the end that changed."""
        if spot is None:  # day 0 stays where it is: the other side gives way
            return []
        end, table, days = spot.end, spot.table, self.days[spot.end]
        if table is None:
            left = days[bisect_left(days, low) : bisect_right(days, high)]
        else:
            left = [day for day in days if low <= table[day] <= high]
        self.why[end] = self.why[end] | rules
        if not left:
            raise _Empty(self.why[end])
        self.days[end] = left
        for other in self.at[end]:
            other.span = None
        return [end]

    def _push(self, link: _Link) -> list[End]:
        """Strikes out the days that an arc rules out at either side; the ends that changed."""
        arc, before, after = link
        changed: list[End] = []
        low, high = self._span(before)[0] + arc.least, self._span(after)[1]
        if self._span(after)[0] < low:
            changed += self._keep(after, low, high, self._rules(arc, before))
        low, high = self._span(before)[0], self._span(after)[1] - arc.least
        if self._span(before)[1] > high:
            changed += self._keep(before, low, high, self._rules(arc, after))
        return changed

    def _rules(self, arc: Arc, other: _Spot | None) -> set[str]:
        return {arc.rule} if other is None else {arc.rule} | self.why[other.end]

    def settle(self, arcs: Iterable[Arc]) -> None:
        """Pushes arcs until none strikes out another day."""
        links = [(arc, self._spot(arc.before), self._spot(arc.after)) for arc in arcs]
        touching: dict[End, list[int]] = {end: [] for end in self.days}
        for number, (_, before, after) in enumerate(links):
            for spot in (before, after):
                if spot is not None:
                    touching[spot.end].append(number)
        waiting = deque(range(len(links)))
        queued = set(waiting)
        while waiting:
            number = waiting.popleft()
            queued.discard(number)
            for end in self._push(links[number]):
                fresh = [other for other in touching[end] if other not in queued]
                waiting.extend(fresh)
                queued.update(fresh)

    def windows(self) -> Windows:
        """The days that are left."""
        first = {work.name: self.days[work.name, "first"] for work in self.problem.works}
        last = {name: self.days.get((name, "last"), days) for name, days in first.items()}
        return Windows(first, last, {name: self._between(name, first[name], last[name]) for name in first})

    def _between(self, name: str, first: Sequence[int], last: Sequence[int]) -> Sequence[int]:
        """Days of a work from its earliest first to its latest last day."""
        if last is first:
            return first
        raw = self.raw[name]
        return raw[bisect_left(raw, first[0]) : bisect_right(raw, last[-1])]
