"""Rounds orders up to what is sold: who has it, in which packs, and what an earlier order leaves over."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from scheduler.measures import Units
from scheduler.plan import Order, Pack
from scheduler.science.packing import packs_for
from scheduler.trade.shapes import Figure
from scheduler.trade.supplies import UNKNOWN, Supplies

_THOUSAND = {("g", "kg"): 0.001, ("kg", "g"): 1000.0, ("mL", "L"): 0.001, ("L", "mL"): 1000.0}
_TRIFLE = 1e-6
"""Amounts below this are left by arithmetic and not by a pack."""


@dataclass(frozen=True)
class _Rest:
    """What is left of the packs of one item, and until when it is good."""

    amount: float
    until: date


def as_sold(
    orders: Iterable[Order],
    supplies: Supplies,
    units: Units,
    last: Callable[[Order], date] = lambda order: order.needed_on,
) -> list[Order]:
    """The orders in the same order, the earliest first, each with its supplier and packs.

    What is left of a pack covers a later order of the same thing if it keeps until the `last` day on which
    that is used up.
    """
    rests: dict[str, _Rest] = {}
    found = []
    for order in orders:
        sold = supplies.find(order.item)
        if sold is None:
            found.append(replace(order, supplier=UNKNOWN))
            continue
        sizes = _sizes(getattr(sold.packs, units), order.unit)
        rest = rests.get(order.item)
        usable = rest.amount if rest and rest.until >= last(order) else 0.0
        taken = min(usable, order.quantity)
        packs = _packs(order.quantity - taken, sizes)
        left = usable - taken
        if packs:
            left = sum(pack.count * pack.holds for pack in packs) - (order.quantity - taken)
            until = order.needed_on + timedelta(days=round(sold.keeps.likely))
            rests[order.item] = _Rest(left, until)
        elif rest:
            rests[order.item] = replace(rest, amount=left)
        found.append(replace(order, supplier=sold.supplier, packs=packs, left_over=round(taken, 3)))
    return found


def _sizes(packs: Mapping[str, Figure], unit: str) -> dict[str, float]:
    """What each size of pack holds in the unit of an order; sizes in a unit of another kind are left out."""
    found = {}
    for name, holds in packs.items():
        factor = 1.0 if holds.unit == unit else _THOUSAND.get((holds.unit, unit))
        if factor is not None:
            found[name] = holds.likely * factor
    return found


def _packs(need: float, sizes: Mapping[str, float]) -> tuple[Pack, ...]:
    if need <= _TRIFLE or not sizes:
        return ()
    counts = zip(sizes.items(), packs_for(need, list(sizes.values())), strict=True)
    return tuple(Pack(name, count, holds) for (name, holds), count in counts if count)
