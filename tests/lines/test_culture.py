"""From the culture in hand to the first jars."""

from collections import Counter
from datetime import date, timedelta

import pytest

from scheduler.lines import culture, supply
from scheduler.lines.shapes import BatchSpec, Line
from scheduler.plan import Plan
from scheduler.season.season import Season
from scheduler.service.attempt import attempt
from tests.grower import CULTURE, OAK, TODAY, catalogue, edited, line, season, stage


def with_culture(*stock: str, planting: str = OAK, **tables: str) -> Season:
    """The oak stack with cultures in hand."""
    return season(planting, stock=stock, **tables)  # type: ignore[arg-type]


def held(amount: str = '"60 mL"', **keys: str) -> str:
    """A liquid culture in hand with keys changed."""
    return edited(CULTURE, amount=amount, **keys)


def plates(units: int, received: str = "2026-11-20", name: str = "plate") -> str:
    """Plates (or slants) in hand."""
    return f'species = "shiitake"\nstage = "{name}"\nunits = {units}\nreceived = {received}'


def source(of: Season) -> culture.Source:
    """The culture a season's first line starts from."""
    return supply.turns(of, catalogue(), [of.plantings[:1]], "wished")[0].held[0]


def reads_of(found: Line) -> list[BatchSpec]:
    """Plate tests of a line."""
    return [batch for batch in found.batches if batch.is_test]


# --- which culture ---------------------------------------------------------------------------------------


def test_a_tested_culture_goes_straight_onto_grain() -> None:
    """Nothing lies between 60 mL of tested culture and a few jars."""
    found = line(with_culture(held()))
    assert [batch.stage for batch in found.batches] == ["liquid culture", "grain", "sawdust", "sawdust"]
    assert (found.batches[0].state, found.batches[0].unit_mass_g) == ("in hand", 60)
    assert not reads_of(found)
    assert all(batch.feed_g == 2.5 for batch in stage(found, "grain"))


def test_an_untested_culture_is_read_on_plates() -> None:
    """Two plates from the culture itself, read by the calendar whatever the room; nothing is grown from them."""
    found = line(with_culture(held(tested="false")))
    (test,) = reads_of(found)
    assert (test.stage, test.started, test.parents) == ("plate", 2, (found.batches[0].id,))
    assert test.growth is not None
    assert (test.growth.low, test.growth.likely, test.growth.high) == (7, 10, 14)
    assert all(test.id not in batch.parents for batch in found.batches)


def test_a_bought_culture_is_one_untested_syringe() -> None:
    """Where none is in hand, a syringe of 10 mL is there after its lead time."""
    found = source(season())
    assert (found.stage, found.amount, found.bought, found.tested) == ("liquid culture", 10, True, False)
    assert found.there_on == TODAY + timedelta(days=14)
    assert source(season(buying='lead = { culture = "30 d" }')).there_on == TODAY + timedelta(days=30)


def test_a_route_that_begins_with_a_plate_buys_a_plate() -> None:
    """The kind of culture that is bought is the route's first."""
    found = source(season(edited(OAK, route='["plate", "grain", "sawdust"]')))
    assert (found.stage, found.amount, found.bought) == ("plate", 1, True)


def test_the_largest_culture_is_taken_and_liquid_before_plates() -> None:
    """Of several cultures in hand the one that goes farthest."""
    assert source(with_culture(held('"20 mL"'), held('"40 mL"'), plates(9))).amount == 40
    assert source(with_culture(plates(2), plates(5))).amount == 5


def test_a_culture_of_another_strain_is_not_taken() -> None:
    """Strains are never exchanged for each other."""
    assert source(with_culture(held(strain='"other"'))).bought


def test_a_culture_past_its_keeping_time_is_ordered_anew() -> None:
    """Liquid culture keeps 180 days in the fridge: one of seven months is not relied on."""
    assert not source(with_culture(held(received="2026-07-05"))).bought
    assert source(with_culture(held(received="2026-05-25"))).bought


def test_a_culture_too_small_to_be_of_use_is_ordered_anew() -> None:
    """2 mL are kept back and half a mL is tested: what has no more than that gives nothing."""
    assert source(with_culture(held('"2 mL"', tested="true"))).bought
    assert source(with_culture(held('"2.4 mL"', tested="false"))).bought
    assert not source(with_culture(held('"2.4 mL"', tested="true"))).bought


def test_syringes_and_bottles_are_counted_by_what_they_hold() -> None:
    """Two syringes are 20 mL, one bottle is 500 mL."""
    text = "\n".join(row for row in CULTURE.splitlines() if not row.startswith("amount"))
    assert source(with_culture(text + "\nunits = 2")).amount == 20
    bottle = source(with_culture(text + '\nunits = 1\ncontainer = "culture bottle"'))
    assert (bottle.amount, bottle.container) == (500, "culture bottle")


def test_a_culture_on_its_way_is_there_when_it_comes() -> None:
    """A received day in the future is the day it is there, without age."""
    found = source(with_culture(held(received="2026-12-10")))
    assert (found.there_on, found.aged_days) == (date(2026, 12, 10), 0)


def test_what_was_started_is_ready_when_it_has_run() -> None:
    """A plate started today is there in the days it takes; one started long ago has aged since it was ready."""
    text = plates(5).replace("received = 2026-11-20", "started = {day}")
    young, old = (source(with_culture(text.format(day=day))) for day in ("2026-11-28", "2026-10-28"))
    grows = (young.there_on - TODAY).days
    assert 8 <= grows <= 15
    assert (young.aged_days, old.there_on, old.aged_days) == (0, TODAY, 31 - grows)


# --- enough culture --------------------------------------------------------------------------------------


def test_of_what_is_bought_as_much_is_bought_as_the_jars_take() -> None:
    """10 mL less 2 kept back and 0.5 tested are 3 jars of 2.5 mL: seven jars take three syringes, no bottle."""
    found = line(season())
    (syringes,) = stage(found, "liquid culture")
    jars = stage(found, "grain")
    assert (syringes.state, syringes.container, syringes.started, syringes.unit_mass_g) == (
        "bought",
        "syringe",
        3,
        10,
    )
    assert sum(b.started for b in jars) == 7
    assert sorted(Counter(parents_of(jars)).values()) == [2, 2, 3]
    assert not any("enlarged" in note for note in found.notes)


def test_every_syringe_that_is_bought_is_tested() -> None:
    """Two plates of each, a quarter of a millilitre a plate."""
    found = line(season())
    (test,) = reads_of(found)
    assert Counter(parents_of([test])) == {"SHI-La/1": 2, "SHI-La/2": 2, "SHI-La/3": 2}
    assert test.feed_g == 0.25


def test_what_is_bought_is_ordered_as_a_whole() -> None:
    """Three syringes of 10 mL stand in the shopping list as 30 mL."""
    plan = attempt(season(), catalogue())
    assert isinstance(plan, Plan)
    assert [o.quantity for o in plan.orders if o.item == "shiitake liquid culture"] == [30]


def test_more_jars_than_four_syringes_start_take_a_bottle_from_each_of_two() -> None:
    """Four syringes are 12 jars; for more a bottle is begun from each of two, so that one may be lost.

    A syringe has 7.5 mL to give and a bottle of 500 mL takes 5 mL at least: one bottle each. Of two bottles
    both are lost with 0.1 * 3 / 21 (a loss of 0.1 that is worth 20 units of experience), one hidden infection
    (0.03) beside one loss counted in.
    """
    many = edited(OAK, logs='{ count = 200, diameter = "13 cm", length = "1 m" }')
    found = line(season(many))
    syringes, bottles = stage(found, "liquid culture")
    assert sum(b.started for b in stage(found, "grain")) > 12
    assert (syringes.started, bottles.started, bottles.needed, bottles.feed_g) == (2, 2, 1, 7.5)
    assert parents_of([bottles]) == ["SHI-La/1", "SHI-La/2"]
    spares = next(s for s in found.spares if s.stage.startswith("culture bottles"))
    assert spares.why == "wish reached"
    lost = 0.03**2 + 2 * 0.03 * 0.97 * 0.1 + 0.97**2 * 0.1 * 3 / 21
    assert spares.chance == pytest.approx(1 - lost)


def test_a_small_culture_is_enlarged_where_there_is_time() -> None:
    """10 mL do for two jars; a bottle of 500 mL, begun with what is not kept back or tested, does for all."""
    found = line(with_culture(held('"10 mL"', tested="false")))
    (syringe, bottle) = stage(found, "liquid culture")
    assert (bottle.container, bottle.parents, bottle.started) == ("culture bottle", (syringe.id,), 1)
    assert bottle.feed_g == pytest.approx(10 - 2 - 0.5)
    assert all(jars.parents == (bottle.id,) for jars in stage(found, "grain"))
    assert any("enlarged" in note for note in found.notes)


def test_bottles_are_spared_as_far_as_the_culture_goes() -> None:
    """30 mL start a second bottle against losses; each gets 2 % of its volume at most and 1 % at least."""
    many = edited(OAK, logs='{ count = 400, diameter = "13 cm", length = "1 m" }')
    found = line(with_culture(held('"30 mL"'), planting=many))
    (bottle,) = stage(found, "liquid culture")[1:]
    assert bottle.started > bottle.needed == 1
    assert 5 <= bottle.feed_g <= 10
    assert bottle.started * bottle.feed_g <= 28


def test_without_time_to_enlarge_one_more_generation_is_made() -> None:
    """What may begin in December makes a bottle; what begins late makes second-generation grain instead."""
    many = edited(OAK, logs='{ count = 300, diameter = "13 cm", length = "1 m" }')
    stock = (held('"20 mL"', received="2026-11-28"),)
    assert len(stage(line(season(many, stock=stock)), "liquid culture")) == 2
    found = line(season(many, stock=stock, head="no_work_before = 2027-04-01"))
    assert len(stage(found, "liquid culture")) == 1
    first, second = ([b for b in stage(found, "grain") if b.generation == nth] for nth in (1, 2))
    assert {parent for b in second for parent in b.parents} == {b.id for b in first}
    assert all(b.feed_g == pytest.approx(55) for b in second), "a jar of 550 g starts ten of its size"
    assert sum(b.started * b.feed_g for b in first) <= 20 - 2
    assert sum(b.keep_back for b in first) == 1
    assert all(b.keep_back == 0 for b in second)


def test_a_further_generation_never_asks_the_culture_for_more_than_it_has() -> None:
    """4.5 mL do for one jar, and a stage takes more than one: however late, the culture is enlarged."""
    found = line(season(OAK, stock=(held('"4.5 mL"'),), head="no_work_before = 2027-04-01"))
    assert len(stage(found, "liquid culture")) == 2
    assert {b.generation for b in stage(found, "grain")} == {1}


def test_the_third_generation_is_warned_of() -> None:
    """Mould is easily missed in the third generation of grain; a fourth is never made."""
    huge = edited(OAK, logs='{ count = 2000, diameter = "13 cm", length = "1 m" }')
    lab = '[[lab.cooker]]\nkind = "pressure cooker"\nholds = { "quart jar" = 60, "2.3 kg bag" = 40 }'
    found = line(season(huge, stock=(held('"20 mL"'),), lab=lab, head="no_work_before = 2027-04-01"))
    assert {b.generation for b in stage(found, "grain")} == {1, 2, 3}
    assert any("third" in note for note in found.notes)


# --- several cultures ------------------------------------------------------------------------------------


def parents_of(batches: list[BatchSpec]) -> list[str]:
    """The unit each unit of these batches is made from, in order."""
    return [str(unit.parent) for batch in batches for unit in batch.units]


def test_two_syringes_feed_the_jars_together() -> None:
    """12 mL less 2 kept back are 4 jars of 2.5 mL: two syringes start the seven jars, four and three."""
    stock = (held('"12 mL"', received="2026-11-01"), held('"12 mL"', received="2026-11-20"))
    found = line(with_culture(*stock))
    younger, older = stage(found, "liquid culture")
    assert [(b.id, b.state, b.aged_days) for b in (younger, older)] == [
        ("SHI-La", "in hand", 8),
        ("SHI-Lb", "in hand", 27),
    ]
    assert sorted(Counter(parents_of(stage(found, "grain"))).values()) == [3, 4]
    assert not any("enlarged" in note for note in found.notes)


def test_cultures_used_together_are_planned_and_approved() -> None:
    """Each is opened when the jars are made, a little of each is kept back, and the untested one is tested."""
    stock = (held('"13 mL"'), held('"12.5 mL"', tested="false", received="2026-11-01"))
    plan = attempt(with_culture(*stock), catalogue())
    assert isinstance(plan, Plan)
    kept = {task.batch for task in plan.tasks if task.kind == "keep-back"}
    assert {"SHI-La", "SHI-Lb"} <= kept
    read = next(batch.ready_on for batch in plan.batches if batch.id == "SHI-Aa")
    jars = [batch for batch in plan.batches if batch.stage == "grain"]
    assert all(batch.inoculate_on is not None and batch.inoculate_on >= read for batch in jars)
    assert not any("not used" in note for note in plan.notes)


def test_a_culture_left_closed_is_named() -> None:
    """60 mL do: the syringe beside them is not used, and that is said once."""
    plan = attempt(with_culture(held('"10 mL"', received="2026-11-10"), held()), catalogue())
    assert isinstance(plan, Plan)
    assert [note.split(" is not")[0] for note in plan.notes if "not used" in note] == [
        "shiitake liquid culture of Tue 10 Nov 2026"
    ]


def test_one_syringe_too_few_is_enlarged() -> None:
    """10 mL are 3 jars: two syringes would start six of the seven, and one of them makes a bottle instead."""
    found = line(with_culture(held('"10 mL"'), held('"10 mL"')))
    assert [(b.state, b.container) for b in stage(found, "liquid culture")] == [
        ("in hand", "syringe"),
        ("planned", "culture bottle"),
    ]


def test_no_culture_is_opened_that_is_not_needed() -> None:
    """60 mL are 23 jars by themselves: the syringe beside them stays closed."""
    found = line(with_culture(held('"10 mL"'), held()))
    assert [b.unit_mass_g for b in stage(found, "liquid culture")] == [60]


def test_each_culture_gives_by_what_it_has() -> None:
    """17 mL are 6 jars of 2.5 mL and 5 mL are one: of seven jars the large one starts six."""
    found = line(with_culture(held('"5 mL"'), held('"17 mL"')))
    assert Counter(parents_of(stage(found, "grain"))) == {"SHI-La/1": 6, "SHI-Lb/1": 1}


def test_each_untested_culture_is_tested_by_itself() -> None:
    """One tested, one not: the test is made from the one that needs it, and both feed jars."""
    stock = (held('"13 mL"'), held('"12.5 mL"', tested="false", received="2026-11-01"))
    found = line(with_culture(*stock))
    tested, untested = stage(found, "liquid culture")
    (test,) = reads_of(found)
    assert test.parents == (untested.id,)
    assert set(parents_of(stage(found, "grain"))) == {f"{tested.id}/1", f"{untested.id}/1"}
    assert all(test.id not in b.parents for b in stage(found, "grain"))


def test_a_culture_that_would_not_keep_stays_out() -> None:
    """180 days from 5 September end on 4 March, before the last jars may be made: it is not relied on."""
    for received, together in (("2026-09-05", False), ("2026-10-05", True)):
        found = line(with_culture(held('"12 mL"'), held('"12 mL"', received=received)))
        states = [b.state for b in stage(found, "liquid culture")]
        assert states == ["in hand", "in hand" if together else "planned"]


def test_a_culture_that_comes_too_late_stays_out() -> None:
    """What arrives when jars have to be made already does not hold up what is there."""
    for received, together in (("2027-03-20", False), ("2027-01-10", True)):
        found = line(with_culture(held('"12 mL"'), held('"12 mL"', received=received)))
        states = [b.state for b in stage(found, "liquid culture")]
        assert states == ["in hand", "in hand" if together else "planned"]


def test_liquid_culture_goes_before_plates_however_many() -> None:
    """Kinds are not mixed: beside 60 mL nine plates stay where they are."""
    found = line(with_culture(held(), plates(9)))
    assert not stage(found, "plate")


def test_plates_of_two_lots_are_used_together() -> None:
    """Two plates and one: one is kept back, and the two others start 11 jars, where one alone would start 8."""
    many = edited(OAK, logs='{ count = 110, diameter = "13 cm", length = "1 m" }')
    alone = line(with_culture(plates(2), planting=many))
    assert [b.state for b in stage(alone, "plate")] == ["in hand", "planned"]
    found = line(with_culture(plates(2), plates(1, received="2026-11-21"), planting=many))
    lots = stage(found, "plate")
    assert [(b.started, b.keep_back, b.state) for b in lots] == [(2, 1, "in hand"), (1, 0, "in hand")]
    given = Counter(parents_of(stage(found, "grain")))
    assert (set(given), given.total()) == ({"SHI-Aa/1", "SHI-Ab/1"}, 11)
    assert max(given.values()) == 6


def test_single_plates_are_refreshed_so_that_one_can_be_kept() -> None:
    """Of two lots of one plate none can give and be kept back: the fresh ones come from one of them."""
    found = line(with_culture(plates(1), plates(1, received="2026-11-21")))
    first, fresh = stage(found, "plate")
    assert (first.keep_back, fresh.keep_back, fresh.parents) == (0, 1, (first.id,))


def test_old_plates_are_not_mixed_with_young_ones_on_grain() -> None:
    """Three young plates feed jars beside each other; an old one among them is left where it is."""
    many = edited(OAK, logs='{ count = 110, diameter = "13 cm", length = "1 m" }')
    stock = (plates(2), plates(1, received="2026-09-28"), plates(1, received="2026-11-21"))
    lots = stage(line(with_culture(*stock, planting=many)), "plate")
    assert [(b.started, b.aged_days) for b in lots] == [(2, 8), (1, 7)]


# --- plates ----------------------------------------------------------------------------------------------


def test_young_plates_feed_the_jars_and_one_is_kept_back() -> None:
    """Five plates of a week: eight quart jars a plate, and the last plate is nobody's parent."""
    found = line(with_culture(plates(5)))
    source_plates = found.batches[0]
    assert (source_plates.stage, source_plates.state, source_plates.keep_back) == ("plate", "in hand", 1)
    jars = stage(found, "grain")
    assert all(b.parents == (source_plates.id,) for b in jars)
    assert all(b.feed_g == pytest.approx(1 / 8) for b in jars)
    kept = source_plates.units[-1].id
    assert all(unit.parent != kept for b in jars for unit in b.units)


def test_old_plates_are_refreshed_first() -> None:
    """Plates of two months go onto fresh plates, with spares; one of those is kept back."""
    found = line(with_culture(plates(5, received="2026-09-28")))
    old, fresh = stage(found, "plate")
    assert (old.keep_back, fresh.keep_back, fresh.parents) == (0, 1, (old.id,))
    assert fresh.started > fresh.needed + fresh.keep_back
    assert all(b.parents == (fresh.id,) for b in stage(found, "grain"))
    assert any(spares.stage.startswith("fresh plates") for spares in found.spares)


def test_too_few_plates_are_multiplied() -> None:
    """One young plate cannot both feed the jars and be kept back."""
    found = line(with_culture(plates(1)))
    assert len(stage(found, "plate")) == 2


def test_a_slant_is_refreshed_however_young() -> None:
    """Grain is never started from a slant."""
    found = line(with_culture(plates(1, name="slant")))
    slant, fresh = found.batches[:2]
    assert (slant.stage, slant.id, fresh.stage, fresh.parents) == ("slant", "SHI-Ta", "plate", (slant.id,))
    assert all(slant.id not in b.parents for b in stage(found, "grain"))


# --- media -----------------------------------------------------------------------------------------------


def test_bought_media_need_no_load() -> None:
    """Plates and bottles that are bought ready are not cooked, and no load of theirs is lost."""
    found = line(with_culture(held('"10 mL"')))
    assert all(b.treatment is None for b in found.batches if b.stage in culture.CULTURES)
    bottle = next(s for s in found.spares if s.stage.startswith("culture bottles"))
    assert bottle.chance == pytest.approx(0.9 * 0.97)


def test_own_media_need_a_load() -> None:
    """Plates and bottles that are poured at home are cooked in the media class, and a load may be lost."""
    own = 'media = "own"\n[[lab.cooker]]\nkind = "pressure cooker"\nholds = { "quart jar" = 7, "2.3 kg bag" = 3, "plate" = 60, "culture bottle" = 8 }'
    found = line(with_culture(held('"10 mL"', tested="false"), lab=own))
    made = [b for b in found.batches if b.stage in culture.CULTURES and b.state == "planned"]
    assert {b.stage for b in made} == {"plate", "liquid culture"}
    assert {(b.treatment, b.load_class) for b in made} == {("pressure", "media")}
    bottle = next(s for s in found.spares if s.stage.startswith("culture bottles"))
    assert bottle.chance == pytest.approx(0.98 * 0.9 * 0.97)
