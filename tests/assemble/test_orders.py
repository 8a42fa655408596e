"""What is ordered by when: never late in a new plan, and what is bought apart from what is made."""

from __future__ import annotations

from datetime import timedelta

import pytest

from scheduler.plan import Order, Plan
from scheduler.season.season import Season
from scheduler.service.attempt import attempt
from scheduler.solve.params import Budget
from tests.grower import BED, CULTURE, OAK, TODAY, TOTEMS, catalogue, edited, season

QUICK = Budget(0.2)
ONE_DAY = timedelta(days=1)
EARLY = {"window": '"2027-02-20/2027-04-30"', "best": '"2027-02-20/2027-03-20"'}


def planned(of: Season) -> Plan:
    """The plan of a season that fits."""
    plan = attempt(of, catalogue(), budget=QUICK)
    assert isinstance(plan, Plan)
    return plan


def named(plan: Plan, item: str) -> Order:
    """The first order of something."""
    return next(order for order in plan.orders if item in order.item)


SEASONS = {
    "a culture in hand and no time": season(edited(OAK, **EARLY), stock=(CULTURE,)),
    "an untested culture": season(edited(OAK, **EARLY), stock=(edited(CULTURE, tested="false"),)),
    "long leads": season(OAK, stock=(CULTURE,), buying='lead = { grain = "60 d", supplies = "80 d" }'),
    "logs that are delivered": season(
        edited(OAK, spawn='"buy"'), people='hours = { sat = 6, sun = 4 }\nfelling = "bought"'
    ),
    "a bed": season(BED),
    "all at hand": season(
        edited(OAK, **EARLY), stock=(CULTURE,), buying='lead = { grain = "0 d", supplies = "0 d" }'
    ),
}


@pytest.mark.parametrize("of", SEASONS.values(), ids=SEASONS)
def test_nothing_is_late_in_a_new_plan(of: Season) -> None:
    """Every order can be placed on the day of the plan or later, its lead before the day it is needed."""
    orders = planned(of).orders
    assert orders
    assert not any(order.late for order in orders)
    assert all(TODAY <= order.order_by <= order.needed_on for order in orders)


def test_what_is_cooked_is_needed_the_day_before() -> None:
    """Dry grain and sawdust by their own leads, on the eve of the first cook that takes them."""
    plan = planned(SEASONS["long leads"])
    for stage, item, lead in (("grain", "dry grain", 60), ("sawdust", "dry hardwood sawdust", 80)):
        cook = min(b.cook_on for b in plan.batches if b.stage == stage and b.cook_on)
        order = named(plan, item)
        assert order.needed_on == cook - ONE_DAY
        assert order.order_by == order.needed_on - timedelta(days=lead)


def test_plates_logs_and_wax_are_needed_on_the_day() -> None:
    """Bought media when they are inoculated, logs when they come, wax when it is planted."""
    plan = planned(SEASONS["an untested culture"])
    test = next(batch for batch in plan.batches if batch.stage == "plate")
    assert named(plan, "plate with medium").needed_on == test.inoculate_on
    plan = planned(SEASONS["logs that are delivered"])
    (oak,) = plan.plantings
    assert named(plan, "fresh logs").needed_on == oak.fell_on[0]
    assert named(plan, "fresh logs").quantity == 60
    assert named(plan, "wax").needed_on == oak.plant_on[0]


def test_a_line_that_is_made_and_bought_has_a_row_of_each() -> None:
    """The bought planting is not said to be made, and saves no work that it does not cause."""
    other = edited(
        OAK, name='"Second stack"', spawn='"buy"', logs='{ count = 12, diameter = "13 cm", length = "1 m" }'
    )
    made, bought = planned(season(OAK, other, stock=(CULTURE,))).make_or_buy
    assert (made.plantings, made.chosen) == (("Oak stack",), "make")
    assert made.saves_minutes > 0
    assert made.saves_days > 0
    assert (bought.plantings, bought.chosen) == (("Second stack",), "buy")
    assert (bought.saves_minutes, bought.saves_days, bought.line) == (0, 0, made.line)
    assert 0 < bought.quantity < made.quantity


def test_a_line_of_one_kind_has_one_row() -> None:
    """All made, or all bought, is one offer for all plantings of the strain."""
    made, bought = planned(season(OAK, edited(TOTEMS, spawn='"buy"'), stock=(CULTURE,))).make_or_buy
    assert (made.plantings, made.chosen) == (("Oak stack",), "make")
    assert (bought.plantings, bought.chosen) == (("Totems",), "buy")
