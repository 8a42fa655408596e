"""Seasons that cannot work, each for one reason: the statement that clashes, and remedies that touch it."""

from __future__ import annotations

import pytest

from scheduler.errors import NoPlan
from scheduler.plan import Plan
from scheduler.season.season import Season
from scheduler.service import remedies
from scheduler.service.attempt import Refusal, attempt
from scheduler.service.edits import families
from scheduler.service.planning import plan_season
from tests.grower import BED, CULTURE, OAK, catalogue, edited, season


def between(planting: str, window: str) -> str:
    """A planting with another window, all of it its best span."""
    return edited(planting, window=f'"{window}"', best=f'"{window}"')


IMPOSSIBLE: dict[str, tuple[Season, str, str]] = {
    "shelf": (season(OAK, lab='[lab.shelf]\ntemperature = "22 C"\nvolume = "4 L"'), "shelf", "more shelf"),
    "fridge": (season(OAK, lab='[lab.fridge]\ntemperature = "4 C"\nvolume = "1 L"'), "fridge", "more fridge"),
    "hours": (season(OAK, people="hours = { sat = 0.5 }"), "hours", "more hours"),
    "window": (season(between(OAK, "2026-12-20/2027-01-10"), stock=(CULTURE,)), "window", "plant later"),
    "tank": (
        season(edited(BED, chips='"fermented"'), tools='tank = "20 L"'),
        "tank",
        "another preparation",
    ),
    "away": (
        season(OAK, people='hours = { sat = 6, sun = 4 }\naway = ["2026-12-01/2027-07-31"]'),
        "away",
        "",
    ),
    "felled": (
        season(edited(OAK, felled="2025-12-20"), stock=(CULTURE,)),
        "felled",
        "fresh wood",
    ),
    "culture": (
        season(between(OAK, "2027-01-10/2027-02-10"), buying='lead = { culture = "60 d" }'),
        "window",
        "plant later",
    ),
}


def refused(of: Season) -> Plan:
    """The refusal of a season that cannot be planned."""
    with pytest.raises(NoPlan) as caught:
        plan_season(of, catalogue())
    assert isinstance(caught.value.refusal, Plan)
    return caught.value.refusal


@pytest.mark.parametrize("reason", IMPOSSIBLE)
def test_the_conflict_names_the_statement_and_a_remedy_cures_it(reason: str) -> None:
    """What clashes is said by its rule and key, confirmed, with the remedy that belongs to it."""
    of, rule, remedy = IMPOSSIBLE[reason]
    refusal = refused(of)
    assert refusal.status == "none"
    assert refusal.confirmed
    rules = [statement.rule.partition(":")[0] for statement in refusal.conflict]
    assert rule in rules
    assert all(statement.statement for statement in refusal.conflict)
    kinds = [one.kind for one in refusal.remedies]
    assert not remedy or remedy in kinds
    assert len(set(kinds)) == len(kinds)


@pytest.mark.parametrize("reason", ["shelf", "fridge", "hours", "window"])
def test_a_remedy_is_the_smallest_of_its_kind_and_can_be_planned(reason: str) -> None:
    """The amount listed fits and the next smaller one does not."""
    of, _, remedy = IMPOSSIBLE[reason]
    listed = next(one for one in refused(of).remedies if one.kind == remedy)
    outcome = attempt(of, catalogue())
    assert isinstance(outcome, Refusal)
    every = families(of, catalogue(), frozenset({reason}), frozenset())
    family = next(one for one in every if one.kind == remedy)
    place = next(index for index, edit in enumerate(family.edits) if edit.amount == listed.amount)
    assert isinstance(attempt(family.edits[place].season, catalogue()), Plan)
    assert place == 0 or not remedies._fits(family.edits[place - 1], catalogue())


def test_no_remedy_that_does_not_touch_the_conflict() -> None:
    """More cooking does not cure a full shelf, nor more hours a full fridge."""
    for reason, foreign in (("shelf", "another load"), ("fridge", "more hours"), ("hours", "more shelf")):
        kinds = {remedy.kind for remedy in refused(IMPOSSIBLE[reason][0]).remedies}
        assert foreign not in kinds, reason
