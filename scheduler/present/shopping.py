"""What has to be bought: a list for each kind of shop, in packs as they are sold, the exact need beside."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from rich.console import Console

from scheduler import measures
from scheduler.document import to_data
from scheduler.measures import Units
from scheduler.plan import Order, Plan
from scheduler.present.dates import Dates, dates_of
from scheduler.present.layout import Column, Lines, fold, paragraph, section, table, write
from scheduler.workdays import full

COLUMNS = (
    Column("order by"),
    Column("what", soft=True),
    Column("buy", soft=True),
    Column("needed", soft=True),
    Column("needed on"),
    Column("for", soft=True),
)
LATE = "LATE: the day has passed; buy over the counter or ask for a faster delivery."
ENOUGH = "enough is left over"
ANYWHERE = "whoever has it"
"""The list of what no kind of shop is known for."""


def by_supplier(orders: Iterable[Order]) -> dict[str, list[Order]]:
    """Orders by kind of shop, in each the most urgent first, and the shop with the most urgent one first."""
    found: dict[str, list[Order]] = {}
    for order in sorted(orders, key=lambda order: order.order_by):
        found.setdefault(order.supplier or ANYWHERE, []).append(order)
    return found


def enough(order: Order) -> bool:
    """Whether what is left over of earlier packs will do."""
    return not order.packs and order.left_over >= order.quantity > 0


def to_buy(order: Order, units: Units) -> str:
    """What is taken home: ``2 x 15 kg bag``, a plain amount, or nothing where enough is left over."""
    if order.packs:
        return " + ".join(f"{pack.count} x {pack.name}" for pack in order.packs)
    if enough(order):
        return ENOUGH
    return measures.quantity(order.quantity, order.unit, units)


def shopping(plan: Plan, width: int) -> Lines:
    """One list for each kind of shop, late orders marked."""
    words, units = dates_of(plan), plan.season.units
    rows: list[Sequence[str] | str] = []
    for supplier, orders in by_supplier(plan.orders).items():
        rows += [supplier.capitalize(), *(order_row(order, words, units) for order in orders)]
    if not rows:
        return paragraph("Nothing has to be bought.", width)
    return [*table(COLUMNS, rows, width, indent=4), *_explained(plan.orders, width)]


def order_table(orders: Iterable[Order], words: Dates, units: Units, width: int) -> Lines:
    """Orders of all shops by their last days; empty where there are none."""
    orders = sorted(orders, key=lambda order: order.order_by)
    return [
        *table(COLUMNS, [order_row(order, words, units) for order in orders], width),
        *_explained(orders, width),
    ]


def show_shopping(plan: Plan, console: Console) -> None:
    """Print the shopping lists of a plan."""
    number = "" if plan.plan_no is None else f", plan {plan.plan_no}"
    title = f"{plan.season.name}{number}, as of {full(plan.season.today)}"
    lists = section("Shopping list", shopping(plan, console.width), console.width)
    write([*fold(title, console.width), *lists], console)


def shopping_data(plan: Plan) -> dict[str, Any]:
    """The shopping lists as plain data: each order as in the plan's JSON, under its supplier."""
    data = to_data(plan)
    orders = {id(order): data["orders"][place] for place, order in enumerate(plan.orders)}
    return {
        "plan_no": plan.plan_no,
        "season": data["season"]["name"],
        "today": data["season"]["today"],
        "units": data["season"]["units"],
        "lists": [
            {"supplier": supplier, "orders": [orders[id(order)] for order in listed]}
            for supplier, listed in by_supplier(plan.orders).items()
        ],
    }


def order_row(order: Order, words: Dates, units: Units) -> tuple[str, ...]:
    """An order in the columns of the lists."""
    buy, need = to_buy(order, units), measures.quantity(order.quantity, order.unit, units)
    return (
        words.day(order.order_by) + "\nLATE" * order.late,
        order.item,
        buy,
        "" if buy == need else need,
        words.day(order.needed_on),
        "; ".join(order.for_),
    )


def _explained(orders: Iterable[Order], width: int) -> Lines:
    return paragraph(LATE, width) if any(order.late for order in orders) else []
