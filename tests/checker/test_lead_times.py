"""The checker's own reckoning of what could be there: to the day, whatever the problem allows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from scheduler.checker.case import Case
from scheduler.checker.stands import check_plan
from scheduler.checker.tasks import can_be_there
from scheduler.plan import Supply

Change = Callable[[Case], Case]


def _lead(**days: int) -> Change:
    return lambda case: replace(case, season=replace(case.season, lead=replace(case.season.lead, **days)))


def _takes_wax(case: Case) -> Case:
    """The raft takes supplies, and its bags were cooked from what is at hand."""
    demand = replace(case.sizing.demands[0], supplies=(Supply("wax", 1, "kg"),))
    batches = tuple(replace(b, cook_on=None, inoculate_on=None) for b in case.plan.batches)
    return replace(
        case,
        sizing=replace(case.sizing, demands=(demand,)),
        plan=replace(case.plan, batches=batches),
    )


def _logs_delivered(case: Case) -> Case:
    """The wood is bought, and so is the spawn."""
    season = replace(case.season, people=replace(case.season.people, felling="bought"))
    batches = tuple(replace(b, cook_on=None, inoculate_on=None) for b in case.plan.batches)
    return replace(case, season=season, plan=replace(case.plan, batches=batches))


def _bought_medium(case: Case) -> Case:
    """The bags are bought sterile and filled."""
    batches = tuple(replace(b, cook_on=None) if b.id == "NAM-Sa" else b for b in case.plan.batches)
    return replace(case, plan=replace(case.plan, batches=batches))


def _in_a_tub(case: Case) -> Case:
    """The bags are scalded in a tub, which takes their pellets dry."""
    line = case.sizing.lines[0]
    batches = tuple(replace(b, treatment="tub") if b.id == "NAM-Sa" else b for b in line.batches)
    return replace(case, sizing=replace(case.sizing, lines=(replace(line, batches=batches),)))


def _as_it_is(case: Case) -> Case:
    return case


# from 1 December: to 15 January, 5 February, 7 February, 24 April, 17 April and 27 February
LIMITS: list[tuple[str, Change, str, int, str]] = [
    ("dry grain, the evening before", _as_it_is, "grain", 45, "NAM-G1a"),
    ("pellets, the evening before", _as_it_is, "supplies", 66, "NAM-Sa"),
    ("pellets for a tub, on the day itself", _in_a_tub, "supplies", 67, "NAM-Sa"),
    ("a medium that comes ready", _bought_medium, "supplies", 68, "NAM-Sa"),
    ("wax on the planting day", _takes_wax, "supplies", 144, "Cherry raft"),
    ("chips on the day they are prepared", _as_it_is, "chips", 137, "Cherry raft"),
    ("logs on the day they come", _logs_delivered, "supplies", 88, "Cherry raft"),
]


@pytest.mark.parametrize(("what", "change", "lead", "days", "named"), LIMITS, ids=[row[0] for row in LIMITS])
def test_the_last_day_is_known(
    tiny: Case, what: str, change: Change, lead: str, days: int, named: str
) -> None:
    """What comes on the very day it is needed is in time; a day later it is not, and is named."""
    case = change(tiny)
    assert list(can_be_there(_lead(**{lead: days})(case))) == [], what
    (said,) = can_be_there(_lead(**{lead: days + 1})(case))
    assert named in said, what


def test_a_plan_made_later_is_refused(tiny: Case) -> None:
    """On the tenth of January nobody gets grain for a cook on the sixteenth, though all work lies ahead."""
    late = tuple(replace(order, late=order.order_by < date(2027, 1, 10)) for order in tiny.plan.orders)
    case = replace(
        tiny,
        season=replace(tiny.season, today=date(2027, 1, 10)),
        plan=replace(tiny.plan, orders=late),
    )
    found = check_plan(case.plan, case.days, case.season, case.sizing, case.problem)
    assert {violation.rule for violation in found} == {"lead-times"}
