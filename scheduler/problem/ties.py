"""What each work of a problem is tied to: the days it may lie on, its lags, stays in rooms, and neighbours.

A work that nothing limits and that only follows others (until when keep-backs are kept, when a batch has
been used up) is a mark: it has no day of its own but always lies where the works before it put it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection

from scheduler.problem.shapes import Lag, Problem, Stay


class Ties:
    """Look-ups by work that hold whatever days the works lie on."""

    def __init__(self, problem: Problem) -> None:
        self._problem = problem
        self.marks = _marks(problem)
        """Marks, with the lags that put them where they lie."""
        self.lags: dict[str, list[Lag]] = defaultdict(list)
        self.stays: dict[str, list[tuple[int, Stay]]] = defaultdict(list)
        """Stays whose ends depend on a work, each with the number of its room."""
        self.apart: dict[str, list[frozenset[str]]] = defaultdict(list)
        """Works that no day of a work may hold."""
        self._limited: dict[str, frozenset[int]] = {}
        self._allowed: dict[str, frozenset[int]] = {}
        self._late_first: dict[str, list[int]] = {}
        for lag in problem.lags:
            for name in {lag.before.work, lag.after.work}:
                self.lags[name].append(lag)
        for index, room in enumerate(problem.rooms):
            for stay in room.stays:
                for name in self._movers(stay):
                    self.stays[name].append((index, stay))
        for apart in problem.aparts:
            for name in apart.left:
                self.apart[name].append(apart.right)
            for name in apart.right:
                self.apart[name].append(apart.left)

    def _movers(self, stay: Stay) -> set[str]:
        """Works whose day a stay depends on: those at its ends, and those that put a mark there."""
        names = {stay.start.work, stay.end.work}
        return names | {lag.before.work for name in names for lag in self.marks.get(name, ())}

    def limited(self, name: str) -> frozenset[int]:
        """Days that the limits of a work allow to any of its parts."""
        if name not in self._limited:
            days = frozenset(range(self._problem.horizon + 1))
            for limit in self._problem.work(name).limits:
                days &= limit.days
            self._limited[name] = days
        return self._limited[name]

    def allowed(self, name: str) -> frozenset[int]:
        """Days that the limits and tables of a work allow to all of it."""
        if name not in self._allowed:
            days = self.limited(name)
            work = self._problem.work(name)
            for table in (*work.tables.values(), *work.last_tables.values()):
                days &= {day for day, at in table.items() if 0 <= at <= self._problem.horizon}
            self._allowed[name] = days
        return self._allowed[name]

    def late_first(self, name: str) -> list[int]:
        """The same days, the latest first."""
        if name not in self._late_first:
            self._late_first[name] = sorted(self.allowed(name), reverse=True)
        return self._late_first[name]

    def may_lie(self, name: str, on: Collection[int]) -> bool:
        """Whether the limits and tables of a work allow it to lie on several days at once."""
        work, first, last = self._problem.work(name), min(on), max(on)
        ends = [table.get(first, -1) for table in work.tables.values()]
        ends += [table.get(last, -1) for table in work.last_tables.values()]
        return all(0 <= end <= self._problem.horizon for end in ends) and self.limited(name).issuperset(on)


def _marks(problem: Problem) -> dict[str, list[Lag]]:
    """Works without limits and tables that only follow others, with the lags that put them where they lie."""
    free = {work.name for work in problem.works if not (work.limits or work.tables or work.last_tables)}
    free &= {lag.after.work for lag in problem.lags}
    led = {lag.before.work for lag in problem.lags} | {
        lag.after.work for lag in problem.lags if lag.least is None or lag.most is not None
    }
    busy = {name for limit in problem.day_limits for name in limit.per_piece}
    busy |= {name for cooker in problem.cookers for name in cooker.shares}
    return {
        name: [lag for lag in problem.lags if lag.after.work == name] for name in sorted(free - led - busy)
    }
