"""Logs with saw cuts as a plan has them: where the cuts are, what they carry along, when the wood is run through."""

from __future__ import annotations

from functools import cache

import pytest

from scheduler.plan import Plan
from scheduler.service.attempt import attempt
from tests.grower import OAK, catalogue, edited, season

SAWN = edited(OAK, method='"wedge-cut logs"').replace('pattern = "15 x 5 cm"', "")


@cache
def planned(cut: str) -> Plan:
    """A few logs with cuts of a kind, or with holes."""
    logs = '{ count = 8, diameter = "13 cm", length = "90 cm" }'
    text = edited(SAWN, cut=f'"{cut}"', logs=logs) if cut else edited(OAK, logs=logs)
    found = attempt(season(text), catalogue())
    assert isinstance(found, Plan)
    return found


@pytest.mark.parametrize("cut", ["wedge", "kerf"])
def test_each_planting_task_lists_the_cuts(cut: str) -> None:
    """Seven cuts on 90 cm, in the steps of every day of planting, beside the spawn that goes into them."""
    plants = [task for task in planned(cut).tasks if task.kind == "plant"]
    assert plants
    for task in plants:
        assert task.steps[0].startswith("Spawn: ")
        assert task.steps[1].startswith("7 cuts: 6, 32, 58, 84 cm from one end on one side, 19, 45, 71 cm")


def test_wax_brings_its_caution() -> None:
    """Kerfs are waxed, wedges are not."""
    wax = catalogue().cautions["hot-wax"].told
    cautions = {
        cut: {text for task in planned(cut).tasks if task.kind == "plant" for text in task.cautions}
        for cut in ("wedge", "kerf")
    }
    assert wax in cautions["kerf"] and wax not in cautions["wedge"]
    assert catalogue().cautions["saw-cuts"].told in cautions["kerf"] & cautions["wedge"]


@pytest.mark.parametrize("cut", ["wedge", "kerf", ""])
def test_a_plan_says_when_the_wood_is_run_through(cut: str) -> None:
    """A band in months for cuts and holes, the figures it rests on, and another pattern only for holes."""
    plan = planned(cut)
    (planting,) = plan.plantings
    assert planting.run_months is not None
    assert 3 < planting.run_months.low <= planting.run_months.likely <= planting.run_months.high < 24
    names = {figure.name for figure in plan.figures}
    assert {"run.along", "run.across", "run.sapwood", "species.shiitake.run_speed"} <= names
    assert (planting.other_pattern is not None) == (not cut)
    assert any(name.startswith("run.pattern.") for name in names) == (not cut)
