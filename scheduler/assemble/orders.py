"""What to buy, by when: needed less its lead time. Orders cost no hours and stand in no aim."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta

from scheduler.assemble.batches import uses
from scheduler.assemble.frame import Frame
from scheduler.assemble.packs import as_sold
from scheduler.assemble.words import spawn_words, substrate
from scheduler.lines.culture import CULTURES
from scheduler.lines.shapes import BatchSpec
from scheduler.plan import MakeOrBuy, Order, Supply, Task
from scheduler.problem import bench, yard
from scheduler.problem.needs import Need
from scheduler.season.season import Planting
from scheduler.season.strains import HOUSE


def orders(frame: Frame) -> tuple[Order, ...]:
    """All orders, the most urgent first."""
    found: list[Order] = []
    for batch in frame.batches.values():
        found += _for_batch(frame, batch)
    for planting in frame.season.plantings:
        found += _for_planting(frame, planting)
    due = sorted(_together(found), key=lambda o: (o.order_by, o.needed_on, o.item, o.for_))
    due = as_sold(due, frame.catalogue.supplies, frame.season.units)
    return tuple(order for order in due if not _is_placed(frame, order, due))


def _is_placed(frame: Frame, order: Order, orders: Iterable[Order]) -> bool:
    """Whether an order is recorded as placed: what was due by then, or else the next one of its kind."""
    days = [
        on for on in (frame.progress.bought.get(order.item), frame.progress.received.get(order.item)) if on
    ]
    first = min(other.order_by for other in orders if other.item == order.item)
    return bool(days) and order.order_by <= max(*days, first)


def _together(found: list[Order]) -> list[Order]:
    """The same thing needed on the same day is one order, for everybody who needs it."""
    same: dict[tuple[object, ...], Order] = {}
    for order in found:
        key = (order.item, order.unit, order.order_by, order.needed_on)
        if key in same:
            names = tuple(dict.fromkeys((*same[key].for_, *order.for_)))
            quantity = round(same[key].quantity + order.quantity, 1)
            order = replace(same[key], quantity=quantity, for_=names)
        same[key] = order
    return list(same.values())


def _order(
    frame: Frame,
    item: str,
    quantity: float,
    unit: str,
    needed: date,
    lead: int,
    names: Iterable[str],
    work: str,
) -> Order:
    by = needed - timedelta(days=lead)
    return Order(item, quantity, unit, by, needed, tuple(names), late=by < frame.season.today, work=work)


def _for_batch(frame: Frame, batch: BatchSpec) -> list[Order]:
    lead = frame.season.lead
    names = batch.plantings
    if batch.ordered_on is not None:
        return []
    if batch.state == "bought":
        used = uses(frame, batch)
        needed = min(used[0], frame.ready_on(batch)) if used else frame.ready_on(batch)
        what = f"{batch.species} {batch.strain}" if batch.strain != HOUSE else batch.species
        if batch.stage in CULTURES:
            liquid = batch.stage == "liquid culture"
            quantity = batch.started * batch.unit_mass_g if liquid else batch.started
            unit = "mL" if liquid else "pieces"
            return [
                _order(frame, f"{what} {batch.stage}", quantity, unit, needed, lead.culture, names, batch.id)
            ]
        days = lead.grain if batch.stage == "grain" else lead.spawn
        item = f"{what} {spawn_words(batch.stage)}, {batch.container}"
        return [_order(frame, item, batch.started, "pieces", needed, days, names, batch.id)]
    if bench.is_to_cook(batch):
        supplies = [supply for supply in substrate(frame, batch) if supply.item != "water"]
    else:
        supplies = [Supply(f"{batch.container} with medium, ready to use", batch.started, "pieces")]
    return _needed(frame, bench.need(batch), supplies, names)


def _for_planting(frame: Frame, planting: Planting) -> list[Order]:
    demand = frame.sizing.demand(planting.name)
    chips = Supply("fresh hardwood chips", math.ceil(demand.chips_l), "L")
    logs = Supply(f"fresh logs, {planting.wood or 'hardwood'}, {demand.size}", demand.pieces, "pieces")
    return [
        order
        for need, supplies in (
            (yard.planting_need(demand), demand.supplies),
            (yard.chips_need(planting.name), (chips,)),
            (yard.logs_need(planting, frame.season.people, frame.season.today), (logs,)),
        )
        for order in _needed(frame, need, supplies, [planting.name])
    ]


def _needed(frame: Frame, need: Need | None, supplies: Iterable[Supply], names: Iterable[str]) -> list[Order]:
    """Orders of what a work needs; none where the season has no such work."""
    if need is None or not frame.has(need.work):
        return []
    on = frame.first(need.work) - timedelta(days=need.days_before)
    lead = need.days(frame.season.lead)
    return [_order(frame, s.item, s.quantity, s.unit, on, lead, names, need.work) for s in supplies]


def make_or_buy(frame: Frame, tasks: Iterable[Task]) -> tuple[MakeOrBuy, ...]:
    """Beside each line the plain alternative: bags bought, by when, and what that would save.

    What a line makes for some plantings and what is bought for others stand apart.
    """
    tasks = list(tasks)
    lab_days = _days_by_line(frame, tasks)
    found = []
    for line in frame.sizing.lines:
        finished = [b for b in line.batches if frame.is_finished(b)]
        others = set().union(*(days for code, days in lab_days.items() if code != line.code))
        bought = {name for b in finished if b.state == "bought" for name in b.plantings}
        own = {b.id for b in line.batches if b.growth is not None}
        lab_minutes = sum(t.minutes for t in tasks if t.batch in own and t.kind != "take-out")
        for names in (set(line.plantings) - bought, bought):
            batches = [b for b in finished if names.intersection(b.plantings)]
            if all(b.state == "in hand" for b in batches):
                continue
            is_made = names is not bought
            first = min(frame.first(yard.plant(name)) for name in names)
            found.append(
                MakeOrBuy(
                    line=line.code,
                    plantings=tuple(name for name in line.plantings if name in names),
                    item=f"{line.species} {spawn_words(batches[0].stage)}, {batches[0].container}",
                    quantity=sum(b.needed for b in batches),
                    order_by=first - timedelta(days=frame.season.lead.spawn + 1),
                    saves_minutes=lab_minutes if is_made else 0,
                    saves_days=len(lab_days[line.code] - others) if is_made else 0,
                    chosen="make" if is_made else "buy",
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
            codes = {name.partition("-")[0] for name in held}
        for code in codes:
            if task.on not in yard_days and code in days:
                days[code].add(task.on)
    return days
