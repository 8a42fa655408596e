"""The variables of a Problem's works: on which days, how many pieces, and where their points lie."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

from scheduler.problem.shapes import Days, Point, Problem, Work
from scheduler.problem.tighten import Windows, one_day, pieces_a_day
from scheduler.solve.engine import cp_model

Linear = cp_model.LinearExpr | int
Variable = cp_model.IntVar
Here = cp_model.IntVar | int
"""Whether something is on a day: 1 where it is there for certain."""


class Variables:
    """A model under construction, with the days of every work in it.

    Every variable has a name that depends on the Problem alone, so that the next model can be hinted by it.
    A work that is held has numbers instead: it is counted, not searched for.
    """

    def __init__(self, problem: Problem, windows: Windows, held: Days) -> None:
        self.problem = problem
        self.held = held
        self.windows = windows
        self.cp = cp_model.CpModel()
        self.named: dict[str, Variable] = {}
        self.first: dict[str, Variable] = {}
        self.last: dict[str, Variable] = {}
        self.on: dict[str, dict[int, Here]] = {}
        """For works that use days: whether a day holds any piece."""
        self.pieces: dict[str, dict[int, Linear]] = {}
        """For works that use days: how many pieces a day holds."""
        self._points: dict[Point, Linear] = {}
        users = _day_users(problem)
        for work in problem.works:
            if work.name in held.pieces:
                self._hold(work, held.pieces[work.name])
            elif not one_day(work):
                self._spread(work)
            elif work.name in users:
                self._on_one_day(work)
            else:
                self.first[work.name] = self.last[work.name] = self.among(windows.first[work.name], work.name)

    def boolean(self, name: str) -> Variable:
        """A new yes-or-no variable."""
        self.named[name] = variable = self.cp.new_bool_var(name)
        return variable

    def between(self, low: int, high: int, name: str) -> Variable:
        """A new whole number from `low` to `high`."""
        self.named[name] = variable = self.cp.new_int_var(low, high, name)
        return variable

    def among(self, values: Iterable[int], name: str) -> Variable:
        """A new whole number that is one of `values`."""
        domain = cp_model.Domain.from_values(list(values))
        self.named[name] = variable = self.cp.new_int_var_from_domain(domain, name)
        return variable

    def is_settled(self, *points: Point | None) -> bool:
        """Whether all the points are of works that are held."""
        works = [point.work for point in points if point is not None]
        return bool(works) and self.held.pieces.keys() >= set(works)

    def require(self, holds: cp_model.BoundedLinearExpression | bool) -> None:
        """Something has to hold; it may be that numbers alone say so already."""
        if holds is not True:
            self.cp.add(holds)

    def implies(self, here: Here, then: cp_model.LiteralT) -> None:
        """Where a work is on a day, something follows; it may be that it is there for certain."""
        if not isinstance(here, int):
            self.cp.add_implication(here, then)
        elif here:
            self.cp.add_bool_and(then)

    def point(self, point: Point | None) -> Linear:
        """The day of a point; 0 for None."""
        if point is None:
            return 0
        if point not in self._points:
            self._points[point] = self._point(point)
        return self._points[point]

    def decides(self, point: Point) -> Variable:
        """A variable that rises with the point."""
        day = self.point(point)
        return day if isinstance(day, cp_model.IntVar) else self._table(point)[0]

    def reach(self, point: Point | None) -> tuple[int, int]:
        """Earliest and latest day that a point may take."""
        if point is None:
            return 0, 0
        days = self._table(point)[1].values()
        return min(days), max(days)

    def _table(self, point: Point) -> tuple[Variable, Mapping[int, int]]:
        """The end of a work that a point follows from, and the day of the point for each of its days."""
        work = self.problem.work(point.work)
        at_first = point.at == "first" or point.at in work.tables
        end = (self.first if at_first else self.last)[work.name]
        days = (self.windows.first if at_first else self.windows.last)[work.name]
        if point.at in ("first", "last"):
            return end, {day: day for day in days}
        table = (work.tables if at_first else work.last_tables)[point.at]
        return end, {day: table[day] for day in days}

    def _point(self, point: Point) -> Linear:
        """A table as a shift where the days between never change, else a case for each number of days."""
        end, table = self._table(point)
        if point.work in self.held.pieces:
            return next(iter(table.values()))
        starts: dict[int, list[int]] = defaultdict(list)
        for day, value in table.items():
            starts[value - day].append(day)
        if len(starts) == 1:
            (shift,) = starts
            return end + shift if shift else end
        name = f"{point.work}.{point.at}"
        result = self.among(set(table.values()), name)
        cases = {count: self.boolean(f"{name}+{count}") for count in sorted(starts)}
        self.cp.add_exactly_one(cases.values())
        for count, case in cases.items():
            days = cp_model.Domain.from_values(starts[count])
            self.cp.add_linear_expression_in_domain(end, days).only_enforce_if(case)
            self.cp.add(result == end + count).only_enforce_if(case)
        return result

    def _hold(self, work: Work, on: Mapping[int, int]) -> None:
        """A work whose days and pieces are known."""
        self.first[work.name] = self.cp.new_constant(min(on))
        self.last[work.name] = self.cp.new_constant(max(on))
        self.on[work.name], self.pieces[work.name] = dict.fromkeys(on, 1), {**on}

    def _on_one_day(self, work: Work) -> None:
        """A work of one day is on exactly one of its days."""
        name, days = work.name, self.windows.first[work.name]
        self.first[name] = self.last[name] = start = self.among(days, name)
        here = self._exactly_one(start, days)
        self.on[name] = {**here}
        self.pieces[name] = {day: work.pieces * on for day, on in here.items()}

    def _spread(self, work: Work) -> None:
        """A spread work has enough pieces on each of its days, all of them within its span."""
        name, least = work.name, pieces_a_day(work)
        days, firsts, lasts = self.windows.every[name], self.windows.first[name], self.windows.last[name]
        self.first[name] = first = self.among(firsts, f"{name} first")
        self.last[name] = last = self.among(lasts, f"{name} last")
        on = {day: self.boolean(f"{name}@{day}") for day in days}
        self.on[name] = {**on}
        pieces = {day: self.between(0, work.pieces, f"{name}*{day}") for day in days}
        self.pieces[name] = {**pieces}
        self.cp.add(sum(pieces.values()) == work.pieces)
        self.cp.add(sum(on.values()) <= work.pieces // least)
        for day in days:
            self.cp.add(pieces[day] >= least).only_enforce_if(on[day])
            self.cp.add(pieces[day] == 0).only_enforce_if(~on[day])
            self.cp.add(first <= day).only_enforce_if(on[day])
            self.cp.add(last >= day).only_enforce_if(on[day])
        for end, choices in ((first, firsts), (last, lasts)):
            for day, here in self._exactly_one(end, choices).items():
                self.cp.add_implication(here, on[day])
        self.cp.add(last - first <= work.span)

    def _exactly_one(self, end: Variable, days: Iterable[int]) -> dict[int, Variable]:
        """One Boolean for each day that `end` may take."""
        here = {day: self.boolean(f"{end.name}@{day}") for day in days}
        self.cp.add_exactly_one(here.values())
        for day, choice in here.items():
            self.cp.add(end == day).only_enforce_if(choice)
        return here


def _day_users(problem: Problem) -> set[str]:
    """Works whose days matter to something that is counted by day."""
    users = {name for limit in problem.day_limits for name in limit.per_piece}
    users |= {name for cooker in problem.cookers for name in cooker.shares}
    users |= {name for apart in problem.aparts for name in apart.left | apart.right}
    return users | set(problem.day_cost.minutes if problem.day_cost else ())
