"""Orders rounded up to what is sold: suppliers, packs, and what a pack leaves for the next order."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.assemble.packs import as_sold
from scheduler.plan import Order, Pack
from tests.grower import catalogue

FIRST = date(2027, 1, 16)


def order(item: str, quantity: float, unit: str, later: int = 0) -> Order:
    """An order needed some days after the first one."""
    on = FIRST + timedelta(days=later)
    return Order(item, quantity, unit, on - timedelta(days=7), on, ("Oak stack",))


@pytest.mark.parametrize(
    ("item", "quantity", "unit", "supplier", "metric", "imperial"),
    [
        ("hardwood fuel pellets", 16.0, "kg", "fuel pellets and bedding", (Pack("15 kg bag", 2, 15.0),), (Pack("40 lb bag", 1, 18.14),)),
        ("dry grain", 21.0, "kg", "grain and feed", (Pack("25 kg bag", 1, 25.0),), (Pack("50 lb bag", 1, 22.68),)),
        ("wax", 510.0, "g", "hardware and garden", (Pack("0.5 kg block", 2, 500.0),), (Pack("1 lb block", 2, 453.6),)),
        ("wax", 0.9, "kg", "hardware and garden", (Pack("0.5 kg block", 2, 0.5),), (Pack("1 lb block", 2, 0.4536),)),
        ("shiitake liquid culture", 20.0, "mL", "culture and spawn seller", (Pack("10 mL syringe", 2, 10.0),), (Pack("10 mL syringe", 2, 10.0),)),
        ("oyster sawdust spawn, 2.3 kg bag", 3, "pieces", "culture and spawn seller", (), ()),
        ("fresh logs, oak, 12 logs", 12, "pieces", "wood and tree service", (), ()),
        ("plate with medium, ready to use", 11, "pieces", "laboratory supplies", (Pack("sleeve of 10", 2, 10.0),), (Pack("sleeve of 10", 2, 10.0),)),
        ("culture bottle with medium, ready to use", 4, "pieces", "laboratory supplies", (), ()),
        ("a thing nobody has heard of", 3, "pieces", "hardware and garden", (), ()),
    ],
)  # fmt: skip
def test_what_is_sold_how(
    item: str, quantity: float, unit: str, supplier: str, metric: tuple[Pack, ...], imperial: tuple[Pack, ...]
) -> None:
    """Each thing comes from its kind of shop in its packs; the exact need is kept beside them."""
    supplies = catalogue().supplies
    for units, packs in (("metric", metric), ("imperial", imperial)):
        (sold,) = as_sold([order(item, quantity, unit)], supplies, units)  # type: ignore[arg-type]
        assert (sold.supplier, sold.quantity, sold.unit, sold.left_over) == (supplier, quantity, unit, 0)
        assert [(pack.name, pack.count) for pack in sold.packs] == [(pack.name, pack.count) for pack in packs]
        assert [pack.holds for pack in sold.packs] == pytest.approx([pack.holds for pack in packs])


def test_a_rest_covers_the_next_order() -> None:
    """The second batch takes what the first bag left; the third needs a bag, for what is lacking only."""
    first, second, third = as_sold(
        [order("dry grain", 3.0, "kg"), order("dry grain", 1.5, "kg", 7), order("dry grain", 5.4, "kg", 14)],
        catalogue().supplies,
        "metric",
    )
    assert (first.packs, first.left_over) == ((Pack("5 kg bag", 1, 5.0),), 0)
    assert (second.packs, second.left_over) == ((), 1.5)
    assert (third.packs, third.left_over) == ((Pack("5 kg bag", 1, 5.0),), 0.5)


def test_a_rest_that_does_not_keep_covers_nothing() -> None:
    """Chips left in a heap for months, and grain after two years, are bought anew."""
    for item, unit, days in (("fresh hardwood chips", "L", 60), ("dry grain", "kg", 800)):
        first, late = as_sold(
            [order(item, 2.0, unit), order(item, 2.0, unit, days)], catalogue().supplies, "metric"
        )
        assert first.packs == late.packs != ()
        assert late.left_over == 0


@given(
    amounts=st.lists(st.floats(0.1, 60), min_size=1, max_size=8),
    days=st.lists(st.integers(0, 60), min_size=8, max_size=8),
)
def test_there_is_always_enough(amounts: list[float], days: list[int]) -> None:
    """Whatever is ordered when, packs bought so far hold what was needed so far, and never two bags too many."""
    orders = [order("dry grain", amount, "kg", sum(days[:place])) for place, amount in enumerate(amounts)]
    bought = needed = 0.0
    for one in as_sold(orders, catalogue().supplies, "metric"):
        bought += sum(pack.count * pack.holds for pack in one.packs)
        needed += one.quantity
        assert bought >= needed - 1e-2
        assert bought < needed + 5.0 + 1e-2
        assert sum(pack.count * pack.holds for pack in one.packs) + one.left_over >= one.quantity - 2e-3


def test_a_rest_has_to_keep_until_the_last_of_it_is_used() -> None:
    """Chips keep two weeks: a second bed begun within them and ended after them has its own load."""
    orders = [order("fresh hardwood chips", 100, "L"), order("fresh hardwood chips", 100, "L", 10)]
    supplies = catalogue().supplies
    _, same_day = as_sold(orders, supplies, "metric")
    assert (same_day.packs, same_day.left_over) == ((), 100)
    _, a_week = as_sold(orders, supplies, "metric", lambda one: one.needed_on + timedelta(days=7))
    assert (len(a_week.packs), a_week.left_over) == (1, 0)
