"""Every answer to a tiny Problem, found by trying them all: written from the words of the Problem alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from itertools import product

from scheduler.problem.shapes import Days, Point, Problem, Work

Pieces = Mapping[str, Mapping[int, int]]


def answers(problem: Problem) -> Iterator[Days]:
    """All answers that keep every rule, with the fewest loads that hold what is cooked."""
    names = [work.name for work in problem.works]
    fits = {
        name: [pot.name for pot in problem.cookers if name in pot.shares]
        for name in names
        if any(name in pot.shares for pot in problem.cookers)
    }
    for choice in product(*(list(_spreads(problem, work)) for work in problem.works)):
        pieces = dict(zip(names, choice, strict=True))
        if not (_lags(problem, pieces) and _rooms(problem, pieces) and _aparts(problem, pieces)):
            continue
        for pots in product(*fits.values()):
            cooker = dict(zip(fits, pots, strict=True))
            days = Days(pieces, cooker, _loads(problem, pieces, cooker))
            if _cookers(problem, days) and _day_limits(problem, days):
                yield days


def cost(problem: Problem, days: Days, tier: int) -> int:
    """What an answer costs in a tier of terms, or in days with work (tier 5)."""
    if tier == 5:
        price = problem.day_cost
        if price is None:
            return 0
        cooked = {name for pot in problem.cookers for name in pot.shares}
        used = {day for name in cooked | price.minutes.keys() for day in days.pieces[name]}
        dear = sum(
            done * minutes
            for name, minutes in price.minutes.items()
            for day, done in days.pieces[name].items()
            if day in price.dear
        )
        dear += sum(
            count * price.loads.get((pot, kind), 0)
            for (day, pot, kind), count in days.loads.items()
            if day in price.dear
        )
        return price.each * len(used) + dear
    total = 0
    for term in problem.terms:
        if term.tier == tier:
            above = term.offset + (day(problem, days.pieces, term.plus) if term.plus else 0)
            above -= day(problem, days.pieces, term.minus) if term.minus else 0
            total += term.weight * (above > 0 if term.flat else max(0, above))
    return total


def day(problem: Problem, pieces: Pieces, point: Point) -> int:
    """The day of a point."""
    work, done = problem.work(point.work), pieces[point.work]
    if point.at in work.tables:
        return work.tables[point.at][min(done)]
    if point.at in work.last_tables:
        return work.last_tables[point.at][max(done)]
    return min(done) if point.at == "first" else max(done)


def _spreads(problem: Problem, work: Work) -> Iterator[dict[int, int]]:
    """Every way to lay the pieces of a work on days that its own rules allow."""
    allowed = [d for d in range(problem.horizon + 1) if all(d in limit.days for limit in work.limits)]
    for done in _laid(allowed, work.pieces, min(work.least, work.pieces)):
        if max(done) - min(done) > work.span:
            continue
        ends = [table.get(min(done), -1) for table in work.tables.values()]
        ends += [table.get(max(done), -1) for table in work.last_tables.values()]
        if all(0 <= end <= problem.horizon for end in ends):
            yield done


def _laid(days: list[int], pieces: int, fewest: int) -> Iterator[dict[int, int]]:
    """Every way to lay so many pieces on some of the days, at least the fewest on each."""
    if pieces == 0:
        yield {}
        return
    for number, first in enumerate(days):
        for here in range(fewest, pieces + 1):
            for rest in _laid(days[number + 1 :], pieces - here, fewest):
                yield {first: here, **rest}


def _lags(problem: Problem, pieces: Pieces) -> bool:
    for lag in problem.lags:
        apart = day(problem, pieces, lag.after) - day(problem, pieces, lag.before)
        if (lag.least is not None and apart < lag.least) or (lag.most is not None and apart > lag.most):
            return False
    return True


def _rooms(problem: Problem, pieces: Pieces) -> bool:
    for room in problem.rooms:
        stays = [(day(problem, pieces, s.start), day(problem, pieces, s.end), s.amount) for s in room.stays]
        if any(start > end for start, end, _ in stays):
            return False
        held: Counter[int] = Counter()
        for start, end, amount in stays:
            held.update(dict.fromkeys(range(start, end), amount))
        if any(amount > room.capacity for amount in held.values()):
            return False
    return True


def _aparts(problem: Problem, pieces: Pieces) -> bool:
    return not any(
        {d for name in apart.left for d in pieces[name]} & {d for name in apart.right for d in pieces[name]}
        for apart in problem.aparts
    )


def _loads(problem: Problem, pieces: Pieces, cooker: Mapping[str, str]) -> dict[tuple[int, str, str], int]:
    parts: Counter[tuple[int, str, str]] = Counter()
    pots = {pot.name: pot for pot in problem.cookers}
    for name, pot in cooker.items():
        parts[min(pieces[name]), pot, pots[pot].classes[name]] += pots[pot].shares[name]
    return {key: -(-count // pots[key[1]].share) for key, count in parts.items()}


def _cookers(problem: Problem, days: Days) -> bool:
    a_day: Counter[tuple[int, str]] = Counter()
    for (when, pot, _), count in days.loads.items():
        a_day[when, pot] += count
    most = {pot.name: pot.loads_per_day for pot in problem.cookers}
    return all(count <= most[pot] for (_, pot), count in a_day.items())


def _day_limits(problem: Problem, days: Days) -> bool:
    for limit in problem.day_limits:
        taken: Counter[int] = Counter()
        for name, each in limit.per_piece.items():
            for when, done in days.pieces[name].items():
                taken[when] += each * done
        for (when, pot, kind), count in days.loads.items():
            taken[when] += count * limit.loads.get((pot, kind), 0)
        if any(amount > limit.capacity.get(when, 0) for when, amount in taken.items()):
            return False
    return True
