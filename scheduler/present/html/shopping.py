"""The shopping lists, each order with a tap once it is placed."""

from __future__ import annotations

from dataclasses import replace

from scheduler.plan import Plan
from scheduler.present.html.frame import Frame, page
from scheduler.present.pages import placed
from scheduler.present.shopping import by_supplier, enough, order_row
from scheduler.progress import Progress


def shopping_page(frame: Frame, plan: Plan, progress: Progress) -> str:
    """What is still to be bought, shop by shop; what was ordered says when."""
    lists, units = [], plan.season.units
    orders = [replace(order, late=order.order_by < frame.day) for order in plan.orders]
    for supplier, listed in by_supplier(orders).items():
        rows: list[dict[str, object]] = []
        for order in listed:
            is_placed, is_there = placed(order, plan, progress), enough(order)
            on = progress.bought.get(order.item) or progress.received.get(order.item)
            _, item, buy, need, needed_on, whom = order_row(order, frame.words, units)
            rows.append(
                {
                    "item": item,
                    "buy": buy,
                    "need": need,
                    "by": frame.words.day(order.order_by),
                    "needed_on": needed_on,
                    "whom": whom,
                    "late": order.late and not is_placed and not is_there,
                    "placed": frame.words.day(on) if on and is_placed and not is_there else "",
                    "is_there": is_there,
                    "is_open": not is_placed and not is_there,
                }
            )
        rows.sort(key=lambda row: not row["is_open"])  # what is still to be bought goes first
        lists.append((supplier[:1].upper() + supplier[1:], rows))
    return page("shopping.html", frame.at("/shopping"), "Shopping", lists=lists)
