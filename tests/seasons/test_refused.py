"""Seasons that cannot work, each for one reason: the statements that clash, and ways out that work by hand."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from scheduler.errors import NoPlan
from scheduler.plan import Plan, Remedy
from scheduler.problem.relax import leave_out, rules_of
from scheduler.problem.shapes import Problem
from scheduler.season.load import load_season
from scheduler.season.season import Season
from scheduler.service import remedies
from scheduler.service.attempt import Refusal, attempt
from scheduler.service.conflict import ABOUT
from scheduler.service.dormant_edits import PUT_OFF
from scheduler.service.edit import Edit
from scheduler.service.edits import families
from scheduler.service.planning import plan_season
from scheduler.solve.params import Budget
from scheduler.solve.search import Found, solve
from tests.command import EXAMPLES
from tests.grower import BED, OAK, SITE, TODAY, TOTEMS, catalogue, edited, season
from tests.seasons.by_hand import applied, read, said, written

QUICK = Budget(0.2)


def within(planting: str, window: str) -> str:
    """A planting with another window, all of it its best span."""
    return edited(planting, window=f'"{window}"', best=f'"{window}"')


def culture(species: str, received: str) -> str:
    """A tested culture in hand, large enough for anything."""
    what = f'species = "{species}"\nstage = "liquid culture"'
    return f'{what}\namount = "60 mL"\ntested = true\nreceived = {received}'


def room(name: str, litres: int) -> str:
    """A shelf or a fridge."""
    return f'[lab.{name}]\ntemperature = "{20 if name == "shelf" else 4} C"\nvolume = "{litres} L"\n'


def as_of(today: str, season: Season) -> Season:
    """A season whose file says another today."""
    return read(season.text.replace(f"today = {TODAY}", f"today = {today}"), season)


SIX_TOTEMS = edited(TOTEMS, logs='{ count = 6, diameter = "26 cm", length = "80 cm" }')
SEASONS: dict[str, Season] = {
    "shelf too small": season(OAK, lab=room("shelf", 5)),
    "fridge too small": season(OAK, lab=room("fridge", 8)),
    "too few loads on the days at home": season(
        within(SIX_TOTEMS, "2027-04-03/2027-05-10"),
        people='hours = { sat = 16 }\nhome = { sat = 24 }\naway = ["2027-01-03/2027-04-02"]',
        lab=room("shelf", 500) + room("fridge", 500),
        stock=(culture("oyster", "2026-11-20"),),
        buying='lead = { grain = "0 d", supplies = "0 d" }',
    ),
    "home too short for a load": season(
        OAK, people="hours = { sat = 4, sun = 4 }\nhome = { sat = 4, sun = 4 }"
    ),
    "window too early": season(within(OAK, "2027-01-10/2027-01-31")),
    "supplies too late": season(OAK, buying='lead = { supplies = "120 d" }'),
    "dry grain too late": season(
        OAK, stock=(culture("shiitake", "2026-11-20"),), buying='lead = { grain = "120 d" }'
    ),
    "logs too late": season(
        edited(OAK, spawn='"buy"'),
        people='hours = { sat = 6, sun = 4 }\nfelling = "bought"',
        buying='lead = { supplies = "140 d" }',
    ),
    "culture too late": season(OAK, buying='lead = { culture = "120 d" }'),
    "no hours": season(OAK, people="hours = {}"),
    "too few hours": season(OAK, people="hours = { sat = 3 }"),
    "away all window": season(OAK, people='hours = { sat = 6, sun = 4 }\naway = ["2027-04-05/2027-06-05"]'),
    "no drill": season(OAK, tools="drills = 0"),
    "tank too small": season(edited(BED, chips='"soaked"'), tools='tank = "300 L"'),
    "wood too old": season(edited(OAK, felled="2026-03-01")),
    # Old enough for a few jars at once; it is too little for all, and bottles come when it no longer keeps.
    "culture too old": season(OAK, stock=(edited(culture("shiitake", "2026-06-13"), amount='"4.5 mL"'),)),
    "begun too late": season(OAK, head="no_work_before = 2027-03-20"),
    "ground thaws too late": season(BED, site=SITE.replace("2027-04-05", "2027-06-25")),
    "too few hours for two": season(edited(OAK, priority="2"), SIX_TOTEMS, people="hours = { sat = 3 }"),
    "wood no longer felled": as_of(
        "2027-04-20", season(within(edited(OAK, spawn='"buy"'), "2027-04-24/2027-06-20"))
    ),
    "nothing in time": as_of("2027-05-30", season(within(OAK, "2027-04-15/2027-06-10"))),
    "nothing in time for one of two": as_of(
        "2027-05-30",
        season(
            within(OAK, "2027-04-15/2027-06-10"), within(edited(BED, spawn='"buy"'), "2027-06-10/2027-07-31")
        ),
    ),
    "one drill for many": season(
        edited(OAK, spawn='"buy"', felled="2026-11-20"),
        people="hours = { sat = 1, sun = 1 }",
        help_=("on = 2027-05-01\npeople = 12\nhours = 2",),
        tools="drills = 1",
    ),
    "bags too long for a day": season(
        TOTEMS, people="hours = { sat = 4, sun = 4 }\nhome = { sat = 4, sun = 4 }"
    ),
    "bags of two too long for a day": season(
        OAK, TOTEMS, people="hours = { sat = 4, sun = 4 }\nhome = { sat = 4, sun = 4 }"
    ),
    "no time for a second stage": season(
        within(BED, "2027-05-01/2027-05-12"),
        head="no_work_before = 2027-03-15",
        stock=(culture("wine cap", "2026-11-20"),),
    ),
    "too few hours for all at once": season(edited(OAK, at_least="20"), people="hours = { sat = 3 }"),
    "begun too late, from a file": load_season(
        EXAMPLES / "too-late", catalogue(), clock=TODAY, system_timezone="UTC"
    ),
}
LATER, GRAIN, SPAWN, FEWER = "plant later", "buy grain", "buy spawn", "fewer logs or less area"
TREATMENT, STRAIGHT, HALVES = "another treatment", "plant grain", "half now, half in autumn"
CULTURE, WOOD, DRILL = "order a new culture", "felled wood", "another drill"
EXPECTED: dict[str, tuple[set[str], set[str]]] = {
    "shelf too small": ({"shelf"}, {"more shelf", SPAWN}),
    "fridge too small": ({"fridge", "hours"}, {"more fridge", "wider spacing"}),
    "too few loads on the days at home": (
        {"cooker:1", "away", "hours", "window:Totems"},
        {"another load", "another cooker", TREATMENT, LATER, GRAIN, SPAWN, HALVES},
    ),
    "home too short for a load": ({"home"}, {"more hours at home", SPAWN}),
    "window too early": ({"window:Oak stack"}, {LATER, SPAWN}),
    "supplies too late": ({"lead:supplies", "window:Oak stack"}, {LATER, SPAWN}),
    "dry grain too late": ({"lead:dry-grain", "window:Oak stack"}, {LATER, SPAWN}),
    "logs too late": ({"bud_swell", "lead:supplies"}, {WOOD}),
    "culture too late": ({"lead:culture", "window:Oak stack"}, {LATER, GRAIN, SPAWN}),
    "no hours": ({"hours"}, {"more hours"}),
    "too few hours": ({"hours"}, {"a longer day", FEWER}),
    "away all window": ({"away", "window:Oak stack"}, {LATER}),
    "no drill": ({"drills"}, {DRILL}),
    "tank too small": ({"chips:Bed", "tank"}, {"another preparation", "larger tank"}),
    "wood too old": ({"felled:Oak stack"}, {"fresh wood", WOOD}),
    "culture too old": ({"lead:supplies"}, {CULTURE, GRAIN, SPAWN}),
    "begun too late": ({"no_work_before", "window:Oak stack"}, {LATER, GRAIN, SPAWN}),
    "ground thaws too late": ({"ground_thaws", "window:Bed"}, {LATER}),
    "too few hours for two": ({"hours"}, {"a longer day", HALVES, FEWER, "give up a planting"}),
    "wood no longer felled": ({"bud_swell"}, {WOOD}),
    "nothing in time": (set(), {PUT_OFF}),
    "nothing in time for one of two": ({"window:Oak stack"}, {PUT_OFF, "give up a planting"}),
    "one drill for many": ({"drills", "hours"}, {DRILL, "helpers for a day"}),
    "bags too long for a day": ({"home"}, {"more hours at home", TREATMENT, STRAIGHT, SPAWN}),
    "bags of two too long for a day": ({"home"}, {"more hours at home", SPAWN}),
    "no time for a second stage": (
        {"hours", "no_work_before", "window:Bed"},
        {LATER, STRAIGHT, GRAIN, SPAWN},
    ),
    "too few hours for all at once": ({"hours"}, {"a longer day", HALVES, FEWER}),
    "begun too late, from a file": ({"window:Ridge stack"}, {LATER, SPAWN, "give up a planting"}),
}
"""The grower's own statements that clash, exactly; and kinds of remedies that have to be among those listed."""


@cache
def looked_at(reason: str) -> tuple[Plan, list[Season]]:
    """The refusal of a season, and all seasons that were planned to find the remedies."""
    planned: list[Season] = []

    def watched(season: Season, *args: Any, **keys: Any) -> Plan | Refusal:
        outcome = attempt(season, *args, **keys)
        if isinstance(outcome, Plan):
            planned.append(said(season))
        return outcome

    with pytest.MonkeyPatch.context() as patch, pytest.raises(NoPlan) as caught:
        patch.setattr(remedies, "attempt", watched)
        plan_season(SEASONS[reason], catalogue())
    assert isinstance(caught.value.refusal, Plan)
    return caught.value.refusal, planned


def refused(reason: str) -> Plan:
    """The refusal of a season."""
    return looked_at(reason)[0]


@cache
def barest(reason: str) -> Problem:
    """The barest problem of a season, for which no answer was found."""
    outcome = attempt(SEASONS[reason], catalogue(), budget=QUICK, levels=("bare",))
    assert isinstance(outcome, Refusal)
    return outcome.problem


def clash(reason: str) -> list[str]:
    """Names of the rules that clash, without what they are about."""
    told = (statement.rule for statement in refused(reason).conflict)
    return [rule for rule in told if not rule.startswith(ABOUT)]


def about(reason: str) -> list[str]:
    """Names of what is told beside the rules that clash."""
    told = (statement.rule for statement in refused(reason).conflict)
    return [rule.removeprefix(ABOUT) for rule in told if rule.startswith(ABOUT)]


def amounts(reason: str, remedy: Remedy) -> tuple[Edit, ...]:
    """All amounts of a remedy that could have been listed, the smallest first."""
    rules = [barest(reason).rules[name] for name in clash(reason)]
    named = frozenset(rule.facts["planting"] for rule in rules if "planting" in rule.facts)
    every = families(SEASONS[reason], catalogue(), frozenset(rule.kind for rule in rules), named)
    return next(
        family.edits
        for family in every
        if (family.kind, family.plantings) == (remedy.kind, remedy.plantings)
        and remedy.amount in {edit.amount for edit in family.edits}
    )


@pytest.mark.parametrize("reason", SEASONS)
def test_the_statements_that_clash_are_named(reason: str) -> None:
    """The refusal is confirmed; of the grower's statements it names those that clash and no other."""
    refusal = refused(reason)
    own = {rule for rule in clash(reason) if barest(reason).rules[rule].owner == "grower"}
    assert (refusal.status, refusal.confirmed) == ("none", True)
    assert own == EXPECTED[reason][0]
    assert all(statement.statement for statement in refusal.conflict)


@pytest.mark.parametrize("reason", SEASONS)
def test_at_least_two_statements_of_the_file_are_told(reason: str) -> None:
    """A clash of nature alone, or of one statement, is told with size, window or today; no other is."""
    own = [one for one in refused(reason).conflict if one.key and not one.key.startswith("profiles/")]
    assert len(own) >= 2
    assert bool(about(reason)) == (len(own) - len(about(reason)) < 2)


@pytest.mark.parametrize("reason", SEASONS)
def test_none_of_them_can_be_spared(reason: str) -> None:
    """The named rules alone leave no answer; without any one of them there is one."""
    problem, kept = barest(reason), set(clash(reason))
    every = set(rules_of(problem))
    assert not isinstance(solve(leave_out(problem, every - kept), budget=QUICK), Found)
    for rule in kept:
        fewer = leave_out(problem, every - (kept - {rule}))
        assert isinstance(solve(fewer, budget=QUICK), Found), rule


@pytest.mark.parametrize("reason", SEASONS)
def test_every_remedy_works_when_it_is_carried_out_by_hand(reason: str) -> None:
    """The season, rewritten by nothing but what a remedy says, is planned; those that belong here are listed."""
    remedies = refused(reason).remedies
    assert EXPECTED[reason][1] <= {remedy.kind for remedy in remedies}
    for remedy in remedies:
        assert isinstance(attempt(applied(SEASONS[reason], remedy), catalogue(), budget=QUICK), Plan), remedy


@pytest.mark.parametrize("reason", SEASONS)
def test_the_file_with_the_changes_says_the_season_that_was_solved(reason: str) -> None:
    """The season file, changed as a remedy says, is read as exactly a season that was planned.

    It is also the one that the words of the remedy lead to, where whoever has more hours may be at home longer.
    """
    season, (refusal, planned) = SEASONS[reason], looked_at(reason)
    for remedy in refusal.remedies:
        read, by_hand = said(written(season, remedy)), said(applied(season, remedy))
        assert remedy.changes
        assert read in planned, remedy
        home = by_hand.people.home_minutes
        assert all(read.people.home_minutes[day] >= minutes for day, minutes in home.items()), remedy
        people = replace(by_hand.people, home_minutes=read.people.home_minutes)
        assert read == replace(by_hand, people=people), remedy


@pytest.mark.parametrize("reason", SEASONS)
def test_no_remedy_asks_for_more_than_is_needed(reason: str) -> None:
    """With one step less than a remedy says the season is still refused, even without any spares."""
    for remedy in refused(reason).remedies:
        edits = amounts(reason, remedy)
        place = next(index for index, edit in enumerate(edits) if edit.amount == remedy.amount)
        if place:
            less = attempt(edits[place - 1].season, catalogue(), budget=QUICK, levels=("bare",))
            assert isinstance(less, Refusal), remedy


@pytest.mark.parametrize(
    ("reason", "foreign"),
    [
        ("shelf too small", {"another load", "more fridge", "more hours", LATER, "helpers for a day"}),
        ("fridge too small", {"another load", "more shelf", LATER}),
        ("home too short for a load", {"more shelf", "more fridge", LATER}),
        ("too few hours", {"another load", "another cooker", "more shelf", "more fridge", SPAWN}),
        ("no drill", {"another load", "more hours", LATER, GRAIN, SPAWN}),
        ("window too early", {"another load", "more hours", "more shelf", "fresh wood"}),
    ],
)
def test_no_remedy_that_does_not_touch_the_conflict(reason: str, foreign: set[str]) -> None:
    """More cooking does not cure a full shelf, nor bought spawn a shortage of hands outdoors."""
    assert not foreign & {remedy.kind for remedy in refused(reason).remedies}
