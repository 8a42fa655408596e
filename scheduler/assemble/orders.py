"""What to buy, by when: needed less its lead time. Orders cost no hours and stand in no aim."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from scheduler.assemble.batches import uses
from scheduler.assemble.frame import Frame
from scheduler.assemble.packs import as_sold
from scheduler.assemble.words import spawn_words, substrate
from scheduler.lines.culture import CULTURES
from scheduler.lines.names import kind_of
from scheduler.lines.shapes import BatchSpec
from scheduler.plan import MakeOrBuy, Order, Period, Supply, Task
from scheduler.problem import bench, standing, yard
from scheduler.problem.needs import Need
from scheduler.season.season import Planting
from scheduler.season.strains import HOUSE


@dataclass(frozen=True)
class _Wanted:
    """An order, and the last day on which something of it is used up."""

    order: Order
    last: date
    since: date | None = None
    """Day before which nobody ordered it, because nobody knew that it would be needed."""

    @property
    def key(self) -> tuple[object, ...]:
        """What no two orders share once the same things of the same day are one."""
        return _key(self.order)


def _key(order: Order) -> tuple[object, ...]:
    return order.item, order.unit, order.order_by, order.needed_on


def orders(frame: Frame) -> tuple[Order, ...]:
    """All orders, the most urgent first."""
    found: list[_Wanted] = []
    for batch in frame.batches.values():
        found += _for_batch(frame, batch)
    for planting in frame.season.plantings:
        found += _for_planting(frame, planting)
    for care in standing.booked(frame.season, frame.catalogue):
        found += _needed(frame, standing.need(care), care.supplies, [care.standing.name])
    wanted = {one.key: one for one in _together(found)}
    due = sorted(
        (one.order for one in wanted.values()), key=lambda o: (o.order_by, o.needed_on, o.item, o.for_)
    )
    due = as_sold(due, frame.catalogue.supplies, frame.season.units, lambda order: wanted[_key(order)].last)
    return tuple(order for order in due if not _is_placed(frame, order, due, wanted[_key(order)].since))


def _is_placed(frame: Frame, order: Order, orders: Iterable[Order], since: date | None) -> bool:
    """Whether an order is recorded as placed: what was due by then, or else the next one of its kind.

    What was recorded before `since` was for something else.
    """
    recorded = (frame.progress.bought.get(order.item), frame.progress.received.get(order.item))
    days = [on for on in recorded if on and (since is None or on >= since)]
    first = min(other.order_by for other in orders if other.item == order.item)
    return bool(days) and order.order_by <= max(*days, first)


def _together(found: list[_Wanted]) -> list[_Wanted]:
    """The same thing needed on the same day is one order, for everybody who needs it."""
    same: dict[tuple[object, ...], _Wanted] = {}
    for one in found:
        before = same.get(one.key)
        if before:
            names = tuple(dict.fromkeys((*before.order.for_, *one.order.for_)))
            quantity = round(before.order.quantity + one.order.quantity, 1)
            since = max(filter(None, (before.since, one.since)), default=None)
            order = replace(before.order, quantity=quantity, for_=names)
            one = _Wanted(order, max(before.last, one.last), since)
        same[one.key] = one
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


def _for_batch(frame: Frame, batch: BatchSpec) -> list[_Wanted]:
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
            order = _order(
                frame, f"{what} {batch.stage}", quantity, unit, needed, lead.culture, names, batch.id
            )
        else:
            days = lead.grain if batch.stage == "grain" else lead.spawn
            item = f"{what} {spawn_words(batch.stage)}, {batch.container}"
            order = _order(frame, item, batch.started, "pieces", needed, days, names, batch.id)
        return [_Wanted(order, max(used, default=needed))]
    if bench.is_to_cook(batch):
        supplies = [supply for supply in substrate(frame, batch) if supply.item != "water"]
    else:
        supplies = [Supply(f"{batch.container} with medium, ready to use", batch.started, "pieces")]
    since = _lost_before(frame, batch)
    return [replace(one, since=since) for one in _needed(frame, bench.need(batch), supplies, names)]


def _lost_before(frame: Frame, batch: BatchSpec) -> date | None:
    """Day on which a batch was found lost that this one may stand in for; None where none of its kind was."""
    alike = (name for name in frame.lines[batch.line].gone if kind_of(name) == kind_of(batch.id))
    lost = (frame.progress.batch(name).lost.values() for name in alike)
    return max((max(days) for days in lost if days), default=None)


def _for_planting(frame: Frame, planting: Planting) -> list[_Wanted]:
    demand = frame.sizing.demand(planting.name)
    chips = Supply("fresh hardwood chips", math.ceil(demand.chips_l), "L")
    logs = Supply(f"fresh logs, {planting.wood or 'hardwood'}, {demand.size}", demand.pieces, "pieces")
    return [
        wanted
        for need, supplies in (
            (yard.planting_need(demand), demand.supplies),
            (yard.chips_need(planting.name), (chips,)),
            (yard.logs_need(planting, frame.season.people, frame.season.today), (logs,)),
        )
        for wanted in _needed(frame, need, supplies, [planting.name])
    ]


def _needed(
    frame: Frame, need: Need | None, supplies: Iterable[Supply], names: Sequence[str]
) -> Iterator[_Wanted]:
    """Orders of what a work needs; none where the season has no such work.

    What does not keep from the first of its days to the last comes in as many orders as that takes.
    """
    if need is None or not frame.has(need.work):
        return
    lead, before = need.days(frame.season.lead), timedelta(days=need.days_before)
    for supply in supplies:
        sold = frame.catalogue.supplies.find(supply.item)
        shares = _shares(frame, need.work, None if sold is None else round(sold.keeps.likely))
        for (first, last), quantity in _split(supply, shares):
            order = _order(frame, supply.item, quantity, supply.unit, first - before, lead, names, need.work)
            yield _Wanted(order, last)


def _shares(frame: Frame, work: str, keeps: int | None) -> dict[Period, int]:
    """Pieces of a work by spans of days, none of them longer than `keeps` days (None: however long)."""
    shares: dict[Period, int] = {}
    for day in frame.on(work):
        span = next(reversed(shares), None)
        pieces = frame.pieces(work, day)
        if span and (keeps is None or (day - span[0]).days <= keeps):
            shares[span[0], day] = shares.pop(span) + pieces
        else:
            shares[day, day] = pieces
    return shares


def _split(supply: Supply, shares: Mapping[Period, int]) -> Iterator[tuple[Period, float]]:
    """A supply shared out by pieces; what is counted stays whole, and the parts add up."""
    total, reached, given = sum(shares.values()), 0, 0.0
    for span, pieces in shares.items():
        reached += pieces
        part = supply.quantity * reached / total
        upto = supply.quantity if reached == total else math.ceil(part) if supply.unit == "pieces" else part
        yield span, round(upto - given, 1)
        given = round(upto, 1)


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
