"""What a plan says of the finished spawn that it leaves over."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from scheduler.plan import Leftover, Plan, WouldPlant
from scheduler.season.season import Season
from scheduler.service.attempt import attempt
from scheduler.solve.params import Budget
from tests.grower import BED, CULTURE, OAK, TOTEMS, catalogue, edited, season

BUD_SWELL = date(2027, 4, 12)
FEW = edited(OAK, logs='{ count = 8, diameter = "13 cm", length = "1 m" }')


def planned(of: Season) -> Plan:
    """The plan of a season that fits."""
    plan = attempt(of, catalogue(), budget=Budget(0.2))
    assert isinstance(plan, Plan)
    return plan


def by_method(one: Leftover) -> dict[str, WouldPlant]:
    """Ways of planting by method."""
    return {way.method: way for way in one.would_plant}


@pytest.mark.parametrize("planting", [FEW, BED, TOTEMS], ids=["logs", "bed", "totems"])
def test_it_is_what_is_planned_less_what_is_needed(planting: str) -> None:
    """Grams to the gram, and on average less, because spares are lost."""
    plan = planned(season(planting))
    (dated,), (left,) = plan.plantings, plan.leftover
    assert left.grams == pytest.approx(dated.spawn_planned_g - dated.spawn_needed_g, abs=0.2)
    assert 0 < left.likely_g < left.grams
    assert left.plantings == (dated.name,)
    assert {plan_batch.id for plan_batch in plan.batches if plan_batch.use_on == dated.plant_on} >= set(
        left.batches
    )


def test_each_way_plants_no_more_than_there_is() -> None:
    """So many pieces take no more than what is left, and one more would take more."""
    for left in planned(season(FEW, BED, TOTEMS)).leftover:
        for way in left.would_plant:
            step = 0.1 if way.piece == "m2" else 1
            assert way.amount * way.takes_g <= left.grams + 1e-6
            assert (way.amount + step) * way.takes_g > left.grams - 1e-6


def test_logs_are_felled_before_the_buds_swell_and_chips_are_not_felled() -> None:
    """Shiitake, oyster and wine cap: whatever takes logs names the day before bud swell."""
    for left in planned(season(FEW, BED, TOTEMS)).leftover:
        for way in left.would_plant:
            logs = catalogue().methods[way.method].wood == "logs"
            assert way.fell_by == (BUD_SWELL - timedelta(days=1) if logs else None)


def test_it_is_planted_by_the_end_of_the_window_or_while_it_keeps() -> None:
    """The window of the oak stack ends first; one that is open all summer is ended by the spawn."""
    (left,) = planned(season(FEW)).leftover
    way = by_method(left)["drilled logs"]
    assert (way.plant_by, way.until) == (date(2027, 5, 30), "window")
    (left,) = planned(season(edited(FEW, window='"2027-04-10/2027-12-01"'))).leftover
    way = by_method(left)["drilled logs"]
    assert (way.plant_by, way.until) == (left.keeps_until, "keeps")
    # Sawdust spawn keeps 120 days in the fridge.
    (bag,) = [
        b
        for b in planned(season(edited(FEW, window='"2027-04-10/2027-12-01"'))).batches
        if b.stage == "sawdust"
    ]
    assert left.keeps_until == bag.ready_on + timedelta(days=120)


def test_what_is_open_is_used_within_a_month() -> None:
    """Published: once a bag of spawn is open, it is used within a month (eXtension, forest-farmed totems).

    One bag that is bought for half of it leaves nothing closed, so that all goes by that month.
    """
    bought = edited(FEW, spawn='"buy"', window='"2027-04-10/2027-12-01"')
    (left,) = planned(season(bought)).leftover
    assert left.closed == 0
    assert left.opened_until == left.since + timedelta(days=30)
    way = by_method(left)["drilled logs"]
    assert (way.plant_by, way.until) == (left.opened_until, "opened")
    assert left.likely_g == left.grams


def test_plantings_of_one_strain_share_a_row_and_strains_do_not() -> None:
    """Two stacks of one strain are told together, after the later of their days."""
    later = edited(FEW, name='"Second stack"', best='"2027-05-20/2027-05-30"')
    plan = planned(season(FEW, later, BED, stock=(CULTURE,)))
    stacks, bed = plan.leftover
    assert (stacks.plantings, bed.plantings) == (("Oak stack", "Second stack"), ("Bed",))
    assert stacks.since == max(day for p in plan.plantings[:2] for day in p.plant_on)
    needed = sum(p.spawn_needed_g for p in plan.plantings[:2])
    there = sum(p.spawn_planned_g for p in plan.plantings[:2])
    assert stacks.grams == pytest.approx(there - needed, abs=0.3)
    assert by_method(bed)["chip bed"].own


def test_sawdust_and_pellet_spawn_are_one_kind_and_dowels_another() -> None:
    """Two stacks on sawdust and on pellets share a row; one on dowels has its own."""
    pellets = edited(FEW, name='"Second stack"', route='["liquid culture", "grain", "pellet"]')
    dowels = edited(FEW, name='"Third stack"', route='["liquid culture", "grain", "dowels"]')
    plan = planned(season(FEW, pellets, dowels, stock=(CULTURE,)))
    assert [left.plantings for left in plan.leftover] == [("Oak stack", "Second stack"), ("Third stack",)]
    assert list(by_method(plan.leftover[1])) == ["drilled logs"]
