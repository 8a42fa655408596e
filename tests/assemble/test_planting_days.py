"""The running order in the plan: who is there, when the wax goes on, and which bag is for which logs."""

from __future__ import annotations

from datetime import date
from functools import cache

import pytest

from scheduler.plan import Plan, PlantingDay, PlantingWork, Station
from scheduler.service.attempt import attempt
from scheduler.solve.params import Budget
from tests.grower import BED, CULTURE, OAK, catalogue, edited, season

DAY = date(2027, 4, 24)
ON_ONE_DAY = {"window": f'"{DAY}/2027-05-30"', "best": f'"{DAY}/{DAY}"'}


@cache
def planned(*plantings: str, help_: tuple[str, ...] = (), tools: str = "", people: str = "") -> Plan:
    """The plan of a season that fits."""
    hours = people or "hours = { wed = 2, sat = 8, sun = 6 }"
    of = season(*plantings, stock=(CULTURE,), help_=help_, tools=tools, people=hours)
    plan = attempt(of, catalogue(), budget=Budget(0.2))
    assert isinstance(plan, Plan)
    return plan


def logs(count: int, **more: str) -> str:
    """The oak planting with so many logs."""
    return edited(OAK, logs=f'{{ count = {count}, diameter = "13 cm", length = "1 m" }}', **more)


def only(plan: Plan) -> tuple[PlantingDay, PlantingWork, dict[str, Station]]:
    """The one day of a plan, its one planting, and its stations by name."""
    (day,) = plan.planting_days
    (work,) = day.works
    return day, work, {station.name: station for station in work.stations}


def test_one_person_goes_from_station_to_station() -> None:
    """20 logs: half an hour of setting up, then 100, 70, 40 and 30 minutes; the wax is hot when filling ends."""
    day, work, stations = only(planned(logs(20)))
    assert (day.people, day.own_minutes, day.help) == (1, 480, ())
    assert [(s.name, s.starts, s.ends) for s in work.stations] == [
        ("set up", 0, 30),
        ("drill", 30, 130),
        ("fill", 130, 200),
        ("wax", 200, 240),
        ("label and stack", 240, 270),
    ]
    assert stations["wax"].ahead_at == stations["fill"].ends - 30
    assert stations["fill"].starts < stations["wax"].ahead_at < stations["fill"].ends
    assert (day.minutes, day.spread) == (270, (15 + 20 * 8, 45 + 20 * 18))


def test_helpers_stand_at_stations_side_by_side() -> None:
    """Four helpers and two drills: two drill, three do the rest; the wax is never wanted before it is hot."""
    helped = planned(
        logs(60, **ON_ONE_DAY), help_=(f"on = {DAY}\npeople = 4\nhours = 7",), tools="drills = 2"
    )
    day, work, stations = only(helped)
    assert (day.on, day.people) == (DAY, 5)
    assert [(one.people, one.minutes) for one in day.help] == [(4, 420)]
    assert (stations["drill"].people, stations["drill"].team, stations["drill"].limit) == (2, 1, 2)
    assert {stations[name].team for name in ("fill", "wax", "label and stack")} == {2}
    assert stations["fill"].people == 3
    assert (stations["set up"].people, stations["set up"].ends) == (2, 15)
    assert stations["wax"].ahead_at == 0
    assert stations["wax"].starts == 30
    # 150 minutes of drilling by two, 420 of the rest by three, and one log's way past the other team.
    assert day.minutes == 15 + 150 + 7
    assert day.minutes < sum(station.minutes for station in work.stations) / 2


def test_bags_go_to_logs_in_a_row() -> None:
    """Bags are opened as far as they are needed, the others stay closed; every log has one."""
    _, work, _ = only(planned(logs(60, **ON_ONE_DAY), people="hours = { sat = 14, sun = 6 }"))
    (plan_batch,) = {fed.unit.partition("/")[0] for fed in work.spawn}
    assert [fed.unit for fed in work.spawn] == [f"{plan_batch}/{n}" for n in range(1, len(work.spawn) + 1)]
    assert work.spawn[0].first == 1 and work.spawn[-1].last == 60
    for before, after in zip(work.spawn, work.spawn[1:], strict=False):
        assert before.last is not None and after.first == before.last + 1
    assert work.reserve and not set(work.reserve) & {fed.unit for fed in work.spawn}


def test_enough_is_opened_and_no_bag_more() -> None:
    """What is opened is enough for what the planting takes, and would not be with one bag fewer."""
    plan = planned(logs(60, **ON_ONE_DAY), people="hours = { sat = 14, sun = 6 }")
    _, work, _ = only(plan)
    usable = catalogue().lab.usable.likely
    batch = next(b for b in plan.batches if b.id == work.spawn[0].unit.partition("/")[0])
    held = batch.unit_mass_g * usable
    assert (len(work.spawn) - 1) * held < plan.plantings[0].spawn_needed_g <= len(work.spawn) * held


def test_a_planting_of_two_days_goes_on_where_it_stopped() -> None:
    """The logs of the second day have the numbers after those of the first, and the opened bag goes on."""
    plan = planned(logs(60, window='"2027-04-10/2027-05-30"', best='"2027-04-24/2027-05-16"'))
    first, second = plan.planting_days
    before, after = first.works[0], second.works[0]
    assert before.pieces + after.pieces == 60
    assert before.spawn[0].first == 1 and before.spawn[-1].last == before.pieces
    assert after.spawn[0].first == before.pieces + 1 and after.spawn[-1].last == 60


def test_beds_are_shared_by_area() -> None:
    """Each bag of a bed is for its part of the square metres, and the parts are the whole bed."""
    plan = planned(edited(BED, area='"18 m2"'), people="hours = { sat = 12, sun = 6 }")
    _, work, _ = only(plan)
    assert work.piece == "m2" and len(work.spawn) > 1
    assert all(fed.first is fed.last is None for fed in work.spawn)
    assert sum(fed.area_m2 or 0 for fed in work.spawn) == pytest.approx(18, abs=0.05)


def test_plantings_of_one_day_follow_one_another() -> None:
    """The second begins when the first is over; the day is as long as both."""
    plan = planned(
        logs(10, **ON_ONE_DAY),
        logs(10, **ON_ONE_DAY).replace("Oak stack", "Other stack"),
        people="hours = { sat = 8, sun = 6 }",
    )
    (day,) = plan.planting_days
    one, other = day.works
    assert other.stations[0].starts == one.stations[-1].ends
    assert day.minutes == other.stations[-1].ends


def test_the_rain_day_s_conditions_are_in_the_plan() -> None:
    """Until when spawn and wood are good, and the hours of that day; a help day counts in."""
    plan = planned(logs(20, **ON_ONE_DAY))
    (oak,) = plan.plantings
    assert oak.fallback_on == date(2027, 4, 25)
    assert oak.fallback_minutes == 6 * 60
    assert oak.spawn_until is not None and oak.wood_until is not None
    assert oak.fallback_on <= min(oak.spawn_until, oak.wood_until)
    helped = planned(logs(20, **ON_ONE_DAY), help_=("on = 2027-04-25\npeople = 2\nhours = 3",))
    assert helped.plantings[0].fallback_minutes == 6 * 60 + 2 * 3 * 60
    bed = planned(BED)
    assert bed.plantings[0].wood_until is None


def test_what_is_counted_is_shared_out_whole() -> None:
    """Two labels for a raft of 20 logs: over two days they are two, and no day has a part of one."""
    raft = edited(
        OAK,
        method='"log raft"',
        species='"oyster"',
        logs='{ count = 20, diameter = "13 cm", length = "1 m" }',
    )
    plan = planned(raft, people="hours = { sat = 2.5, sun = 2 }")
    days = [task for task in plan.tasks if task.kind == "plant"]
    labels = [supply.quantity for task in days for supply in task.supplies if supply.item == "label"]
    assert len(days) > 1
    assert sum(labels) == 2
    assert all(count == int(count) for count in labels)
