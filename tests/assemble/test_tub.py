"""Pellets scalded in a tub: boiling water on dry pellets, closed overnight, inoculated when they are cold."""

from __future__ import annotations

from datetime import timedelta
from functools import cache

import pytest

from scheduler.plan import Plan, Task
from scheduler.service.attempt import attempt
from tests.grower import BED, catalogue, edited, season

ONLY_JARS = '[[lab.cooker]]\nkind = "pressure cooker"\nholds = { "quart jar" = 7 }'


@cache
def planned() -> Plan:
    """A bed whose bags fit no cooker."""
    found = attempt(season(edited(BED, chips='"wetted in place"'), lab=ONLY_JARS), catalogue())
    assert isinstance(found, Plan)
    return found


def tasks(kind: str) -> list[Task]:
    """The tasks of a kind."""
    return [task for task in planned().tasks if task.kind == kind]


def test_pellets_are_not_wetted_before_the_boiling_water() -> None:
    """All water of the bags belongs to the tub: in its supplies, and in its steps as so many litres."""
    assert tasks("wet-pellets") == []
    for scald in tasks("pasteurise"):
        pellets, water = scald.supplies
        assert (pellets.item, water.item) == ("hardwood fuel pellets", "water")
        # 6 % to 60 % moisture: 1.35 L a kg, both rounded up to a tenth.
        assert water.quantity == pytest.approx(1.35 * pellets.quantity, abs=0.25)
        assert f"{water.quantity:g} L water" in scald.steps[1]
        assert "dry" in scald.steps[0]


def test_the_tub_says_what_can_hurt() -> None:
    """Boiling water and pellet dust."""
    for scald in tasks("pasteurise"):
        assert any("boiling water" in caution for caution in scald.cautions)
        assert any("Dust of wood" in caution for caution in scald.cautions)


def test_what_was_scalded_is_inoculated_within_two_days() -> None:
    """On the next day or the one after, not put off longer; the bags are filled then."""
    assert tasks("pasteurise")
    for scald in tasks("pasteurise"):
        start = next(task for task in tasks("inoculate") if task.batch == scald.batch)
        assert timedelta(days=1) <= start.on - scald.on <= timedelta(days=2)
        assert (start.slip_to or start.on) - scald.on <= timedelta(days=2)
        assert scald.id in start.after
        assert any("open the tub" in step for step in start.steps)


def test_pellets_are_ordered_for_the_day_of_the_tub() -> None:
    """Not for the evening before, on which nothing is done with them."""
    (order,) = [order for order in planned().orders if "pellets" in order.item]
    assert order.needed_on == min(task.on for task in tasks("pasteurise"))
