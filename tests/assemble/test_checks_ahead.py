"""What is looked after some weeks ahead: when, for what, how long it can wait, and when it is over."""

from __future__ import annotations

from collections import Counter
from datetime import date, timedelta
from functools import cache

import pytest

from scheduler.plan import Plan, Task
from scheduler.service.attempt import attempt
from scheduler.solve.params import Budget
from tests.grower import BED, CULTURE, OAK, TOTEMS, catalogue, edited, season

COOKERS = """
[[lab.cooker]]
kind = "pressure cooker"
holds = { "quart jar" = 7 }
[[lab.cooker]]
kind = "steam drum"
holds = { "2.3 kg bag" = 12 }
"""
ONE_DAY = timedelta(days=1)


def planned(*plantings: str, **more: object) -> Plan:
    """The plan of a season that fits."""
    plan = attempt(season(*plantings, **more), catalogue(), budget=Budget(0.2))  # type: ignore[arg-type]
    assert isinstance(plan, Plan)
    return plan


@cache
def usual() -> Plan:
    """Oak logs and totems that the grower fells, and a bed."""
    return planned(OAK, TOTEMS, BED, stock=(CULTURE,), people="hours = { wed = 2, sat = 8, sun = 6 }")


def ahead(plan: Plan) -> dict[str, Task]:
    """The checks ahead of a plan by id."""
    return {task.id: task for task in plan.tasks if task.kind == "prepare" and task.batch is None}


def test_each_check_is_there_once() -> None:
    """The cooker, the leave to fell and the saw once a season; what planting takes for each planting."""
    assert set(ahead(usual())) == {
        "pressure cooker 1:prepare:cooker",
        "season:prepare:felling-permission",
        "season:prepare:saw",
        "Oak stack:prepare:planting-day",
        "Totems:prepare:planting-day",
        "Bed:prepare:planting-day",
    }


@pytest.mark.parametrize(
    ("name", "kinds"),
    [
        ("pressure cooker 1:prepare:cooker", {"cook"}),
        ("season:prepare:felling-permission", {"fell"}),
        ("season:prepare:saw", {"fell"}),
        ("Bed:prepare:planting-day", {"plant"}),
    ],
)
def test_a_check_comes_before_the_first_work_of_its_kind(name: str, kinds: set[str]) -> None:
    """It is a small task in its band before that work, waits until the eve of it, and the work comes after it."""
    plan = usual()
    task = ahead(plan)[name]
    later = [other for other in plan.tasks if name in other.after]
    assert {other.kind for other in later} == kinds
    first = min(other.on for other in later)
    of_kind = [t.on for t in plan.tasks if t.kind in kinds and (task.planting in (None, t.planting))]
    assert first == min(of_kind)
    check = next(c for c in catalogue().preseason.check if name.endswith(f":{c.name}"))
    assert first - check.ahead.highest * ONE_DAY <= task.on < first
    assert task.small and task.minutes == check.minutes.likely
    assert task.slip_to in (None, first - ONE_DAY)
    assert (task.slip_to is None) == (task.on == first - ONE_DAY)


def test_cautions_stand_where_it_can_hurt() -> None:
    """Heating a cooker and starting a saw carry theirs; a look into the tool box carries none."""
    tasks = ahead(usual())
    cautions = catalogue().cautions
    assert cautions["pressure-vessel"].told in tasks["pressure cooker 1:prepare:cooker"].cautions
    assert tasks["season:prepare:saw"].cautions == (cautions["chainsaw"].told,)
    assert tasks["season:prepare:felling-permission"].cautions == (cautions["felling-law"].told,)
    assert tasks["Bed:prepare:planting-day"].cautions == ()


def test_the_planting_day_s_check_lists_tools_and_supplies() -> None:
    """Bits as wide as the holes, the wax pot, and how much wax and how many labels."""
    steps = ahead(usual())["Oak stack:prepare:planting-day"].steps
    assert "drill bit with a depth stop, and a spare, 12 mm (holes for sawdust spawn)" in steps
    assert any(step.startswith("wax pot") for step in steps)
    assert {"2.7 kg wax", "60 x label"} <= set(steps)
    assert not any("8.5 mm" in step for step in steps), "no dowels are planted"


def test_dowels_take_their_own_bit_and_a_hammer() -> None:
    """A planting of dowels needs neither the wide bit nor the tool with a plunger."""
    plan = planned(edited(OAK, route='["liquid culture", "grain", "dowels"]'), stock=(CULTURE,))
    items = [tool.item for task in plan.tasks if task.kind == "plant" for tool in task.tools]
    assert "drill bit with a depth stop, and a spare, 8.5 mm" in items
    assert "hammer and a blunt punch" in items
    assert not any("plunger" in item or "12 mm" in item for item in items)


@pytest.mark.parametrize(
    ("felling", "left"),
    [("hired", {"season:prepare:felling-permission"}), ("bought", set[str]())],
)
def test_only_whoever_fells_looks_over_a_saw(felling: str, left: set[str]) -> None:
    """Hired fellers bring their own saw, and delivered wood asks for no leave."""
    plan = planned(OAK, stock=(CULTURE,), people=f'hours = {{ sat = 6, sun = 4 }}\nfelling = "{felling}"')
    assert {name for name in ahead(plan) if name.startswith("season:")} == left


def test_each_kind_of_cooker_has_its_own_check() -> None:
    """A drum has no gauge: it is tried out with water."""
    at_home = "hours = { sat = 8, sun = 6 }\nhome = { sat = 22, sun = 22 }"
    plan = planned(TOTEMS, lab=COOKERS, people=at_home)
    titles = {task.id: task.title for task in plan.tasks if "cook" in task.id or "drum" in task.id}
    assert titles["pressure cooker 1:prepare:cooker"] == "Test gasket, vent and gauge: pressure cooker 1"
    assert titles["steam drum 2:prepare:drum"] == "Try out with water only: steam drum 2"


def test_nothing_lies_before_today_or_on_a_day_away() -> None:
    """Where work begins late the check is due at once; on days away it is done before or after them."""
    late = planned(
        edited(OAK, window='"2027-02-01/2027-04-30"', best='"2027-02-01/2027-03-20"'),
        stock=(CULTURE,),
        head="no_work_before = 2026-12-20",
    )
    first = min(load.on for load in late.loads)
    assert first - 14 * ONE_DAY < date(2026, 12, 20), "there is not time for the usual two weeks"
    assert date(2026, 12, 20) <= ahead(late)["pressure cooker 1:prepare:cooker"].on < first
    usual_day = ahead(usual())["season:prepare:saw"].on
    away = f'away = ["{usual_day - 2 * ONE_DAY}/{usual_day + 2 * ONE_DAY}"]'
    plan = planned(
        OAK, TOTEMS, BED, stock=(CULTURE,), people=f"hours = {{ wed = 2, sat = 8, sun = 6 }}\n{away}"
    )
    days = {task.on for task in ahead(plan).values()}
    assert not days & {usual_day + n * ONE_DAY for n in range(-2, 3)}


def test_checks_do_not_pile_up_where_other_days_are_free() -> None:
    """Small tasks of a day with a check stay within what a day has for them, as long as any day does."""
    plan = usual()
    minutes = Counter[date]()
    for task in plan.tasks:
        if task.small:
            minutes[task.on] += task.minutes
    assert all(minutes[task.on] <= 20 for task in ahead(plan).values())


def test_many_plantings_are_counted_in_the_title_and_named_below() -> None:
    """Four names would make a title of four lines."""
    names = [f"Stack {letter}" for letter in "ABCD"]
    few = [
        edited(OAK, name=f'"{name}"', logs='{ count = 2, diameter = "13 cm", length = "1 m" }')
        for name in names
    ]
    for plantings, title, steps in (
        (few[:3], "Look over saw and protective gear: Stack A; Stack B; Stack C", 0),
        (few, "Look over saw and protective gear: 4 plantings", 1),
    ):
        task = ahead(planned(*plantings, stock=(CULTURE,)))["season:prepare:saw"]
        assert task.title == title
        assert sum(step == f"For {'; '.join(names)}." for step in task.steps) == steps
