"""What is ordered by when: never late in a new plan, and what is bought apart from what is made."""

from __future__ import annotations

from dataclasses import replace
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


LATE_BED = edited(BED, name='"Late bed"', window='"2027-06-10/2027-08-01"', best='"2027-06-20/2027-07-10"')
LATE_OAK = edited(OAK, name='"Late stack"', window='"2027-05-20/2027-07-10"', best='"2027-06-05/2027-06-20"')


def all_of(plan: Plan, item: str) -> list[Order]:
    """Every order of something."""
    return [order for order in plan.orders if item in order.item]


def test_chips_for_two_beds_weeks_apart_are_two_orders() -> None:
    """In a heap other fungi soon come in: what is left of the first load is not counted on."""
    plan = planned(season(BED, LATE_BED))
    first, second = all_of(plan, "chips")
    assert (first.for_, second.for_) == (("Bed",), ("Late bed",))
    assert (second.needed_on - first.needed_on).days > 14
    for order in (first, second):
        assert order.quantity == 630  # 6.3 m2, 10 cm deep
        assert sum(pack.count * pack.holds for pack in order.packs) >= order.quantity
        assert order.left_over == 0


@pytest.mark.parametrize(
    "route", ['["liquid culture", "grain", "sawdust"]', '["liquid culture", "grain", "dowels"]']
)
def test_spawn_bought_for_plantings_a_month_apart_is_two_orders(route: str) -> None:
    """Each comes in time for its own planting, not all of it for the first."""
    stacks = [edited(text, spawn='"buy"', route=route) for text in (OAK, LATE_OAK)]
    plan = planned(season(*stacks))
    orders = all_of(plan, " spawn, ")
    assert [order.for_ for order in orders] == [("Oak stack",), ("Late stack",)]
    for order, planting in zip(orders, plan.plantings, strict=True):
        assert timedelta(0) < planting.plant_on[0] - order.needed_on <= timedelta(days=7)
        assert order.needed_on - order.order_by == timedelta(days=21)


def test_grain_bought_for_plantings_far_apart_is_two_orders() -> None:
    """Grain keeps eight weeks in the fridge; that for the autumn bed is ordered later."""
    route = '["grain", "pellet"]'
    autumn = edited(
        BED, name='"Late bed"', window='"2027-08-20/2027-10-10"', best='"2027-09-01/2027-09-20"', route=route
    )
    plan = planned(season(edited(BED, route=route), autumn))
    first, second = all_of(plan, "grain spawn")
    assert (first.for_, second.for_) == (("Bed",), ("Late bed",))
    assert (second.needed_on - first.needed_on).days > 56


def test_what_does_not_keep_until_the_last_day_comes_twice() -> None:
    """Chips that keep for a day, for a bed that takes two weekends: each weekend has its own load."""
    bed = edited(BED, area='"40 m2"', spawn='"buy"')
    of = season(bed, people="hours = { sat = 6, sun = 4 }")
    usual = attempt(of, catalogue(), budget=QUICK)
    assert isinstance(usual, Plan)
    days = sorted(task.on for task in usual.tasks if task.kind == "prepare-chips")
    assert len(days) > 1
    (one,) = all_of(usual, "chips")
    assert one.needed_on == days[0]

    supplies = catalogue().supplies
    chips = supplies.item["fresh hardwood chips"]
    soon = chips.keeps.model_copy(update={"low": 0, "likely": 0, "high": 0})
    sold = {**supplies.item, "fresh hardwood chips": chips.model_copy(update={"keeps": soon})}
    plan = attempt(
        of, replace(catalogue(), supplies=supplies.model_copy(update={"item": sold})), budget=QUICK
    )
    assert isinstance(plan, Plan)
    parts = all_of(plan, "chips")
    assert [order.needed_on for order in parts] == days
    assert sum(order.quantity for order in parts) == one.quantity
    share = {task.on: task.supplies[0].quantity for task in plan.tasks if task.kind == "prepare-chips"}
    assert [order.quantity for order in parts] == pytest.approx([share[day] for day in days], abs=1)


def test_wax_that_keeps_for_years_comes_once_for_all_planting_days() -> None:
    """Sixty logs take two weekends, and one order."""
    plan = planned(season(OAK, stock=(CULTURE,), people="hours = { sat = 4, sun = 4 }"))
    (oak,) = plan.plantings
    assert len(oak.plant_on) > 1
    (wax,) = all_of(plan, "wax")
    assert (wax.needed_on, wax.quantity) == (oak.plant_on[0], 60 * 45)
