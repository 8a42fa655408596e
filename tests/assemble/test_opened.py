"""Warnings about what is opened once and used again when it is no longer of use."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from scheduler.document import from_json
from scheduler.plan import Batch, Plan
from scheduler.season.season import Season
from scheduler.service.attempt import attempt
from scheduler.solve.params import Budget
from tests.command import example, inside
from tests.grower import CULTURE, OAK, catalogue, edited, season

FEW = edited(OAK, logs='{ count = 8, diameter = "13 cm", length = "1 m" }')
LATER = edited(
    FEW,
    name='"Second stack"',
    window='"2027-05-20/2027-08-10"',
    best='"2027-06-05/2027-07-20"',
)
LARGE_JARS = 'grain_in = "half-gallon jar"'
ONE_BATCH_AT_A_TIME = f'{LARGE_JARS}\n[lab.shelf]\nholds = {{ "2.3 kg bag" = 3, "half-gallon jar" = 8 }}'


def planned(of: Season) -> Plan:
    """The plan of a season that fits."""
    plan = attempt(of, catalogue(), budget=Budget(0.2))
    assert isinstance(plan, Plan)
    return plan


def opened(plan: Plan) -> list[str]:
    """The notes about what was opened."""
    return [note for note in plan.notes if "opened" in note]


def fed_on(plan: Plan) -> dict[str, list[date]]:
    """Days on which something is made from each unit."""
    days: dict[str, list[date]] = {}
    for batch in plan.batches:
        for unit in batch.units:
            if unit.parent and batch.inoculate_on:
                days.setdefault(unit.parent, []).append(batch.inoculate_on)
    return {unit: sorted(set(on)) for unit, on in days.items()}


def bags(plan: Plan) -> list[Batch]:
    """Batches of sawdust spawn."""
    return [batch for batch in plan.batches if batch.stage == "sawdust"]


def test_a_jar_that_is_shared_out_twice_is_named_with_days_and_a_way_round() -> None:
    """A shelf for three bags makes the second batch wait for the first; one jar would serve both."""
    plan = planned(season(FEW, LATER, stock=(CULTURE,), lab=ONE_BATCH_AT_A_TIME))
    first, second = bags(plan)
    assert first.inoculate_on
    assert second.inoculate_on
    assert (second.inoculate_on - first.inoculate_on).days > 14
    (note,) = opened(plan)
    (jar,) = [u for u, on in fed_on(plan).items() if u.startswith("SHI-G") and len(on) > 1]
    apart = (second.inoculate_on - first.inoculate_on).days
    assert note.startswith(f"{jar}: opened for {first.id} on ")
    assert f"again for {second.id}" in note
    assert f"{apart} days later" in note
    # The way round leads to a jar that is open on the same day and has room: half a gallon feeds four bags.
    fed, other = note.rpartition("Better make ")[2].removesuffix(", which is open then.").split(" from ")
    assert {u.parent for u in first.units if u.id == fed} == {jar}
    assert fed_on(plan)[other] == [first.inoculate_on]
    assert [u.parent for u in first.units].count(other) < 4


def test_jars_that_serve_one_day_are_not_named() -> None:
    """With room for both, all bags are made at once."""
    assert opened(planned(season(FEW, LATER, stock=(CULTURE,), lab=LARGE_JARS))) == []


def test_a_culture_is_drawn_from_without_being_opened() -> None:
    """A syringe that serves the test and the grain weeks later is no opened bag."""
    plan = planned(season(FEW, stock=(edited(CULTURE, tested="false"),)))
    (days,) = [on for unit, on in fed_on(plan).items() if unit == "SHI-La/1"]
    assert len(days) > 1
    assert opened(plan) == []


@pytest.mark.parametrize(("until", "told"), [("2027-05-22", True), ("2027-05-08", False)])
def test_a_planting_that_is_broken_off_needs_a_closed_bag(tmp_path: Path, until: str, told: bool) -> None:
    """Half of the logs in April, the rest five weeks later: the bag of April is past its month by then.

    Published: once a bag of spawn is open, it is used within a month (eXtension, forest-farmed totems).
    """
    example("backyard", tmp_path)
    day = ("--today", "2027-04-17")
    for command in (
        ("plan", "backyard"),
        ("record", "backyard", "done", "all", "--today", "2027-04-16"),
        ("record", "backyard", "planted", "Oak stack", "10", "--force", *day),
        ("record", "backyard", "put-off", "Oak stack", until, *day),
        ("replan", "backyard", *day),
    ):
        assert inside(*command, cwd=tmp_path).code == 0
    plan = from_json(inside("show", "backyard", "--json", *day, cwd=tmp_path).out)
    (oak, _) = plan.plantings
    assert (oak.plant_on[0] - date(2027, 4, 17) > timedelta(days=30)) == told
    assert len(opened(plan)) == told
    for note in opened(plan):
        assert note.startswith("SHI-Sa: a unit opened for Oak stack on Sat 17 Apr 2027 is no longer of use")
        assert "within 30 days" in note
    # What went into the ten logs is not left over any more.
    whole_g = sum(b.started * b.unit_mass_g * 0.88 for b in plan.batches if b.id == "SHI-Sa")
    assert plan.leftover[0].grams == pytest.approx(whole_g - 2 * oak.spawn_needed_g, abs=1)
