"""What a set of days takes of hours, loads and rooms, and whether one work could lie elsewhere.

Used for what follows from a plan without another search: slip, redo-by, last safe start. It answers for
works of one day; spread works that lie on one day count as such. A work that nothing limits and that only
follows others (until when keep-backs are kept, when a batch has been used up) is a mark: it has no day of its
own here but always lies where the works before it put it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from scheduler.problem.shapes import Days, Lag, Point, Problem, Stay


class Usage:
    """The placed works of a plan. `take` removes a work, `put` places it, `fits` asks before placing."""

    def __init__(self, problem: Problem, days: Days) -> None:
        self.problem = problem
        self._pieces = {name: dict(on) for name, on in days.pieces.items()}
        self._cooker = dict(days.cooker)
        self._limits_used: list[dict[int, int]] = [defaultdict(int) for _ in problem.day_limits]
        self._shares: dict[tuple[int, str, str], int] = defaultdict(int)
        self._rooms: list[list[int]] = [[0] * (problem.horizon + 1) for _ in problem.rooms]
        self._lags: dict[str, list[Lag]] = defaultdict(list)
        self._stays: dict[str, list[tuple[int, Stay]]] = defaultdict(list)
        self._cookers = {cooker.name: cooker for cooker in problem.cookers}
        self._allowed: dict[str, frozenset[int]] = {}
        self._apart: dict[str, list[frozenset[str]]] = defaultdict(list)
        self._by_day: dict[int, set[str]] = defaultdict(set)
        for lag in problem.lags:
            for name in {lag.before.work, lag.after.work}:
                self._lags[name].append(lag)
        self._marks = _marks(problem)
        for index, room in enumerate(problem.rooms):
            for stay in room.stays:
                for name in self._movers(stay):
                    self._stays[name].append((index, stay))
        for apart in problem.aparts:
            for name in apart.left:
                self._apart[name].append(apart.right)
            for name in apart.right:
                self._apart[name].append(apart.left)
        placed, self._pieces = self._pieces, {}
        for name, on in placed.items():
            if name not in self._marks:
                self._place(name, on)

    def _movers(self, stay: Stay) -> set[str]:
        """Works whose day a stay depends on: those at its ends, and those that put a mark there."""
        names = {stay.start.work, stay.end.work}
        return names | {lag.before.work for name in names for lag in self._marks.get(name, ())}

    # --- placing --------------------------------------------------------------------------------------

    def day(self, name: str) -> int | None:
        """First day of a work, None while it is taken out."""
        on = self._pieces.get(name)
        return min(on) if on else None

    def take(self, name: str) -> dict[int, int]:
        """Remove a work and return its days with pieces."""
        on = self._pieces[name]
        self._weigh(name, on, -1)
        self._stand(name, -1)
        del self._pieces[name]
        self._stand(name, 1)
        for day in on:
            self._by_day[day].discard(name)
        return on

    def put(self, name: str, day: int) -> None:
        """Place a work on one day."""
        self._place(name, {day: self.problem.work(name).pieces})

    def put_back(self, name: str, on: dict[int, int]) -> None:
        """Place a work on the days `take` returned."""
        self._place(name, on)

    def _place(self, name: str, on: dict[int, int]) -> None:
        self._stand(name, -1)
        self._pieces[name] = on
        self._weigh(name, on, 1)
        self._stand(name, 1)
        for day in on:
            self._by_day[day].add(name)

    def _weigh(self, name: str, on: dict[int, int], sign: int) -> None:
        for index, limit in enumerate(self.problem.day_limits):
            each = limit.per_piece.get(name, 0)
            if each:
                for day, pieces in on.items():
                    self._limits_used[index][day] += sign * each * pieces
        key = self._load_key(name, next(iter(on)))
        if key:
            self._shares[key] += sign * self._cookers[key[1]].shares[name]

    def _load_key(self, name: str, day: int) -> tuple[int, str, str] | None:
        cooker = self._cooker.get(name)
        return (day, cooker, self._cookers[cooker].classes[name]) if cooker else None

    def _stand(self, name: str, sign: int) -> None:
        """Add or remove, as things lie, the stays that depend on `name` and whose ends both have a day."""
        for index, stay in self._stays[name]:
            span = self._span(stay)
            if span:
                profile = self._rooms[index]
                for day in range(*span):
                    profile[day] += sign * stay.amount

    def _span(self, stay: Stay) -> tuple[int, int] | None:
        start, end = self._at(stay.start), self._at(stay.end)
        if start is None or end is None:
            return None
        return start, min(end, self.problem.horizon + 1)

    def _at(self, point: Point) -> int | None:
        if point.work in self._marks:
            days = [(self._at(lag.before), lag.least or 0) for lag in self._marks[point.work]]
            return max((day + least for day, least in days if day is not None), default=None)
        on = self._pieces.get(point.work)
        return None if not on else self.problem.work(point.work).moment(point.at, on)

    # --- asking ---------------------------------------------------------------------------------------

    def allowed(self, name: str) -> frozenset[int]:
        """Days that the limits and tables of a work allow."""
        if name not in self._allowed:
            work = self.problem.work(name)
            days = frozenset(range(self.problem.horizon + 1))
            for limit in work.limits:
                days &= limit.days
            for table in (*work.tables.values(), *work.last_tables.values()):
                days &= {day for day, at in table.items() if 0 <= at <= self.problem.horizon}
            self._allowed[name] = days
        return self._allowed[name]

    def fits(self, name: str, day: int) -> bool:
        """Whether a work that was taken out could be placed on `day`; works taken out are ignored."""
        if day not in self.allowed(name) or self._has_neighbour(name, day):
            return False
        # Lags are cheap to ask and rule out most days: hours and rooms are weighed only where they hold.
        self._pieces[name] = {day: self.problem.work(name).pieces}
        held = self._lags_hold(name)
        del self._pieces[name]
        if not held:
            return False
        self.put(name, day)
        good = self._day_holds(name, day) and self._rooms_hold(name)
        self.take(name)
        return good

    def has_work(self, day: int) -> bool:
        """Whether a day holds work that takes time."""
        cost = self.problem.day_cost
        return (
            any(name in cost.minutes or name in self._cooker for name in self._by_day[day]) if cost else False
        )

    def _has_neighbour(self, name: str, day: int) -> bool:
        return any(self._by_day[day] & others for others in self._apart[name])

    def _lags_hold(self, name: str) -> bool:
        for lag in self._lags[name]:
            before, after = self._at(lag.before), self._at(lag.after)
            if before is None or after is None:
                continue
            gap = after - before
            if (lag.least is not None and gap < lag.least) or (lag.most is not None and gap > lag.most):
                return False
        return True

    def loads(self, day: int) -> dict[tuple[str, str], int]:
        """Loads of a day by (cooker, class), as many as the shares ask for."""
        found = {}
        for (on, cooker, time_class), shares in self._shares.items():
            if on == day and shares > 0:
                found[cooker, time_class] = -(-shares // self._cookers[cooker].share)
        return found

    def all_loads(self) -> dict[tuple[int, str, str], int]:
        """Loads by (day, cooker, class), as many as the shares ask for."""
        return {
            key: -(-shares // self._cookers[key[1]].share)
            for key, shares in sorted(self._shares.items())
            if shares > 0
        }

    def _day_holds(self, name: str, day: int) -> bool:
        loads = self.loads(day) if self.problem.cookers else {}
        per_cooker: dict[str, int] = defaultdict(int)
        for (cooker, _), count in loads.items():
            per_cooker[cooker] += count
        if any(count > self._cookers[cooker].loads_per_day for cooker, count in per_cooker.items()):
            return False
        for index, limit in enumerate(self.problem.day_limits):
            used = self._limits_used[index][day]
            used += sum(limit.loads.get(key, 0) * count for key, count in loads.items())
            if used > limit.capacity.get(day, 0):
                return False
        return True

    def _rooms_hold(self, name: str) -> bool:
        for index, stay in self._stays[name]:
            span = self._span(stay)
            if span is None:
                continue
            capacity = self.problem.rooms[index].capacity
            if span[1] < span[0] or any(self._rooms[index][day] > capacity for day in range(*span)):
                return False
        return True

    # --- moving ---------------------------------------------------------------------------------------

    def latest(self, name: str, *, not_before: int, not_after: int) -> int | None:
        """Latest day within bounds on which a work that was taken out fits."""
        days = (day for day in self._late_first(name) if not_before <= day <= not_after)
        return next((day for day in days if self.fits(name, day)), None)

    def _late_first(self, name: str) -> list[int]:
        return sorted(self.allowed(name), reverse=True)

    def slip(self, *names: str) -> int | None:
        """Latest day to which works of one day can move together, all others fixed; None if none."""
        now = self.day(names[0])
        if now is None or any(self._pieces[name].keys() != {now} for name in names):
            return None
        before = {name: self.take(name) for name in names}
        last = min(self._last_by_lags(name) for name in names)
        days = (day for day in self._late_first(names[0]) if now < day <= last)
        far = next((day for day in days if self._fit_together(names, day)), None)
        for name in names:
            self.put_back(name, before[name])
        return far

    def _fit_together(self, names: Sequence[str], day: int) -> bool:
        """Whether works that were taken out could all be placed on `day`."""
        placed = []
        for name in names:
            if not self.fits(name, day):
                break
            self.put(name, day)
            placed.append(name)
        for name in placed:
            self.take(name)
        return len(placed) == len(names)

    def _last_by_lags(self, name: str) -> int:
        """A cheap upper bound: the nearest placed work that has to come later."""
        last = self.problem.horizon
        for lag in self._lags[name]:
            if lag.before.work == name and lag.least is not None and lag.after.work not in self._marks:
                after = self._at(lag.after)
                if after is not None:
                    last = min(last, after - lag.least) if lag.before.at in ("first", "last") else last
        return last

    def right_justify(self, names: Sequence[str]) -> dict[str, int]:
        """Days of the named works when each in turn is moved as late as it fits, until none can move further.

        Everything else stays where it is, and so do works that are spread over days. Every step keeps a plan
        that may stand. The plan is left as it was.
        """
        before = {name: dict(self._pieces[name]) for name in names}
        moved = True
        while moved:
            moved = False
            for name in names:
                if len(self._pieces[name]) == 1:
                    far = self.slip(name)
                    if far is not None:
                        self.take(name)
                        self.put(name, far)
                        moved = True
        found = {name: min(self._pieces[name]) for name in names}
        for name in names:
            self.take(name)
        for name, on in before.items():
            self.put_back(name, on)
        return found


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
