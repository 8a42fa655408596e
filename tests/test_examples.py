"""Every example is planned as it is handed out, and nothing that looks at the plan finds a fault in it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path

import jsonschema
import pytest

from scheduler import document
from scheduler.errors import NoPlan
from scheduler.plan import DayStart, Plan
from scheduler.present.calendar_check import faults
from scheduler.service import planning, seasons
from scheduler.workdays import WEEKDAYS
from tests.command import EXAMPLES, PLANNED
from tests.present.exports import calendar
from tests.present.readers import READERS, TO_DO_READERS

CLOCK = seasons.Clock(date(2026, 11, 25), "UTC")
"""No example leans on it: each has a day and a place of its own."""

WARNED = {
    "maritime": "site.weather: seattle.csv gives 3 years, too few to tell early from late ones well; 10 or more would do"
}
"""What an example warns of on purpose."""

PROVED = {"backyard": ("plantings", "margin", "risk", "days"), "market": ("plantings", "margin", "risk")}
"""The tiers that are searched to their end, by example."""


@cache
def planned(name: str) -> Plan:
    """The plan of an example."""
    return planning.plan_season(*seasons.read(EXAMPLES / name, CLOCK, None))


@cache
def refusal() -> Plan:
    """The refusal of the example for which no plan fits."""
    with pytest.raises(NoPlan) as refused:
        planned("too-late")
    assert isinstance(refused.value.refusal, Plan)
    return refused.value.refusal


@cache
def schema() -> jsonschema.Draft202012Validator:
    """What a plan document has to look like."""
    return jsonschema.Draft202012Validator(document.schema(), format_checker=jsonschema.FormatChecker())


def test_every_example_is_planned_here() -> None:
    """No example is left out of these tests."""
    names = {path.parent.name for path in EXAMPLES.glob("*/season.toml")}
    assert names == {*PLANNED, "too-late"}
    assert {path.name for path in EXAMPLES.iterdir()} == names


@pytest.mark.parametrize("name", [*PLANNED, "too-late"])
def test_an_example_depends_on_no_clock(name: str) -> None:
    """Read on another day and on another continent, an example is the same season."""
    later = seasons.Clock(date(2031, 7, 1), "Pacific/Auckland")
    season, _ = seasons.read(EXAMPLES / name, CLOCK, None)
    assert replace(seasons.read(EXAMPLES / name, later, None)[0], path=season.path) == season
    assert season.warnings == ((WARNED[name],) if name in WARNED else ())


@pytest.mark.parametrize("name", PLANNED)
def test_everything_in_the_season_is_planned(name: str) -> None:
    """Each planting has its days inside its window, its spawn, and a chance that is no less than was wished."""
    season, _ = seasons.read(EXAMPLES / name, CLOCK, None)
    plan = planned(name)
    assert plan.status == "planned"
    assert [planting.name for planting in plan.plantings] == [planting.name for planting in season.plantings]
    for planting in plan.plantings:
        assert planting.plant_on
        assert all(planting.window[0] <= day <= planting.window[1] for day in planting.plant_on)
        assert planting.spawn_planned_g >= planting.spawn_needed_g > 0
    assert all(task.on >= season.today for task in plan.tasks)
    assert all(task.minutes > 0 or task.attended_minutes == 0 for task in plan.tasks)


@pytest.mark.parametrize("name", PLANNED)
def test_a_plan_is_a_document_and_comes_back_from_it(name: str) -> None:
    """The document of a plan is valid against its schema, and reading it gives the same plan."""
    text = document.to_json(planned(name))
    schema().validate(document.to_data(planned(name)))
    assert document.from_json(text) == planned(name)


@pytest.mark.parametrize(("name", "tier"), [(name, tier) for name, tiers in PROVED.items() for tier in tiers])
def test_the_search_comes_to_its_end(name: str, tier: str) -> None:
    """Of what the examples ask for, nothing better exists: value and bound meet."""
    [reached] = [reached for reached in planned(name).tiers if reached.name == tier]
    assert reached.proved
    assert reached.value == reached.bound


@pytest.mark.parametrize("name", PLANNED)
def test_every_order_has_a_name_of_its_own(name: str) -> None:
    """What is ordered and the first work it is for: no two are alike, so calendars never mix them up."""
    orders = planned(name).orders
    assert orders
    assert all(order.work for order in orders)
    assert len({(order.item, order.work) for order in orders}) == len(orders)


@pytest.mark.parametrize("name", PLANNED)
def test_a_calendar_is_sound(name: str) -> None:
    """Line by line nothing is wrong with the file, and each task and order is in it once."""
    plan = replace(planned(name), plan_no=1)
    data = calendar(plan)
    assert faults(data) == []
    assert data.count(b"BEGIN:VEVENT") == len(plan.tasks) + len(plan.orders)


@pytest.mark.parametrize("alarm", ["evening before", "morning", "2 h before"])
@pytest.mark.parametrize("name", PLANNED)
def test_to_dos_and_alarms_are_sound(name: str, alarm: str) -> None:
    """So are the files of to-dos, and both kinds with alarms; every parser finds every entry in them."""
    plan = replace(planned(name), plan_no=1)
    count = len(plan.tasks) + len(plan.orders)
    for data in (calendar(plan, "VEVENT", alarm), calendar(plan, "VTODO", alarm), calendar(plan, "VTODO")):
        assert faults(data) == []
        readers = TO_DO_READERS if b"BEGIN:VTODO" in data else READERS
        assert {len(reader(data)) for reader in readers.values()} == {count}


@pytest.mark.parametrize("name", PLANNED)
def test_hours_are_sound(name: str) -> None:
    """The same season with a time of day on every weekday, in its own zone."""
    plan = replace(planned(name), plan_no=1)
    every_day = tuple(DayStart(day, "08:30") for day in WEEKDAYS)
    data = calendar(replace(plan, season=replace(plan.season, at=every_day)))
    assert faults(data) == []
    assert data.count(b"TRANSP:OPAQUE") > len(plan.tasks) / 2
    assert {len(reader(data)) for reader in READERS.values()} == {len(plan.tasks) + len(plan.orders)}


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("name", PLANNED)
def test_other_programs_read_the_calendar(name: str, reader: str) -> None:
    """Each parser sees every task on its day under its title."""
    plan = replace(planned(name), plan_no=1)
    read = READERS[reader](calendar(plan))
    seen = sorted((first, summary) for first, _, summary, _ in read.values())
    assert len(seen) == len(plan.tasks) + len(plan.orders)
    for task in plan.tasks:
        assert any(first == task.on and task.title in summary for first, summary in seen), task.title


@pytest.mark.parametrize("name", PLANNED)
def test_what_is_used_was_there_first(name: str) -> None:
    """Followed through the plan itself: a batch is used once it is ready, and no later than it keeps."""
    plan = planned(name)
    batches = {batch.id: batch for batch in plan.batches}
    parents = {unit.id: batch for batch in plan.batches for unit in batch.units}
    assert batches
    for batch in plan.batches:
        assert batch.started >= batch.needed
        assert len(batch.units) == batch.started
        assert all(batch.ready_on <= day for day in batch.use_on)
        if batch.cook_on and batch.inoculate_on:
            assert batch.cook_on <= batch.inoculate_on < batch.ready_on
        for unit in batch.units:
            if unit.parent in parents and batch.inoculate_on:
                assert batch.inoculate_on in parents[unit.parent].use_on


@pytest.mark.parametrize("name", PLANNED)
def test_tasks_come_after_what_they_wait_for(name: str) -> None:
    """Every task that another one waits for is there, and is not later."""
    plan = planned(name)
    on = {task.id: task.on for task in plan.tasks}
    assert len(on) == len(plan.tasks)
    waits = [(task.on, on[other]) for task in plan.tasks for other in task.after]
    assert waits
    assert all(before <= after for after, before in waits)


def test_too_late_is_refused_with_reasons_and_ways_out() -> None:
    """What cannot all hold is named, with its keys, and several changes are offered, each of them solved."""
    plan = refusal()
    assert plan.status == "none"
    assert plan.conflict
    assert all(statement.statement for statement in plan.conflict)
    assert any(statement.key for statement in plan.conflict)
    assert len(plan.remedies) >= 2
    assert all("2027" in remedy.text for remedy in plan.remedies)
    assert len({remedy.kind for remedy in plan.remedies}) >= 2
    assert (plan.tasks, plan.batches, plan.plantings) == ((), (), ())
    schema().validate(document.to_data(plan))


def test_a_remedy_that_is_taken_works(tmp_path: Path) -> None:
    """The grower who plants later by as much as the refusal says has a plan."""
    later = next(remedy for remedy in refusal().remedies if remedy.kind == "plant later")
    season, _ = seasons.read(EXAMPLES / "too-late", CLOCK, None)
    [(first, last)] = [p.window for p in season.plantings if p.name in later.plantings]
    end = last + timedelta(days=int(later.amount.split()[0]))
    before, after = f"{first}/{last}", f"{first}/{end}"
    assert season.text.count(before) == 1
    changed = tmp_path / "season.toml"
    changed.write_text(season.text.replace(before, after), encoding="utf-8")
    plan = planning.plan_season(*seasons.read(changed, CLOCK, None))
    assert plan.status == "planned"
    [moved] = [planting for planting in plan.plantings if planting.name in later.plantings]
    assert moved.window == (first, end)
    assert last < moved.plant_on[-1] <= end
