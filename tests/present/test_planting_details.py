"""What a plan says of a planting's wood and work: weights, trips, spare logs, and how long it takes."""

from __future__ import annotations

import json
from dataclasses import replace

from scheduler.document import from_json, to_data
from scheduler.plan import Plan, PlantingPlan
from scheduler.present.answer import planting_details
from tests.journal.under_way import plan_of
from tests.present.exports import calendar

WEIGHT = "735 lb of green wood, 1 spare included; the heaviest log 35 lb; 7 trips with a cart"


def facts(plan: Plan, width: int = 100) -> dict[str, str]:
    """The rows of the first planting by their labels."""
    rows: dict[str, str] = {}
    for line in planting_details(plan, width)[1:]:
        text = str(line)
        if not text.startswith("    "):
            break
        label, _, value = text.strip().partition("  ")
        rows[label] = value.strip()
    return rows


def oak(plan: Plan, **values: object) -> Plan:
    """The plan with other values of its first planting."""
    first: PlantingPlan = replace(plan.plantings[0], **values)  # type: ignore[arg-type]
    return replace(plan, plantings=(first, *plan.plantings[1:]))


def test_weights_trips_and_spares_are_told() -> None:
    """21 oak logs of the 35 lb that Kentucky's FOR-83 weighs are 735 lb, three on a cart of 60 kg."""
    plan = plan_of("backyard")
    assert facts(plan)["weight"] == WEIGHT
    assert facts(oak(plan, spare_pieces=0))["weight"] == WEIGHT.replace(", 1 spare included", "")
    assert facts(oak(plan, haul_trips=0))["weight"] == WEIGHT.replace("; 7 trips with a cart", "")
    assert "weight" not in facts(oak(plan, wood_kg=0.0))


def test_the_planting_day_s_work_is_told_from_least_to_most() -> None:
    """20 logs of 12 minutes (8 to 18) and half an hour of setting up (15 to 45 minutes): the likely, and the spread."""
    plan = plan_of("backyard")
    task = next(task for task in plan.tasks if task.id == "Oak stack:plant")
    assert task.spread == (20 * 8 + 15, 20 * 18 + 45)
    assert facts(plan)["work"] == "4 h 40 of hands on Sat 15 May, 2 h 55 to 6 h 45"
    unknown = replace(plan, tasks=tuple(replace(task, spread=None) for task in plan.tasks))
    assert "work" not in facts(unknown)


def test_a_plan_of_an_earlier_version_is_read_and_shown() -> None:
    """It knows neither weights nor spreads nor tools; nothing is shown in their place."""
    data = to_data(plan_of("backyard"))
    for planting in data["plantings"]:
        for key in ("spare_pieces", "wood_kg", "heaviest_piece_kg", "haul_trips"):
            del planting[key]
    for task in data["tasks"]:
        del task["spread"], task["tools"]
    old = from_json(json.dumps(data))
    assert not {"weight", "work"} & set(facts(old))
    assert calendar(old)


def test_the_calendar_says_stations_spread_and_tools() -> None:
    """Each station is a step with its minutes; what has to be at hand is named."""
    text = calendar(plan_of("backyard")).decode().replace("\r\n ", "").replace("\\,", ",").replace("\\;", ";")
    assert "Hands: 4 h 40 (2 h 55 to 6 h 45)." in text
    assert "At hand: drill or angle grinder with adapter, cable or spare battery; drill bit" in text
    assert "1/2 in" in text
    assert "each row half a step on from its neighbour: 1 h 40 (1 h to 2 h 40)." in text


def test_likely_minutes_lie_between_the_least_and_the_most() -> None:
    """So they do for every task that says how far its minutes spread."""
    for name in ("backyard", "market"):
        for task in plan_of(name).tasks:
            if task.spread is not None:
                assert task.spread[0] <= task.minutes <= task.spread[1], task.id
