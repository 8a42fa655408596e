"""Whether days hold what they are given: minutes, loads, rooms, and what keeps apart."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from scheduler.checker.violation import Violation
from scheduler.checker.works import day_of
from scheduler.problem.shapes import Days, Problem, Room


def day_limits(problem: Problem, days: Days) -> Iterator[Violation]:
    """No day gives more of anything than it has; a day that is not listed has nothing."""
    for limit in problem.day_limits:
        taken: Counter[int] = Counter()
        for name, amount in limit.per_piece.items():
            for day, done in days.pieces.get(name, {}).items():
                taken[day] += done * amount
        for (day, cooker, time_class), count in days.loads.items():
            taken[day] += count * limit.loads.get((cooker, time_class), 0)
        for day, amount in sorted(taken.items()):
            if amount > limit.capacity.get(day, 0):
                yield Violation(
                    limit.rule, f"{limit.name}: {amount} of {limit.capacity.get(day, 0)} on day {day}"
                )


def assigned(problem: Problem, days: Days) -> Iterator[Violation]:
    """Every cooked work is in one cooker that it fits, and nothing else is in a cooker."""
    fits: dict[str, set[str]] = {}
    for cooker in problem.cookers:
        for name in cooker.shares:
            fits.setdefault(name, set()).add(cooker.name)
    for name, cookers in fits.items():
        if days.cooker.get(name) not in cookers:
            yield Violation("cooker", f"{name} in {days.cooker.get(name)}, fits {', '.join(sorted(cookers))}")
    for name in sorted(days.cooker.keys() - fits.keys()):
        yield Violation("cooker", f"{name} is not cooked, but is in {days.cooker[name]}")


def loads(problem: Problem, days: Days) -> Iterator[Violation]:
    """The listed loads hold what is cooked, none is listed in vain, and no cooker has too many a day."""
    by_name = {cooker.name: cooker for cooker in problem.cookers}
    needed: Counter[tuple[int, str, str]] = Counter()
    for name, chosen in days.cooker.items():
        cooker = by_name.get(chosen)
        lies = days.pieces.get(name)
        if cooker is not None and name in cooker.shares and lies:
            needed[min(lies), chosen, cooker.classes[name]] += cooker.shares[name]
    a_day: Counter[tuple[int, str]] = Counter()
    for key in sorted(needed.keys() | days.loads.keys()):
        day, chosen, time_class = key
        listed = days.loads.get(key, 0)
        a_day[day, chosen] += listed
        if chosen not in by_name:
            yield Violation("cooker", f"{listed} loads on day {day} in {chosen}, which is not there")
            continue
        share = by_name[chosen].share
        if needed[key] > listed * share:
            yield Violation(
                "loads", f"{needed[key]} of {listed * share} parts of {time_class} on day {day} in {chosen}"
            )
        if key in days.loads and (listed < 1 or (listed - 1) * share >= needed[key]):
            yield Violation(
                "empty-load", f"{listed} loads of {time_class} on day {day} in {chosen}, one is empty"
            )
    for (day, chosen), count in sorted(a_day.items()):
        if chosen in by_name and count > by_name[chosen].loads_per_day:
            yield Violation(
                by_name[chosen].rule,
                f"{count} loads of {by_name[chosen].loads_per_day} on day {day} in {chosen}",
            )


def rooms(problem: Problem, days: Days) -> Iterator[Violation]:
    """No room ever holds more than its capacity; what leaves on a day makes room on that day."""
    for room in problem.rooms:
        for stay in room.stays:
            start, end = day_of(problem, days, stay.start), day_of(problem, days, stay.end)
            if start is not None and end is not None and end < start:
                yield Violation(room.rule, f"{room.name}: from day {start} to day {end}")
        fullest = _fullest(problem, days, room)
        if fullest is not None and fullest[0] > room.capacity:
            yield Violation(room.rule, f"{room.name}: {fullest[0]} of {room.capacity} on day {fullest[1]}")


def _fullest(problem: Problem, days: Days, room: Room) -> tuple[int, int] | None:
    """Largest amount in a room and the first day of it."""
    held: Counter[int] = Counter()
    for stay in room.stays:
        start, end = day_of(problem, days, stay.start), day_of(problem, days, stay.end)
        if start is not None and end is not None:
            held.update(dict.fromkeys(range(start, end), stay.amount))
    if not held:
        return None
    day = max(sorted(held), key=lambda day: held[day])
    return held[day], day


def aparts(problem: Problem, days: Days) -> Iterator[Violation]:
    """Works that are to be kept apart never share a day."""
    for apart in problem.aparts:
        left = {day for name in apart.left for day in days.pieces.get(name, {})}
        right = {day for name in apart.right for day in days.pieces.get(name, {})}
        for day in sorted(left & right):
            yield Violation(apart.rule, f"day {day} holds works of both kinds")
