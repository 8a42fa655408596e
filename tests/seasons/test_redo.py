"""What a redo-by day promises, carried out: on that day the season is planned anew from the kept-back jar."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path

import pytest

from scheduler.plan import Batch, Plan, PlantingPlan
from scheduler.season.load import load_season
from scheduler.season.season import Season, Stock
from scheduler.service.attempt import attempt
from scheduler.solve.params import Budget
from tests.grower import catalogue

EXAMPLES = Path(__file__).parents[2] / "examples"
REDONE = (
    ("backyard", "Oak stack"),
    ("backyard", "Currant bed"),
    ("cold-room", "Barn stack"),
    ("market", "Birch raft"),
)
"""Plantings of the examples whose spawn can be made again from the one jar, without a further generation."""


@cache
def planned(example: str) -> tuple[Season, Plan]:
    """An example and its plan."""
    season = load_season(EXAMPLES / example, catalogue(), clock=date(2026, 11, 25), system_timezone="UTC")
    plan = attempt(season, catalogue())
    assert isinstance(plan, Plan)
    return season, plan


def on_that_day(season: Season, plan: Plan, planting: PlantingPlan) -> Season:
    """The season on the redo-by day of a planting: its spawn is lost, one jar was kept back."""
    assert planting.redo_by is not None
    wish = next(p for p in season.plantings if p.name == planting.name)
    jar = kept_back(plan, planting)
    assert jar.ready_on <= planting.redo_by
    held = Stock(
        species=jar.species,
        strain=jar.strain,
        code=wish.code,
        stage="grain",
        amount=None,
        units=1,
        since=jar.ready_on,
        started=False,
        tested=False,
        transfers=jar.generation or 1,
        container=jar.container,
    )
    felled = [day for day in planting.fell_on if day <= planting.redo_by]
    return replace(
        season,
        today=planting.redo_by,
        no_work_before=planting.redo_by,
        plantings=(replace(wish, felled=felled[0] if felled else None),),
        stock=(held,),
    )


def kept_back(plan: Plan, planting: PlantingPlan) -> Batch:
    """The grain of a planting of which a jar was kept back."""
    (jar,) = (
        batch
        for batch in plan.batches
        if batch.stage == "grain" and batch.keep_back and planting.name in batch.plantings
    )
    return jar


@pytest.mark.parametrize(("example", "name"), REDONE)
def test_on_its_redo_by_day_lost_spawn_can_still_be_made(example: str, name: str) -> None:
    """With no spares, and from nothing but the jar that was kept back, it is planted in its window."""
    season, plan = planned(example)
    planting = next(p for p in plan.plantings if p.name == name)
    late = on_that_day(season, plan, planting)
    again = attempt(late, catalogue(), budget=Budget(0.3), levels=("bare",))
    assert isinstance(again, Plan)
    assert all(planting.window[0] <= day <= planting.window[1] for day in again.plantings[0].plant_on)
    assert not any(batch.state == "bought" for batch in again.batches)
