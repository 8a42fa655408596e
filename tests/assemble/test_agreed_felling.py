"""A day of felling that was agreed for later: the wood is felled on it, and everything else lies around it."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path

import pytest

from scheduler.plan import Plan
from scheduler.season.load import load_season
from scheduler.season.season import Season
from scheduler.service.attempt import Refusal, attempt
from scheduler.service.planting_edits import fresh_wood
from tests.grower import CULTURE, OAK, catalogue, edited, season

RAFT = Path(__file__).parents[1] / "season" / "good" / "raft-to-be-felled.toml"
AGREED = date(2027, 1, 16)


@cache
def raft() -> Season:
    """A season that uses every key of the format."""
    return load_season(RAFT, catalogue(), clock=date(2026, 11, 30), system_timezone="UTC")


@cache
def planned() -> Plan:
    """The plan of that season."""
    found = attempt(raft(), catalogue())
    assert isinstance(found, Plan)
    return found


def test_every_key_of_the_format_may_stand_together() -> None:
    """What has no part in a raft is warned about, and that is all."""
    assert [warning.rpartition(", so ")[2] for warning in raft().warnings] == [
        "`pattern` has no part there",
        "`chips` has no part there",
    ]


def test_the_wood_is_felled_on_the_agreed_day() -> None:
    """Felling, bucking and hauling are work of that day; it is the only day, and none of them can wait."""
    plan = planned()
    (beech,) = plan.plantings
    assert (beech.fell_on, beech.fell_between) == ((AGREED,), (AGREED, AGREED))
    work = [task for task in plan.tasks if task.kind in ("fell", "buck", "haul")]
    assert [(task.kind, task.on, task.slip_to) for task in work] == [
        (kind, AGREED, None) for kind in ("fell", "buck", "haul")
    ]
    assert all(task.minutes > 0 for task in work)
    assert beech.wood_moisture is not None
    assert not [task for task in plan.tasks if task.kind == "prepare-chips"]


@pytest.mark.parametrize(
    ("felled", "rules"),
    [
        ("2027-04-14", {"bud_swell", "felled:Oak stack"}),
        ("2027-01-11", {"hours", "felled:Oak stack"}),
    ],
    ids=["buds swell", "a Monday without hours"],
)
def test_an_agreed_day_on_which_nothing_can_be_felled_is_a_conflict(felled: str, rules: set[str]) -> None:
    """The day that was named, and what forbids it, are both told."""
    found = attempt(season(edited(OAK, felled=felled), stock=(CULTURE,)), catalogue(), levels=("bare",))
    assert isinstance(found, Refusal)
    forbidding = {
        limit.rule
        for limit in found.problem.work("Oak stack:fell").limits
        if (date.fromisoformat(felled) - found.problem.origin).days not in limit.days
    }
    assert forbidding | {"felled:Oak stack"} == rules
    assert found.confirmed


def test_another_day_is_a_way_out() -> None:
    """Wood that is down is felled anew, a day to come is given up for another."""
    for felled, text in (
        ("2026-11-01", "Fell fresh wood for Oak stack."),
        ("2027-01-10", "Fell the wood for Oak stack on another day than Sun 10 Jan 2027."),
    ):
        of = season(edited(OAK, felled=felled))
        (family,) = fresh_wood(of, catalogue(), list(of.plantings))
        assert [edit.text for edit in family.edits] == [text]
        assert family.edits[0].season.plantings[0].felled is None
