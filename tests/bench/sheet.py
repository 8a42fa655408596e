"""A sheet of days on which works are put one by one, and which knows what still goes beside them."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from typing import TypeVar

from scheduler.problem.shapes import Cooker, DayLimit, Lag, Point, Problem, Stay, Term
from scheduler.solve.model import loads_of

Pieces = Mapping[int, int]
T = TypeVar("T")


class Sheet:
    """Works with their days so far; every rule of the Problem holds among those that have some."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.pieces: dict[str, Pieces] = {}
        self.cooker: dict[str, str] = {}
        self._here: dict[int, set[str]] = defaultdict(set)
        self._taken: Counter[tuple[str, int]] = Counter()
        self._parts: dict[int, Counter[tuple[str, str]]] = defaultdict(Counter)
        self._held = [Counter[int]() for _ in problem.rooms]
        self._pots = {pot.name: pot for pot in problem.cookers}
        self.lags: Mapping[str, list[Lag]] = _by_work(
            (lag, (lag.before.work, lag.after.work)) for lag in problem.lags
        )
        self._terms: Mapping[str, list[Term]] = _by_work(
            (term, [point.work for point in (term.plus, term.minus) if point]) for term in problem.terms
        )
        self._stays: Mapping[str, list[tuple[int, Stay]]] = _by_work(
            ((number, stay), (stay.start.work, stay.end.work))
            for number, room in enumerate(problem.rooms)
            for stay in room.stays
        )
        self._limits: Mapping[str, list[DayLimit]] = _by_work(
            (limit, limit.per_piece) for limit in problem.day_limits
        )
        self._fits: Mapping[str, list[Cooker]] = _by_work((pot, pot.shares) for pot in problem.cookers)
        self._apart: Mapping[str, list[frozenset[str]]] = _by_work(
            (others, names)
            for apart in problem.aparts
            for names, others in ((apart.left, apart.right), (apart.right, apart.left))
        )

    def at(self, point: Point | None) -> int | None:
        """The day of a point, 0 for None; None while its work has no day."""
        if point is None:
            return 0
        lies = self.pieces.get(point.work)
        return None if lies is None else self.problem.work(point.work).moment(point.at, lies)

    def room_for(self, name: str, day: int) -> int:
        """How many pieces of a work the minutes of a day still allow."""
        work = self.problem.work(name)
        return min(
            [
                work.pieces,
                *(
                    self._left(limit, day) // limit.per_piece[name]
                    for limit in self._limits[name]
                    if limit.per_piece[name]
                ),
            ]
        )

    def cost_at(self, name: str, pieces: Pieces) -> int | None:
        """What the aims cost that speak of a work and of those that have days; None where a distance fails."""
        self.pieces[name] = pieces
        cost = sum(map(self._cost, self._terms[name])) if self._lags_hold(name) else None
        del self.pieces[name]
        return cost

    def put(self, name: str, pieces: Pieces) -> bool:
        """Puts a work on its days if all rules hold beside what is there already; else nothing changes."""
        self.pieces[name] = pieces
        self._count(name, 1)
        if self._lags_hold(name) and self._days_hold(name) and self._rooms_hold(name) and self._cooks(name):
            return True
        self.take(name)
        return False

    def take(self, name: str) -> None:
        """Takes a work away again."""
        if name in self.cooker:
            pot = self._pots[self.cooker.pop(name)]
            self._parts[min(self.pieces[name])][pot.name, pot.classes[name]] -= pot.shares[name]
        self._count(name, -1)
        del self.pieces[name]

    def loads(self) -> dict[tuple[int, str, str], int]:
        """The loads of what has been put into cookers."""
        return loads_of(self.problem, self.pieces, self.cooker)

    def _count(self, name: str, sign: int) -> None:
        for day, count in self.pieces[name].items():
            (self._here[day].add if sign > 0 else self._here[day].discard)(name)
            for limit in self._limits[name]:
                self._taken[limit.name, day] += sign * count * limit.per_piece[name]
        for number, stay in self._stays[name]:
            for day in self._during(stay):
                self._held[number][day] += sign * stay.amount

    def _during(self, stay: Stay) -> range:
        start, end = self.at(stay.start), self.at(stay.end)
        return range(0) if start is None or end is None else range(start, end)

    def _left(self, limit: DayLimit, day: int) -> int:
        loads = sum(
            limit.loads.get((pot, kind), 0) * -(-parts // self._pots[pot].share)
            for (pot, kind), parts in self._parts[day].items()
        )
        return limit.capacity.get(day, 0) - self._taken[limit.name, day] - loads

    def _lags_hold(self, name: str) -> bool:
        for lag in self.lags[name]:
            before, after = self.at(lag.before), self.at(lag.after)
            if before is None or after is None:
                continue
            if lag.least is not None and after - before < lag.least:
                return False
            if lag.most is not None and after - before > lag.most:
                return False
        return True

    def _days_hold(self, name: str) -> bool:
        return not any(
            any(self._left(limit, day) < 0 for limit in self._limits[name])
            or any(self._here[day] & others for others in self._apart[name])
            for day in self.pieces[name]
        )

    def _rooms_hold(self, name: str) -> bool:
        for number, stay in self._stays[name]:
            start, end = self.at(stay.start), self.at(stay.end)
            if start is not None and end is not None and end < start:
                return False
            if any(
                self._held[number][day] > self.problem.rooms[number].capacity for day in self._during(stay)
            ):
                return False
        return True

    def _cooks(self, name: str) -> bool:
        """Finds a cooker: first one whose load has room left, then one with a load to spare."""
        day = min(self.pieces[name])
        held = self._parts[day]
        for pot in sorted(
            self._fits[name], key=lambda pot: _more(held[pot.name, pot.classes[name]], pot, name)
        ):
            held[pot.name, pot.classes[name]] += pot.shares[name]
            loads = sum(-(-parts // pot.share) for (other, _), parts in held.items() if other == pot.name)
            if loads <= pot.loads_per_day and all(
                self._left(limit, day) >= 0 for limit in self.problem.day_limits
            ):
                self.cooker[name] = pot.name
                return True
            held[pot.name, pot.classes[name]] -= pot.shares[name]
        return not self._fits[name]

    def _cost(self, term: Term) -> int:
        plus, minus = self.at(term.plus), self.at(term.minus)
        if plus is None or minus is None:
            return 0
        above = max(0, term.offset + plus - minus)
        return term.weight * (min(1, above) if term.flat else above)


def _more(held: int, pot: Cooker, name: str) -> int:
    """How many loads more a work makes."""
    return -(-(held + pot.shares[name]) // pot.share) - -(-held // pot.share)


def _by_work(facts: Iterable[tuple[T, Iterable[str]]]) -> Mapping[str, list[T]]:
    """What is said of each work."""
    found: dict[str, list[T]] = defaultdict(list)
    for fact, names in facts:
        for name in dict.fromkeys(names):
            found[name].append(fact)
    return found
