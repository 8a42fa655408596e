"""Where spawn comes from: who may plant grain as it is, and what is bought together."""

from __future__ import annotations

from scheduler.service.hours_edits import longer_day, more_hours
from scheduler.service.spawn_edits import buy_grain, buy_spawn, plant_grain
from tests.grower import BED, OAK, TOTEMS, catalogue, edited, season


def test_grain_is_planted_in_totems_and_under_chips_only() -> None:
    """Never in drilled logs, and with the catalogue's own words of caution; one by one, then all of them."""
    of = season(OAK, TOTEMS, BED)
    found = list(plant_grain(of, catalogue(), list(of.plantings)))
    assert [family.plantings for family in found] == [("Totems",), ("Bed",), ("Totems", "Bed")]
    assert [p.route[-1] for p in found[2].edits[0].season.plantings] == ["sawdust", "grain", "grain"]
    assert catalogue().species["oyster"].grain_planting.why in found[0].edits[0].text


def test_a_route_that_ends_in_grain_has_no_earlier_stage() -> None:
    """Nor has bought spawn."""
    of = season(edited(TOTEMS, route='["liquid culture", "grain"]'), edited(BED, spawn='"buy"'))
    assert list(plant_grain(of, catalogue(), list(of.plantings))) == []
    assert [f.plantings for f in buy_grain(of, catalogue(), list(of.plantings))] == []
    assert [f.plantings for f in buy_spawn(of, catalogue(), list(of.plantings))] == [("Totems",)]


def test_all_may_have_to_be_bought() -> None:
    """Where one planting is not enough, all of them together."""
    of = season(OAK, TOTEMS)
    for make in (buy_grain, buy_spawn):
        found = [family.plantings for family in make(of, catalogue(), list(of.plantings))]
        assert found == [("Oak stack",), ("Totems",), ("Oak stack", "Totems")]


def test_one_day_of_the_week_is_longer_by_minutes() -> None:
    """The longest day first, never longer than a file may say, and at home for as long."""
    of = season(OAK, people="hours = { wed = 2, sat = 15.5 }\nhome = { wed = 2, sat = 15.5 }")
    sat, wed = longer_day(of, catalogue(), list(of.plantings))
    assert [edit.amount for edit in sat.edits] == ["15 min on Saturdays", "30 min on Saturdays"]
    assert wed.edits[4].amount == "1 h 30 on Wednesdays"
    people = wed.edits[4].season.people
    assert people.minutes == {"wed": 210, "sat": 930}
    assert people.home_minutes["wed"] == 210


def test_the_only_day_is_not_offered_twice() -> None:
    """With hours on one day alone, more on each day would be more on that one."""
    of = season(OAK, people="hours = { sat = 3 }")
    assert list(more_hours(of, catalogue(), list(of.plantings))) == []
    assert len(list(longer_day(of, catalogue(), list(of.plantings)))) == 1
