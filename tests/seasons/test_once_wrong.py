"""Seasons that once were planned wrongly, cut down to what it took: each is planned and approved, or refused."""

from __future__ import annotations

from collections import Counter
from datetime import date

import pytest

from scheduler.lines.sizing import size
from scheduler.plan import Plan
from scheduler.problem.shapes import Cooker, Days, Problem, Work
from scheduler.problem.usage import Usage
from scheduler.season.season import Season
from scheduler.service.attempt import attempt
from scheduler.solve.params import Budget
from tests.grower import OAK, TOTEMS, catalogue, edited, season

WAX_AT_HAND = 'lead = { supplies = "0 d" }'
SPAWN_IN_HAND = 'species = "shiitake"\nstage = "sawdust"\nunits = 8\nreceived = 2026-11-20'
EIGHT_LOGS = edited(OAK, logs='{ count = 8, diameter = "13 cm", length = "1 m" }')


def within(planting: str, window: str, **keys: str) -> str:
    """A planting with another window, all of it its best span."""
    return edited(planting, window=f'"{window}"', best=f'"{window}"', **keys)


def planned(of: Season) -> Plan | None:
    """The plan of a season; None where it is refused. SolverDisagreement where the checker does not approve."""
    outcome = attempt(of, catalogue(), budget=Budget(0.2))
    return outcome if isinstance(outcome, Plan) else None


@pytest.mark.parametrize(("stock", "stage"), [((), "plate"), (("plate",), "plate"), (("slant",), "slant")])
def test_no_plate_gives_more_than_there_is_of_it(stock: tuple[str, ...], stage: str) -> None:
    """Grain for ten thick totems takes more fresh plates than can be made from a single plate or slant."""
    many = edited(
        TOTEMS,
        species='"lion\'s mane"',
        wood='"beech"',
        logs='{ count = 10, diameter = "35 cm", length = "1 m" }',
        route=f'["{stage}", "grain"]',
    )
    held = tuple(
        f'species = "lion\'s mane"\nstage = "{name}"\nunits = 1\nreceived = 2026-11-01' for name in stock
    )
    for container in ("half-gallon jar", "4.8 kg bag"):
        lab = f'grain_in = "{container}"\n[[lab.cooker]]\nkind = "pressure cooker"\nholds = {{ "{container}" = 4, "2.3 kg bag" = 4 }}'
        [line] = size(season(many, stock=held, lab=lab), catalogue(), "wished", {}).lines
        given: Counter[str] = Counter()
        for batch in line.batches:
            for unit in batch.units:
                given[unit.parent or ""] += round(batch.feed_g * 1000)
        plates = [
            unit.id for batch in line.batches if batch.stage in ("plate", "slant") for unit in batch.units
        ]
        assert max(given[plate] for plate in plates) in range(1, 1001)


def test_a_stump_more_than_a_year_old_is_refused() -> None:
    """A stump stays moist, but other fungi move in: its age counts as that of logs does."""
    stump = within(
        TOTEMS, "2027-08-14/2027-08-14", method='"stump"', stumps='{ count = 2, diameter = "30 cm" }'
    )
    stump = "\n".join(row for row in stump.splitlines() if not row.startswith("logs"))
    assert planned(season(f"{stump}\nfelled = 2026-06-27")) is None
    assert planned(season(f"{stump}\nfelled = 2026-11-20")) is not None


def test_wood_that_is_too_dry_today_is_not_planted_today() -> None:
    """The day on which it was too dry lies in the past, where the table of days does not reach."""
    dry = within(EIGHT_LOGS, "2026-11-28/2026-12-10", felled="2025-09-10")
    fresh = within(EIGHT_LOGS, "2026-11-28/2026-12-10", felled="2026-11-10")
    assert planned(season(dry, stock=(SPAWN_IN_HAND,), buying=WAX_AT_HAND)) is None
    assert planned(season(fresh, stock=(SPAWN_IN_HAND,), buying=WAX_AT_HAND)) is not None


@pytest.mark.parametrize(("away", "day"), [("", 15), ('away = ["2027-05-08/2027-05-14"]', 16)])
def test_dry_wood_is_planted_when_somebody_was_there_to_soak_it(away: str, day: int) -> None:
    """Home again on the evening before, the logs go into water for a night, and the next day is the day."""
    stack = within(EIGHT_LOGS, "2027-05-15/2027-05-16", felled="2026-10-01")
    plan = planned(season(stack, people=f"hours = {{ sat = 6, sun = 4 }}\n{away}"))
    assert plan is not None
    assert plan.plantings[0].plant_on == (date(2027, 5, day),)
    assert plan.plantings[0].soak_on is not None


def test_no_small_task_lies_before_work_begins() -> None:
    """Spawn comes out of the fridge on the planting day where that is the first day of work."""
    stack = within(EIGHT_LOGS, "2026-12-05/2026-12-05", felled="2026-11-10")
    plan = planned(
        season(stack, head="no_work_before = 2026-12-05", stock=(SPAWN_IN_HAND,), buying=WAX_AT_HAND)
    )
    assert plan is not None
    assert {task.kind: task.on for task in plan.tasks}["take-out"] == date(2026, 12, 5)


def test_what_is_cooked_together_waits_together() -> None:
    """Either of two batches would fit into the load of a later day, but not both."""
    shares = {"a": 3, "b": 3, "c": 4}
    problem = Problem(
        date(2027, 1, 1),
        9,
        tuple(Work(name, ()) for name in shares),
        cookers=(Cooker("pot", "pot", 1, 7, shares, dict.fromkeys(shares, "bags")),),
    )
    on = {"a": 0, "b": 0, "c": 9}
    days = Days({name: {day: 1} for name, day in on.items()}, dict.fromkeys(on, "pot"), {})
    usage = Usage(problem, days)
    assert (usage.slip("a"), usage.slip("b"), usage.slip("a", "b")) == (9, 9, 8)
