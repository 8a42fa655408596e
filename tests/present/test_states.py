"""The state of a batch by what was recorded of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from scheduler.present.dates import Dates
from scheduler.present.overview import batch_rows
from scheduler.present.season_rows import groups
from scheduler.present.states import (
    Look,
    living,
    planted,
    recorded_of,
    spent,
    state_of,
    units_of,
    waiting,
)
from scheduler.present.story import headline, told_of
from scheduler.progress import NOTHING, BatchProgress, PlantingProgress, Progress
from tests.present.under_way import DAY, DOUBTED, INOCULATED, backyard, batch, progress

GRAIN = batch("SHI-G1a")
ALL = tuple(unit.id for unit in GRAIN.units)
GROWN = BatchProgress(inoculated_on=INOCULATED)


@pytest.mark.parametrize(
    ("state", "happened"),
    [
        ("planned", BatchProgress()),
        ("heat-treated", BatchProgress(cooked_on=date(2027, 1, 23))),
        ("growing", GROWN),
        ("growing", replace(GROWN, clean_on=GRAIN.ready_on - timedelta(days=1))),
        ("growing", replace(GROWN, lost=dict.fromkeys(ALL[:-1], DOUBTED))),
        ("ready", replace(GROWN, clean_on=GRAIN.ready_on)),
        ("ready", replace(GROWN, ready_on=date(2027, 2, 5))),
        ("watch", replace(GROWN, watch={ALL[0]: DOUBTED}, ready_on=date(2027, 2, 5))),
        ("used", replace(GROWN, used=frozenset(ALL))),
        ("used", replace(GROWN, used=frozenset(ALL[1:]), lost={ALL[0]: DOUBTED})),
        ("lost", replace(GROWN, lost=dict.fromkeys(ALL, DOUBTED))),
    ],
)
def test_every_state_comes_of_what_was_recorded(state: str, happened: BatchProgress) -> None:
    """Loss of all goes before use, use before doubt, doubt before being ready, and so on."""
    assert state_of(GRAIN, happened, DAY) == state


def test_what_is_in_hand_or_bought_is_ready_when_it_is_there() -> None:
    """A culture in hand is ready from its day on; what is bought, once it was received."""
    nothing = BatchProgress()
    held = batch("SHI-La")
    assert state_of(held, nothing, DAY) == "ready"
    assert state_of(replace(held, ready_on=DAY + timedelta(days=1)), nothing, DAY) == "growing"
    bought = replace(held, state="bought")
    assert state_of(bought, nothing, DAY) == "planned"
    assert state_of(bought, BatchProgress(received_on=DAY), DAY) == "ready"


def test_what_is_bought_and_was_used_had_come() -> None:
    """On the day on which something was made of it, or planted; every view of it says the same."""
    plan = backyard()
    bought = replace(batch("SHI-La"), state="bought")
    plan = replace(plan, batches=tuple(bought if one.id == bought.id else one for one in plan.batches))
    children = {one.id for one in plan.batches if any(unit.parent == "SHI-La/1" for unit in one.units)}
    made = Progress({child: BatchProgress(inoculated_on=INOCULATED) for child in children})
    for told, state in ((NOTHING, "planned"), (made, "ready")):
        happened = recorded_of(bought, plan, told)
        assert state_of(bought, happened, DAY) == state
        rows = [row for row in batch_rows(plan, told, Dates(DAY), ()) if row[0] == bought.id]
        assert [row[2] for row in rows] == [state]
        assert headline(told_of(bought, plan, told, DAY)).startswith(f"SHI-La: {state}")
        drawn = [row for group in groups(plan, told, DAY) for row in group.rows if row.name == bought.id]
        assert drawn[0].detail.startswith("ready" if state == "ready" else "to buy")
    assert recorded_of(bought, plan, made).received_on == INOCULATED
    spawn = replace(batch("SHI-Sa"), state="bought")
    first, last = spawn.use_on[0] - timedelta(days=1), spawn.use_on[0]
    for day, come in ((first, None), (last, last)):
        planted = Progress(plantings={"Oak stack": PlantingProgress(planted={day: 3})})
        assert recorded_of(spawn, plan, planted).received_on == come


def test_units_are_those_really_started() -> None:
    """Fewer or more than planned, and those that a newer plan no longer holds because they are lost."""
    fewer = replace(GROWN, started=3)
    assert units_of(GRAIN, fewer) == ALL[:3]
    assert units_of(GRAIN, replace(GROWN, started=11))[-2:] == ("SHI-G1a/10", "SHI-G1a/11")
    later = replace(GRAIN, units=GRAIN.units[1:])
    lost = replace(GROWN, lost={ALL[0]: DOUBTED}, used=frozenset(ALL[1:2]))
    assert units_of(later, lost) == ALL
    assert living(later, lost) == ALL[2:]


def test_what_feeds_only_what_is_made_is_spent() -> None:
    """Grain is spent once its bags are inoculated, a test with what was made from its culture; no culture is."""
    plan = backyard()
    assert not spent(plan, NOTHING)
    assert spent(plan, progress()) == {"SHI-Aa/1", "SHI-Aa/2", "WIN-Aa/1", "WIN-Aa/2"}
    bags = Progress({"SHI-Sa": BatchProgress(inoculated_on=date(2027, 2, 21))})
    assert spent(plan, bags) == {"SHI-G1a/1", "SHI-G1a/2", "SHI-G1a/3"}


def test_spawn_is_spent_when_its_planting_is_wholly_planted() -> None:
    """A planting of which a task is left is not planted yet."""
    plan = backyard()
    begun = Progress(plantings={"Oak stack": PlantingProgress(planted={DAY: 22})})
    assert not planted(plan, begun)
    assert not spent(plan, begun)
    done = replace(begun, done={"Oak stack:plant": DAY})
    assert planted(plan, done) == {"Oak stack"}
    assert spent(plan, done) == {unit.id for unit in batch("SHI-Sa").units}


def test_doubts_and_batches_nobody_released_wait_for_a_look() -> None:
    """A unit in doubt is looked at again after three days; a batch is asked for from its ready day on."""
    plan = backyard()
    doubt = Look("SHI-G1a", "watch", DOUBTED, DOUBTED + timedelta(days=3), ("SHI-G1a/2",))
    ready = batch("WIN-G1a").ready_on
    assert waiting(plan, progress(), DAY) == (doubt, Look("WIN-G1a", "release", ready, DAY))
    assert waiting(plan, progress(), ready - timedelta(days=1)) == (doubt,)
