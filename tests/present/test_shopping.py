"""The shopping lists: one for each kind of shop, what to take home, and what it is for."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from scheduler.plan import Order, Pack, Plan
from scheduler.present.html.frame import Frame
from scheduler.present.html.shopping import shopping_page
from scheduler.present.shopping import ANYWHERE, by_supplier, shopping_data, show_shopping, to_buy
from scheduler.progress import NOTHING, Progress
from tests.present.screen import section, shown
from tests.sample import sample_plan

GRAIN = Order("dry grain", 1.4, "kg", date(2027, 2, 6), date(2027, 2, 13), ("Oak stack",), supplier="grain and feed", packs=(Pack("5 kg bag", 1, 5.0),))  # fmt: skip
LATER = replace(GRAIN, order_by=date(2027, 2, 20), needed_on=date(2027, 2, 27), packs=(), left_over=1.4)
WAX = Order("wax", 800.0, "g", date(2027, 2, 1), date(2027, 4, 24), ("Oak stack", "Raft"), True, "hardware and garden", (Pack("0.5 kg block", 1, 500.0), Pack("0.25 kg block", 2, 250.0)))  # fmt: skip
LOGS = Order("fresh logs, oak, 12 logs", 12, "pieces", date(2027, 3, 1), date(2027, 3, 15), ("Raft",), supplier="wood and tree service")  # fmt: skip


def plan(*orders: Order) -> Plan:
    """A plan with these orders."""
    return replace(sample_plan(), orders=orders)


def test_what_is_taken_home() -> None:
    """Packs, a plain amount where there are none, and nothing where enough is left over."""
    assert to_buy(GRAIN, "metric") == "1 x 5 kg bag"
    assert to_buy(WAX, "metric") == "1 x 0.5 kg block + 2 x 0.25 kg block"
    assert to_buy(LATER, "metric") == "enough is left over"
    assert to_buy(LOGS, "metric") == "12 pieces"


def test_one_list_for_each_kind_of_shop() -> None:
    """The shop with the most urgent order comes first; in each list the most urgent order does."""
    lists = by_supplier([LATER, LOGS, GRAIN, WAX])
    assert list(lists) == ["hardware and garden", "grain and feed", "wood and tree service"]
    assert lists["grain and feed"] == [GRAIN, LATER]
    assert list(by_supplier([replace(GRAIN, supplier="")])) == [ANYWHERE]


def test_the_page_shows_packs_beside_the_exact_need() -> None:
    """Each list has its heading; bought and needed stand side by side, the need only where it differs."""
    text = shown(show_shopping, plan(GRAIN, LATER, WAX, LOGS), width=120)
    body = section(text, "Shopping list")
    assert [line.strip() for line in body.splitlines() if line.startswith("  ") and line[2] != " "] == [
        "Hardware and garden",
        "Grain and feed",
        "Wood and tree service",
        "LATE: the day has passed; buy over the counter or ask for a faster delivery.",
    ]
    row = next(line for line in body.splitlines() if "1 x 5 kg bag" in line)
    assert "Sat 6 Feb" in row and "1.4 kg" in row and "Sat 13 Feb" in row and "Oak stack" in row
    assert next(line for line in body.splitlines() if "fresh logs" in line).count("12 pieces") == 1
    assert "enough is left over" in body
    assert "LATE" in body


def test_what_is_left_over_was_ordered_by_nobody() -> None:
    """On the page: it is no more late, nor to be ordered, than it was ordered, whatever of its kind was."""
    one = plan(GRAIN, replace(LATER, order_by=date(2027, 2, 5)))
    bought = Progress(bought={GRAIN.item: date(2027, 2, 6)})
    frame = Frame("Raft", 1, date(2027, 3, 1), "mark")
    document = shopping_page(frame, one, bought)
    assert document.count("Ordered on") == 1
    there = document.partition("enough is left over")[2].partition("</li>")[0]
    assert "Ordered" not in there and "Needed on" in there
    document = shopping_page(frame, plan(LATER), NOTHING)
    assert "Late" not in document and "<button" not in document and "Order by" not in document


def test_nothing_to_buy_is_said() -> None:
    """An empty list is no empty page."""
    assert "Nothing has to be bought." in shown(show_shopping, plan())


def test_the_data_holds_every_order_once() -> None:
    """As JSON each order is the plan's own, under its supplier, with the exact need beside the packs."""
    data = shopping_data(plan(GRAIN, LATER, WAX, LOGS))
    assert data["lists"][0]["supplier"] == "hardware and garden"
    orders = [order for listed in data["lists"] for order in listed["orders"]]
    assert len(orders) == 4
    grain = next(order for order in orders if order["packs"] and order["item"] == "dry grain")
    assert (grain["quantity"], grain["unit"], grain["for"]) == (1.4, "kg", ["Oak stack"])
    assert grain["packs"] == [{"name": "5 kg bag", "count": 1, "holds": 5}]
    assert (data["units"], data["plan_no"]) == ("metric", sample_plan().plan_no)
