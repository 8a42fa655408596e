"""What a set of days takes of hours, loads and rooms, and whether a work could lie elsewhere.

Used for what follows from a plan without another search: slip, and with `justify` redo-by and last safe
start. Works are taken out and placed as a whole, on one day; only `slip_part` moves a day's part of a work
spread over several.
Marks (see `ties`) have no day of their own here: they always lie where the works before them put them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from scheduler.problem.shapes import Days, Point, Problem, Stay
from scheduler.problem.ties import Ties


class Usage:
    """The placed works of a plan. `take` removes a work, `put` places it, `fits` asks before placing."""

    def __init__(self, problem: Problem, days: Days) -> None:
        self.problem = problem
        self._ties = Ties(problem)
        self._pieces: dict[str, Mapping[int, int]] = {}
        self._cooker = dict(days.cooker)
        self._limits_used: list[dict[int, int]] = [defaultdict(int) for _ in problem.day_limits]
        self._shares: dict[tuple[int, str, str], int] = defaultdict(int)
        self._rooms: list[list[int]] = [[0] * (problem.horizon + 1) for _ in problem.rooms]
        self._cookers = {cooker.name: cooker for cooker in problem.cookers}
        self._by_day: dict[int, set[str]] = defaultdict(set)
        for name, on in days.pieces.items():
            if name not in self._ties.marks:
                self._place(name, on)

    # --- placing --------------------------------------------------------------------------------------

    def day(self, name: str) -> int | None:
        """First day of a work, None while it is taken out."""
        on = self._pieces.get(name)
        return min(on) if on else None

    def lies(self, name: str) -> Mapping[int, int]:
        """Days of a work with pieces; KeyError while it is taken out."""
        return self._pieces[name]

    def marks(self) -> dict[str, dict[int, int]]:
        """Days of the works that only mark when others are over, such as the day a batch is used up."""
        days = {name: self._at(Point(name)) for name in self._ties.marks}
        return {name: {day: 1} for name, day in days.items() if day is not None}

    def take(self, name: str) -> Mapping[int, int]:
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

    def put_back(self, name: str, on: Mapping[int, int]) -> None:
        """Place a work on the days `take` returned."""
        self._place(name, on)

    def _place(self, name: str, on: Mapping[int, int]) -> None:
        self._stand(name, -1)
        self._pieces[name] = on
        self._weigh(name, on, 1)
        self._stand(name, 1)
        for day in on:
            self._by_day[day].add(name)

    def _weigh(self, name: str, on: Mapping[int, int], sign: int) -> None:
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
        for index, stay in self._ties.stays[name]:
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
        if point.work in self._ties.marks:
            days = [(self._at(lag.before), lag.least or 0) for lag in self._ties.marks[point.work]]
            return max((day + least for day, least in days if day is not None), default=None)
        on = self._pieces.get(point.work)
        return None if not on else self.problem.work(point.work).moment(point.at, on)

    # --- asking ---------------------------------------------------------------------------------------

    def fits(self, name: str, day: int) -> bool:
        """Whether a work that was taken out could be placed on `day`; works taken out are ignored."""
        if day not in self._ties.allowed(name):
            return False
        return self._fits(name, {day: self.problem.work(name).pieces}, day)

    def fits_over(self, name: str, on: Mapping[int, int]) -> bool:
        """The same for several days, each with so many of its pieces."""
        return self._ties.may_lie(name, on) and all(self._fits(name, on, day) for day in on)

    def _fits(self, name: str, on: Mapping[int, int], day: int) -> bool:
        """Whether a work that was taken out could lie on days that its limits and tables allow.

        Hours and neighbours are asked of `day` alone: on the other days nothing is new.
        """
        if self._has_neighbour(name, day):
            return False
        # Lags are cheap to ask and rule out most days: hours and rooms are weighed only where they hold.
        self._pieces[name] = on
        held = self._lags_hold(name)
        del self._pieces[name]
        if not held:
            return False
        self._place(name, on)
        good = self._day_holds(day) and self._rooms_hold(name)
        self.take(name)
        return good

    def left(self, room: str, day: int) -> int:
        """What is free of a room on a day, in the parts of the problem; KeyError if there is no such room."""
        for index, known in enumerate(self.problem.rooms):
            if known.name == room:
                return known.capacity - self._rooms[index][day]
        raise KeyError(room)

    def has_work(self, day: int) -> bool:
        """Whether a day holds work that takes time."""
        cost = self.problem.day_cost
        return (
            any(name in cost.minutes or name in self._cooker for name in self._by_day[day]) if cost else False
        )

    def _has_neighbour(self, name: str, day: int) -> bool:
        return any(self._by_day[day] & others for others in self._ties.apart[name])

    def _lags_hold(self, name: str) -> bool:
        for lag in self._ties.lags[name]:
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

    def _day_holds(self, day: int) -> bool:
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
        for index, stay in self._ties.stays[name]:
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
        days = (day for day in self.late_first(name) if not_before <= day <= not_after)
        return next((day for day in days if self.fits(name, day)), None)

    def late_first(self, name: str) -> list[int]:
        """Days that the limits and tables of a work allow to all of it, the latest first."""
        return self._ties.late_first(name)

    def slip(self, *names: str) -> int | None:
        """Latest day to which works of one day can move together, all others fixed; None if none."""
        now = self.day(names[0])
        if now is None or any(self._pieces[name].keys() != {now} for name in names):
            return None
        last = min(self.last_by_lags(name, names) for name in names)
        days = [day for day in self.late_first(names[0]) if now < day <= last]
        if not days:
            return None
        before = {name: self.take(name) for name in names}
        far = next((day for day in days if self._fit_together(names, day)), None)
        for name in names:
            self.put_back(name, before[name])
        return far

    def slip_part(self, name: str, day: int) -> int | None:
        """Latest day to which a work's part on `day` can move, all else fixed; None if there is none.

        All its pieces move to one day, which may hold a part of the same work already, and may lie behind
        later parts: parts differ in nothing but their day. A work that lies on one day moves as a whole.
        """
        if len(self._pieces[name]) == 1:
            return self.slip(name)
        before = self.take(name)
        rest = {other: pieces for other, pieces in before.items() if other != day}
        # Every part lies within the span of the first that stays: that leaves few days to try.
        end = min(rest) + self.problem.work(name).span
        far = None
        for later in sorted((d for d in self._ties.limited(name) if day < d <= end), reverse=True):
            on = {**rest, later: rest.get(later, 0) + before[day]}
            if self._ties.may_lie(name, on) and self._fits(name, on, later):
                far = later
                break
        self.put_back(name, before)
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

    def last_by_lags(self, name: str, together: Sequence[str] = ()) -> int:
        """A cheap bound on how late a work can lie: by the nearest that follows it, or is followed soon.

        Works that move `together` with it bind nothing, nor do those that were taken out.
        """
        last = self.problem.horizon
        for lag in self._ties.lags[name]:
            own, other = (lag.before, lag.after) if lag.before.work == name else (lag.after, lag.before)
            if own.at not in ("first", "last") or other.work in together or other.work in self._ties.marks:
                continue
            day = self._at(other)
            if day is None:
                continue
            if own is lag.before and lag.least is not None:
                last = min(last, day - lag.least)
            elif own is lag.after and lag.most is not None:
                last = min(last, day + lag.most)
        return last
