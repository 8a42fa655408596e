"""What to buy, by when: needed less its lead time. Orders cost no hours and stand in no aim."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta

from scheduler.assemble.batches import uses
from scheduler.assemble.frame import Frame
from scheduler.assemble.words import spawn_words, substrate
from scheduler.lines.shapes import BatchSpec
from scheduler.plan import MakeOrBuy, Order, Task
from scheduler.problem import bench, yard
from scheduler.season.season import Planting

CULTURES = ("liquid culture", "plate", "slant")


def orders(frame: Frame) -> tuple[Order, ...]:
    """All orders, the most urgent first."""
    found: list[Order] = []
    for batch in frame.batches.values():
        found += _for_batch(frame, batch)
    for planting in frame.season.plantings:
        found += _for_planting(frame, planting)
    return tuple(sorted(_together(found), key=lambda o: (o.order_by, o.needed_on, o.item, o.for_)))


def _together(found: list[Order]) -> list[Order]:
    """The same thing needed on the same day is one order, for everybody who needs it."""
    same: dict[tuple[object, ...], Order] = {}
    for order in found:
        key = (order.item, order.unit, order.order_by, order.needed_on)
        if key in same:
            names = tuple(dict.fromkeys((*same[key].for_, *order.for_)))
            order = replace(order, quantity=round(same[key].quantity + order.quantity, 1), for_=names)
        same[key] = order
    return list(same.values())


def _order(
    frame: Frame, item: str, quantity: float, unit: str, needed: date, lead: int, names: Iterable[str]
) -> Order:
    by = needed - timedelta(days=lead)
    return Order(item, quantity, unit, by, needed, tuple(names), late=by < frame.season.today)


def _for_batch(frame: Frame, batch: BatchSpec) -> list[Order]:
    lead = frame.season.lead
    names = batch.plantings
    if batch.state == "bought":
        used = uses(frame, batch)
        needed = min(used[0], frame.ready_on(batch)) if used else frame.ready_on(batch)
        what = f"{batch.species} {batch.strain}" if batch.strain != "house" else batch.species
        if batch.stage in CULTURES:
            liquid = batch.stage == "liquid culture"
            quantity = batch.unit_mass_g if liquid else batch.started
            unit = "mL" if liquid else "pieces"
            return [_order(frame, f"{what} {batch.stage}", quantity, unit, needed, lead.culture, names)]
        days = lead.grain if batch.stage == "grain" else lead.spawn
        item = f"{what} {spawn_words(batch.stage)}, {batch.container}"
        return [_order(frame, item, batch.started, "pieces", needed, days, names)]
    if batch.growth is None:
        return []
    if bench.is_cooked(batch):
        needed = frame.first(bench.cook(batch)) - timedelta(days=1)
        days = lead.grain if batch.stage == "grain" else lead.supplies
        return [
            _order(frame, supply.item, supply.quantity, supply.unit, needed, days, names)
            for supply in substrate(frame, batch)
            if supply.item != "water"
        ]
    needed = frame.first(bench.inoculate(batch))
    item = f"{batch.container} with medium, ready to use"
    return [_order(frame, item, batch.started, "pieces", needed, lead.supplies, names)]


def _for_planting(frame: Frame, planting: Planting) -> list[Order]:
    demand = frame.sizing.demand(planting.name)
    lead = frame.season.lead
    first = frame.first(yard.plant(planting.name))
    found = [
        _order(frame, s.item, s.quantity, s.unit, first, lead.supplies, [planting.name])
        for s in demand.supplies
    ]
    chips = yard.prepare_chips(planting.name)
    if frame.has(chips):
        litres = math.ceil(demand.chips_l)
        found.append(
            _order(
                frame, "fresh hardwood chips", litres, "L", frame.first(chips), lead.chips, [planting.name]
            )
        )
    fell = yard.fell(planting.name)
    if frame.season.people.felling == "bought" and frame.has(fell) and planting.felled is None:
        item = f"fresh logs, {planting.wood or 'hardwood'}, {demand.size}"
        found.append(
            _order(frame, item, demand.pieces, "pieces", frame.first(fell), lead.supplies, [planting.name])
        )
    return found


def make_or_buy(frame: Frame, tasks: Iterable[Task]) -> tuple[MakeOrBuy, ...]:
    """Beside each line the plain alternative: bags bought, by when, and what that would save."""
    tasks = list(tasks)
    lab_days = _days_by_line(frame, tasks)
    found = []
    for line in frame.sizing.lines:
        finished = [b for b in line.batches if not frame.children.get(b.id) and not b.is_test]
        if all(b.state == "in hand" for b in finished):
            continue
        needed = sum(b.needed for b in finished)
        first = min(frame.first(yard.plant(name)) for name in line.plantings)
        others = set().union(*(days for code, days in lab_days.items() if code != line.code))
        own = [t for t in tasks if t.batch in {b.id for b in line.batches}]
        stage = finished[0].stage
        found.append(
            MakeOrBuy(
                line=line.code,
                plantings=line.plantings,
                item=f"{line.species} {spawn_words(stage)}, {finished[0].container}",
                quantity=needed,
                order_by=first - timedelta(days=frame.season.lead.spawn + 1),
                saves_minutes=sum(t.minutes for t in own if t.kind != "take-out"),
                saves_days=len(lab_days[line.code] - others),
                chosen="buy" if all(b.state == "bought" for b in finished) else "make",
            )
        )
    return tuple(found)


def _days_by_line(frame: Frame, tasks: list[Task]) -> dict[str, set[date]]:
    """Days with bench work by line; a load serves every line in it."""
    days: dict[str, set[date]] = {line.code: set() for line in frame.sizing.lines}
    yard_days = {task.on for task in tasks if task.place == "yard" and not task.small}
    for task in tasks:
        if task.small or task.place != "lab":
            continue
        if task.batch:
            codes = {frame.batches[task.batch].line}
        else:
            held = task.id.removeprefix("cook:").split(":")[0].split("+")
            codes = {frame.batches[batch].line for batch in held}
        for code in codes:
            if task.on not in yard_days:
                days[code].add(task.on)
    return days
