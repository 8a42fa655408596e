"""The rules of a Problem as constraints: one function and one sentence for each kind."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

from scheduler.problem.shapes import Apart, Cooker, DayLimit, Lag, Room
from scheduler.solve.variables import Here, Linear, Variables

Cooked = Mapping[tuple[str, str], Mapping[int, Here]]
"""By work and cooker: whether it is cooked there on a day."""
Loads = Mapping[tuple[int, str, str], Linear]
"""How many loads by day, cooker and class."""


def lag(model: Variables, rule: Lag) -> None:
    """Two points keep their least and their most distance."""
    distance = model.point(rule.after) - model.point(rule.before)
    if rule.least is not None:
        model.require(distance >= rule.least)
    if rule.most is not None:
        model.require(distance <= rule.most)


def cooked(model: Variables) -> Cooked:
    """Each cooked work is in exactly one of the cookers that it fits, on its day."""
    fits: dict[str, list[str]] = defaultdict(list)
    for pot in model.problem.cookers:
        for name in pot.shares:
            fits[name].append(pot.name)
    inside: dict[tuple[str, str], dict[int, Here]] = {}
    for name, cookers in fits.items():
        if name in model.held.cooker:
            cookers = [model.held.cooker[name]]
        if len(cookers) == 1:
            inside[name, cookers[0]] = model.on[name]
            continue
        for cooker in cookers:
            inside[name, cooker] = {day: model.boolean(f"{name}@{day} {cooker}") for day in model.on[name]}
        for day, here in model.on[name].items():
            model.require(sum([inside[name, cooker][day] for cooker in cookers]) == here)
    return inside


def loads(model: Variables, rule: Cooker, inside: Cooked) -> Loads:
    """A load holds one class and no more than its parts, none is empty, and a day has only so many loads."""
    held: dict[tuple[int, str], list[tuple[Linear, int]]] = defaultdict(list)
    for name, share in rule.shares.items():
        for day, here in inside.get((name, rule.name), {}).items():
            held[day, rule.classes[name]].append((here, share))
    result: dict[tuple[int, str, str], Linear] = {}
    by_day: dict[int, list[Linear]] = defaultdict(list)
    for (day, time_class), parts in sorted(held.items()):
        result[day, rule.name, time_class] = count = _count(model, rule, parts, f"{time_class} {day}")
        by_day[day].append(count)
    for counts in by_day.values():
        if len(counts) > 1 or isinstance(counts[0], int):
            model.require(sum(counts) <= rule.loads_per_day)
    return result


def _count(model: Variables, rule: Cooker, parts: list[tuple[Linear, int]], name: str) -> Linear:
    """How many loads hold these parts, none of them empty."""
    total = _total(parts)
    if isinstance(total, int):
        return -(-total // rule.share)
    enough = -(-sum(share for _, share in parts) // rule.share)
    count = model.between(0, min(enough, rule.loads_per_day), f"{rule.name} {name}")
    model.cp.add_linear_constraint(count * rule.share - total, 0, rule.share - 1)
    return count


def day_limit(model: Variables, rule: DayLimit, loads: Loads) -> None:
    """Pieces and loads take no more of a day than it offers."""
    taken: dict[int, list[tuple[Linear, int]]] = defaultdict(list)
    for name, amount in rule.per_piece.items():
        for day, pieces in model.pieces[name].items():
            taken[day].append((pieces, amount))
    for (day, cooker, time_class), count in loads.items():
        if (cooker, time_class) in rule.loads:
            taken[day].append((count, rule.loads[cooker, time_class]))
    for day, parts in taken.items():
        model.require(_total(parts) <= rule.capacity.get(day, 0))


def room(model: Variables, rule: Room) -> None:
    """No day finds more in a room than fits; a stay never ends before it starts."""
    if all(model.is_settled(stay.start, stay.end) for stay in rule.stays):
        return
    intervals = []
    for number, stay in enumerate(rule.stays):
        (early, late), (soon, far) = model.reach(stay.start), model.reach(stay.end)
        start, end = model.point(stay.start), model.point(stay.end)
        length: Linear = far - early
        if not model.is_settled(stay.start, stay.end):
            length = model.between(max(0, soon - late), max(0, far - early), f"{rule.name} {number}")
        intervals.append(model.cp.new_interval_var(start, length, end, ""))
    amounts = [stay.amount for stay in rule.stays]
    if sum(amounts) > rule.capacity:
        model.cp.add_cumulative(intervals, amounts, rule.capacity)


def apart(model: Variables, rule: Apart, number: int) -> None:
    """A day belongs to one side, or to the other, or to neither."""
    left = {day for name in rule.left for day in model.on[name]}
    right = {day for name in rule.right for day in model.on[name]}
    for day in sorted(left & right):
        side = model.boolean(f"apart {number} {day}")
        for name in sorted(rule.left):
            if day in model.on[name]:
                model.implies(model.on[name][day], side)
        for name in sorted(rule.right):
            if day in model.on[name]:
                model.implies(model.on[name][day], ~side)


def _total(parts: Iterable[tuple[Linear, int]]) -> Linear:
    return sum([part * amount for part, amount in parts])
