"""The plain way: all rules of a Problem in one model of the solver, all aims in one weighted sum, one search.

Written from `problem/shapes.py` alone and after another fashion than `solve/`: every day that a work may take is a
Boolean, and the day of a point is a sum over them. Nothing is narrowed, ordered, hinted or taken in turns. The
weights put the tiers in their order as long as the costs below them stay under a thousand and ten thousand.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from ortools.sat.python import cp_model

from scheduler.problem.shapes import Days, Point, Problem, Term, Work
from scheduler.solve.model import loads_of

WEIGHTS = {3: 10_000_000, 4: 10_000}
"""Of a missed margin, and of risk, against a minute of work on a day that is not preferred."""
Linear = cp_model.LinearExprT
Choice = Mapping[int, cp_model.IntVar]


@dataclass(frozen=True)
class Solved:
    """What the plain model came to."""

    days: Days | None
    best: bool
    """Whether nothing costs less in the sum; where there are no days: whether there are none at all."""


def solve(problem: Problem, limit_s: float) -> Solved:
    """One search with one worker and the solver's own settings, for so many seconds."""
    model = _Monolith(problem)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = limit_s
    status = solver.solve(model.cp)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Solved(model.read(solver), status == cp_model.OPTIMAL)
    return Solved(None, status == cp_model.INFEASIBLE)


class _Monolith:
    """The model, and the variables by which its answer is read."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.cp = cp_model.CpModel()
        self.first: dict[str, Choice] = {}
        self.last: dict[str, Choice] = {}
        self.on: dict[str, Choice] = {}
        self.pieces: dict[str, Mapping[int, Linear]] = {}
        self.inside: dict[tuple[str, str], Choice] = {}
        self.loads: dict[tuple[int, str, str], cp_model.IntVar] = {}
        self._days: dict[Point, cp_model.IntVar] = {}
        for work in problem.works:
            self._work(work)
        for lag in problem.lags:
            distance = self.day(lag.after) - self.day(lag.before)
            if lag.least is not None:
                self.cp.add(distance >= lag.least)
            if lag.most is not None:
                self.cp.add(distance <= lag.most)
        self._cooking()
        self._day_limits()
        self._rooms()
        self._aparts()
        self.cp.minimize(sum([*map(self._cost, problem.terms), *self._days_with_work()]))

    def _work(self, work: Work) -> None:
        """A first and a last day, and on all others of its days enough pieces or none."""
        days = [
            day for day in range(self.problem.horizon + 1) if all(day in limit.days for limit in work.limits)
        ]
        least = min(work.least, work.pieces)
        self.first[work.name] = first = self._one_of(self._known(days, work.tables))
        if work.pieces < 2 * least or work.span == 0:
            for day in set(first) - set(self._known(days, work.last_tables)):
                self.cp.add(first[day] == 0)
            self.last[work.name] = self.on[work.name] = first
            self.pieces[work.name] = {day: work.pieces * here for day, here in first.items()}
            return
        self.last[work.name] = last = self._one_of(self._known(days, work.last_tables))
        self.on[work.name] = on = {day: self.cp.new_bool_var("") for day in days}
        done = {day: self.cp.new_int_var(0, work.pieces, "") for day in days}
        self.pieces[work.name] = done
        self.cp.add(sum(done.values()) == work.pieces)
        start, end = _sum(first), _sum(last)
        self.cp.add(end - start <= work.span)
        for day in days:
            self.cp.add(done[day] >= least * on[day])
            self.cp.add(done[day] <= work.pieces * on[day])
            self.cp.add(start <= day).only_enforce_if(on[day])
            self.cp.add(end >= day).only_enforce_if(on[day])
        for end_choice in (first, last):
            for day, here in end_choice.items():
                self.cp.add_implication(here, on[day])

    def _known(self, days: list[int], tables: Mapping[str, Mapping[int, int]]) -> list[int]:
        """The days that every table knows, with what follows inside the horizon."""
        return [
            day
            for day in days
            if all(0 <= table.get(day, -1) <= self.problem.horizon for table in tables.values())
        ]

    def _one_of(self, days: list[int]) -> Choice:
        choice = {day: self.cp.new_bool_var("") for day in days}
        self.cp.add_exactly_one(choice.values())
        return choice

    def day(self, point: Point | None) -> Linear:
        """The day of a point; 0 for None."""
        if point is None:
            return 0
        if point not in self._days:
            self._days[point] = day = self.cp.new_int_var(0, self.problem.horizon, "")
            work = self.problem.work(point.work)
            tables = {"first": None, "last": None, **work.tables, **work.last_tables}
            early = point.at == "first" or point.at in work.tables
            choice = (self.first if early else self.last)[point.work]
            self.cp.add(day == _sum(choice, tables[point.at]))
        return self._days[point]

    def _cooking(self) -> None:
        """Each cooked work in one cooker; loads of one class that hold it, and not too many a day."""
        where: dict[str, list[str]] = defaultdict(list)
        for pot in self.problem.cookers:
            parts: dict[tuple[int, str], list[Linear]] = defaultdict(list)
            for name, share in pot.shares.items():
                where[name].append(pot.name)
                here = {day: self.cp.new_bool_var("") for day in self.on[name]}
                self.inside[name, pot.name] = here
                for day, inside in here.items():
                    parts[day, pot.classes[name]].append(share * inside)
            by_day: dict[int, list[Linear]] = defaultdict(list)
            for (day, kind), held in parts.items():
                count = self.cp.new_int_var(0, pot.loads_per_day, "")
                self.cp.add(sum(held) <= pot.share * count)
                self.loads[day, pot.name, kind] = count
                by_day[day].append(count)
            for counts in by_day.values():
                self.cp.add(sum(counts) <= pot.loads_per_day)
        for name, pots in where.items():
            for day, here in self.on[name].items():
                self.cp.add(sum(self.inside[name, pot][day] for pot in pots) == here)

    def _day_limits(self) -> None:
        for limit in self.problem.day_limits:
            taken: dict[int, list[Linear]] = defaultdict(list)
            for name, amount in limit.per_piece.items():
                for day, done in self.pieces[name].items():
                    taken[day].append(amount * done)
            for (day, pot, kind), count in self.loads.items():
                taken[day].append(limit.loads.get((pot, kind), 0) * count)
            for day, parts in taken.items():
                self.cp.add(sum(parts) <= limit.capacity.get(day, 0))

    def _rooms(self) -> None:
        for room in self.problem.rooms:
            stays = [
                self.cp.new_interval_var(
                    self.day(stay.start),
                    self.cp.new_int_var(0, self.problem.horizon, ""),
                    self.day(stay.end),
                    "",
                )
                for stay in room.stays
            ]
            self.cp.add_cumulative(stays, [stay.amount for stay in room.stays], room.capacity)

    def _aparts(self) -> None:
        for apart in self.problem.aparts:
            for day in range(self.problem.horizon + 1):
                side = self.cp.new_bool_var("")
                for names, lit in ((apart.left, side), (apart.right, ~side)):
                    for name in sorted(names):
                        if day in self.on[name]:
                            self.cp.add_implication(self.on[name][day], lit)

    def _cost(self, term: Term) -> Linear:
        above = term.offset + self.day(term.plus) - self.day(term.minus)
        if term.flat:
            cost: cp_model.IntVar = self.cp.new_bool_var("")
            self.cp.add(above <= 0).only_enforce_if(~cost)
        else:
            cost = self.cp.new_int_var(0, abs(term.offset) + 2 * self.problem.horizon, "")
            self.cp.add(cost >= above)
        return WEIGHTS[term.tier] * term.weight * cost

    def _days_with_work(self) -> list[Linear]:
        price = self.problem.day_cost
        if price is None:
            return []
        cooked = {name for pot in self.problem.cookers for name in pot.shares}
        used: dict[int, cp_model.IntVar] = defaultdict(lambda: self.cp.new_bool_var(""))
        parts: list[Linear] = []
        for name in sorted(cooked | set(price.minutes)):
            for day, here in self.on[name].items():
                self.cp.add_implication(here, used[day])
                if day in price.dear:
                    parts.append(price.minutes.get(name, 0) * self.pieces[name][day])
        for (day, pot, kind), count in self.loads.items():
            if day in price.dear:
                parts.append(price.loads.get((pot, kind), 0) * count)
        return [*parts, *(price.each * day for day in used.values())]

    def read(self, solver: cp_model.CpSolver) -> Days:
        """The days of the answer, with no load that is not needed."""
        pieces = {
            name: {day: count for day, done in by_day.items() if (count := int(solver.value(done)))}
            for name, by_day in self.pieces.items()
        }
        cooker = {
            name: pot for (name, pot), here in self.inside.items() if any(map(solver.value, here.values()))
        }
        return Days(pieces, cooker, loads_of(self.problem, pieces, cooker))


def _sum(choice: Choice, table: Mapping[int, int] | None = None) -> Linear:
    days = list(choice)
    values = days if table is None else [table[day] for day in days]
    return cp_model.LinearExpr.weighted_sum([choice[day] for day in days], values)
