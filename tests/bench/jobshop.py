"""A Problem in the words of PyJobShop, a library for machine scheduling on the same solver, as far as it has them.

It says: least and most distances, days on which a work may not lie, days of growth that depend on the first day (a
mode for each number of days), minutes of a day (fixed tasks fill what a day has less than the best one), what a
vessel takes in a day, shelf and fridge, late plantings. A spread work becomes as many equal tasks as it may have
days.

It cannot say: that a load is cooked for one class and takes its minutes whole, that bench and yard keep apart, that
wood dries (distances to what follows from the last day by a table), margins and other bands between two works, days
with work, an order of aims. So what it finds costs less than it should, and may break rules: the checker counts them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

import pyjobshop
from pyjobshop.ProblemData import Mode, Renewable, Task
from pyjobshop.Result import SolveStatus

from scheduler.problem.shapes import Days, Lag, Point, Problem, Stay, Work
from scheduler.problem.tighten import one_day, pieces_a_day
from scheduler.solve.model import loads_of

READY, ENDS = "ready", ("first", "last")
"""The points of a work that have a task, or an end of one."""


def plan(problem: Problem, limit_s: float) -> Days | None:
    """The days that it finds within so many seconds with one worker."""
    return _Shop(problem).solved(limit_s)


class _Shop:
    """The model, and which tasks stand for which work."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.model = pyjobshop.Model()
        self.tasks: dict[str, list[Task]] = {}
        self.sizes: dict[str, list[int]] = {}
        self.growth: dict[str, Task] = {}
        self.pots: dict[int, str] = {}
        """Which vessel a mode stands for, by its place among all modes."""
        self.minutes = {limit.name: self._minutes(limit.capacity) for limit in problem.day_limits}
        self.vessels = {
            pot.name: self.model.add_renewable(pot.share * pot.loads_per_day) for pot in problem.cookers
        }
        self.rooms = [self.model.add_renewable(room.capacity) for room in problem.rooms]
        for work in problem.works:
            self._work(work)
        for lag in problem.lags:
            self._lag(lag)
        for number, room in enumerate(problem.rooms):
            for stay in room.stays:
                self._stay(stay, self.rooms[number])
        self.model.set_objective(weight_total_tardiness=1)

    def _minutes(self, capacity: Mapping[int, int]) -> Renewable:
        """What the best day has; other days have a fixed task that takes the difference, or a break."""
        best = max(capacity.values(), default=0)
        none = [day for day in range(self.problem.horizon + 1) if not capacity.get(day)]
        resource = self.model.add_renewable(best, breaks=_breaks(none))
        for day, minutes in capacity.items():
            if 0 < minutes < best and day <= self.problem.horizon:
                task = self.model.add_task(earliest_start=day, latest_start=day)
                self.model.add_mode(task, resource, 1, best - minutes)
        return resource

    def _work(self, work: Work) -> None:
        least = work.pieces if one_day(work) else pieces_a_day(work)
        count = work.pieces // least
        self.sizes[work.name] = [
            work.pieces // count + (number < work.pieces % count) for number in range(count)
        ]
        late = [
            (-term.offset, term.weight)
            for term in self.problem.terms
            if term.name.startswith("after the best span:") and term.plus and term.plus.work == work.name
        ]
        self.tasks[work.name] = tasks = [
            self.model.add_task(
                job=self.model.add_job(due_date=late[0][0] + 1, weight=late[0][1]) if late else None,
                latest_end=self.problem.horizon + 1,
            )
            for _ in self.sizes[work.name]
        ]
        cases = self._cases(work)
        if cases:
            self.growth[work.name] = growth = self.model.add_task(latest_end=self.problem.horizon)
            self.model.add_start_at_start(growth, tasks[0])
        for task, pieces in zip(tasks, self.sizes[work.name], strict=True):
            for days, allowed in (cases or {0: self._allowed(work)}).items():
                modes = self._modes(work, task, pieces, allowed)
                if cases:
                    grows = self.model.add_mode(growth, [], days)
                    for mode in modes:
                        self.model.add_mode_dependency(mode, [grows])
        for one in tasks:
            for other in tasks:
                if one is not other:
                    self.model.add_start_before_start(one, other, -work.span)

    def _allowed(self, work: Work) -> list[int]:
        days = [
            day for day in range(self.problem.horizon + 1) if all(day in limit.days for limit in work.limits)
        ]
        return [day for day in days if all(day in table for table in work.tables.values())]

    def _cases(self, work: Work) -> dict[int, list[int]]:
        """For each number of days of growth the first days on which it takes so long."""
        cases: dict[int, list[int]] = defaultdict(list)
        for day in self._allowed(work) if READY in work.tables else ():
            if work.tables[READY][day] <= self.problem.horizon:
                cases[work.tables[READY][day] - day].append(day)
        return cases

    def _modes(self, work: Work, task: Task, pieces: int, allowed: list[int]) -> list[Mode]:
        """One day on a resource that is there on its allowed days only, in each vessel that the work fits."""
        free = set(allowed)
        taboo = [day for day in range(self.problem.horizon + 1) if day not in free]
        needs = [(self.model.add_renewable(1, breaks=_breaks(taboo)), 1)]
        needs += [
            (self.minutes[limit.name], limit.per_piece[work.name] * pieces)
            for limit in self.problem.day_limits
            if limit.per_piece.get(work.name)
        ]
        found = []
        for pot in [pot for pot in self.problem.cookers if work.name in pot.shares] or [None]:
            vessel = []
            if pot is not None:
                vessel = [(self.vessels[pot.name], pot.shares[work.name])]
                self.pots[len(self.model.modes)] = pot.name
            resources, amounts = zip(*needs, *vessel, strict=True)
            found.append(self.model.add_mode(task, list(resources), 1, list(amounts)))
        return found

    def _lag(self, lag: Lag) -> None:
        """A distance from a first day, a last day, or the end of growth to a first or a last day."""
        if lag.after.at not in ENDS or not self._is_said(lag.before):
            return
        from_start, ready = self.model.add_start_before_start, lag.before.at == READY
        at_least = self.model.add_end_before_start if ready else from_start
        at_most = self.model.add_start_before_end if ready else from_start
        for before in self._ends(lag.before):
            for after in self._ends(lag.after):
                if lag.least is not None:
                    at_least(before, after, lag.least)
                if lag.most is not None:
                    at_most(after, before, -lag.most)

    def _is_said(self, point: Point) -> bool:
        return point.at in ENDS or (point.at == READY and point.work in self.growth)

    def _ends(self, point: Point) -> list[Task]:
        return [self.growth[point.work]] if point.at == READY else self.tasks[point.work]

    def _stay(self, stay: Stay, room: Renewable) -> None:
        """A task that waits in a room from one point to the other."""
        if not (self._is_said(stay.start) and self._is_said(stay.end)):
            return
        waits = self.model.add_task(allow_idle=True, latest_end=self.problem.horizon + 1)
        self.model.add_mode(waits, room, 0, stay.amount)
        begins = self.model.add_start_at_end if stay.start.at == READY else self.model.add_start_at_start
        begins(waits, self._ends(stay.start)[0])
        reaches = self.model.add_end_before_end if stay.end.at == READY else self.model.add_start_before_end
        for end in self._ends(stay.end):
            reaches(end, waits)

    def solved(self, limit_s: float) -> Days | None:
        """What it finds, read back as days."""
        result = self.model.solve(time_limit=limit_s, num_workers=1, display=False)
        if result.status not in (SolveStatus.OPTIMAL, SolveStatus.FEASIBLE):
            return None
        index = {id(task): number for number, task in enumerate(self.model.tasks)}
        pieces: dict[str, dict[int, int]] = {}
        cooker: dict[str, str] = {}
        for name, tasks in self.tasks.items():
            on: dict[int, int] = defaultdict(int)
            for task, size in zip(tasks, self.sizes[name], strict=True):
                done = result.best.tasks[index[id(task)]]
                on[done.start] += size
                if done.mode in self.pots:
                    cooker[name] = self.pots[done.mode]
            pieces[name] = dict(sorted(on.items()))
        return Days(pieces, cooker, loads_of(self.problem, pieces, cooker))


def _breaks(days: list[int]) -> list[tuple[int, int]]:
    """Days as runs from a first day to the day after a last one."""
    runs: list[tuple[int, int]] = []
    for day in days:
        if runs and runs[-1][1] == day:
            runs[-1] = runs[-1][0], day + 1
        else:
            runs.append((day, day + 1))
    return runs
