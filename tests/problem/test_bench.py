"""Lab works: when a batch may be cooked and inoculated, when it is ready, and what has to come before it."""

import pytest

from scheduler.problem import bench, yard
from scheduler.problem.shapes import Point
from tests.grower import CULTURE, OAK, edited
from tests.problem.compiled import Compiled, compiled

UNTESTED = edited(CULTURE, tested="false")
SMALL = edited(UNTESTED, amount='"9 mL"')
"""Too little for the grain, so that it is grown on in bottles."""
POT = '[[lab.cooker]]\nkind = "pressure cooker"\n'


def oak(**tables: object) -> Compiled:
    """The oak stack from tested culture."""
    return compiled(**{"stock": (CULTURE,), **tables})


# --- days ------------------------------------------------------------------------------------------------


def test_bench_work_lies_on_days_with_hours() -> None:
    """Cooking and inoculating take a day with hands-on hours of one's own."""
    found = oak(people="hours = { wed = 2, sat = 6 }")
    for name in (bench.cook(found.batch("grain")), bench.inoculate(found.batch("grain"))):
        assert {found.date(day).weekday() for day in found.limit(name, "hours")} == {2, 5}
        assert {found.date(day).weekday() for day in found.allowed(name)} == {2, 5}


def test_no_bench_work_on_days_away() -> None:
    """Both ends of a period away belong to it."""
    found = oak(people='hours = { sat = 6, sun = 4 }\naway = ["2027-01-09/2027-01-10"]')
    away = {found.day("2027-01-09"), found.day("2027-01-10")}
    for name in (bench.cook(found.batch("grain")), bench.inoculate(found.batch("grain"))):
        assert not away & found.limit(name, "away")
        assert {found.day("2027-01-08"), found.day("2027-01-12")} <= found.limit(name, "away")


def test_no_work_before_the_day_that_is_named() -> None:
    """The day itself is allowed; without one, work may begin today."""
    found = oak(head="no_work_before = 2027-01-09")
    assert min(found.limit(bench.inoculate(found.batch("grain")), "no_work_before")) == found.day(
        "2027-01-09"
    )
    assert min(oak().limit(bench.inoculate(found.batch("grain")), "no_work_before")) == 0


def test_the_evening_before_a_cook_somebody_is_there() -> None:
    """Grain is soaked and pellets are wetted the evening before: not away, not yesterday, not before work begins."""
    found = oak(people='hours = { sat = 6, sun = 4 }\naway = ["2027-01-05/2027-01-08"]')
    name = bench.cook(found.batch("grain"))
    assert 0 not in found.limit(name, "no_work_before")
    assert 1 in found.limit(name, "no_work_before")
    evening = found.limit(name, "away")
    assert found.day("2027-01-09") not in evening, "the first day back"
    assert found.day("2027-01-10") in evening
    begun = oak(head="no_work_before = 2027-01-09")
    assert min(begun.allowed(bench.cook(begun.batch("grain")))) == begun.day("2027-01-10")


def test_the_first_check_is_never_inside_days_away() -> None:
    """A batch is looked at three to five days after inoculation: one of these days somebody has to be there."""
    found = oak(people='hours = { sat = 6, sun = 4 }\naway = ["2027-01-12/2027-01-14"]')
    checked = found.limit(bench.inoculate(found.batch("grain")), "away")
    assert found.day("2027-01-09") not in checked, "the twelfth to the fourteenth are all away"
    assert found.day("2027-01-08") in checked, "the eleventh is not"
    assert found.day("2027-01-10") in checked, "nor is the fifteenth"


# --- cooking ---------------------------------------------------------------------------------------------


def test_a_cooked_load_waits_a_night_and_stays_sealed_a_week() -> None:
    """Inoculated one to eight days after the cook, never on the same day."""
    found = oak()
    for stage in ("grain", "sawdust"):
        batch = found.batch(stage)
        assert found.apart(Point(bench.cook(batch)), Point(bench.inoculate(batch))) == (1, 8)


def test_a_large_bag_cools_for_two_days() -> None:
    """4.8 kg bags may be inoculated from the second day."""
    found = oak(lab='spawn_in = "4.8 kg bag"\n' + POT + 'holds = { "quart jar" = 7, "4.8 kg bag" = 3 }')
    bags, jars = found.batch("sawdust"), found.batch("grain")
    assert found.apart(Point(bench.cook(bags)), Point(bench.inoculate(bags))) == (2, 8)
    assert found.apart(Point(bench.cook(jars)), Point(bench.inoculate(jars))) == (1, 8)


def test_bought_media_are_not_cooked() -> None:
    """Plates and bottles that come ready have an inoculation day and no cook; own ones have both."""
    bought = compiled(stock=(SMALL,))
    bottle = bought.batch("liquid culture")
    assert not bench.is_to_cook(bottle)
    names = {work.name for work in bought.problem.works}
    assert bench.inoculate(bottle) in names
    assert bench.cook(bottle) not in names
    holds = 'holds = { "quart jar" = 7, "2.3 kg bag" = 3, "plate" = 60, "culture bottle" = 8 }'
    own = compiled(stock=(SMALL,), lab='media = "own"\n' + POT + holds)
    assert bench.cook(own.batch("liquid culture")) in {work.name for work in own.problem.works}


# --- ready -----------------------------------------------------------------------------------------------


def ready_days(found: Compiled, stage: str) -> dict[int, int]:
    """Days from inoculation to ready, by inoculation day."""
    table = found.problem.work(bench.inoculate(found.batch(stage))).tables["ready"]
    return {start: ready - start for start, ready in table.items()}


def test_at_the_reference_temperature_a_batch_takes_its_likely_days() -> None:
    """At 24 C shiitake takes 12 days on grain and 30 on sawdust, and consolidates 3 and 10 days."""
    found = oak(lab='[lab.shelf]\ntemperature = "24 C"')
    assert set(ready_days(found, "grain").values()) == {15}
    assert set(ready_days(found, "sawdust").values()) == {40}


def test_a_cooler_room_takes_longer_every_day_alike() -> None:
    """One temperature: the same days whenever it is started, and more of them than at the reference."""
    (days,) = set(ready_days(oak(lab='[lab.shelf]\ntemperature = "18 C"'), "sawdust").values())
    assert days > 40


def test_in_an_unheated_room_development_adds_up_day_by_day() -> None:
    """What starts in the cold of January and runs into April is ready sooner than January alone would say."""
    months = (
        '{ nov = "16 C", dec = "12 C", jan = "10 C", feb = "12 C", mar = "16 C", apr = "20 C", may = "22 C" }'
    )
    found = oak(lab=f"[lab.shelf]\ntemperature = {months}")
    days = ready_days(found, "sawdust")
    january, april = days[found.day("2027-01-15")], days[found.day("2027-04-10")]
    cold = set(ready_days(oak(lab='[lab.shelf]\ntemperature = "10 C"'), "sawdust").values()).pop()
    warm = set(ready_days(oak(lab='[lab.shelf]\ntemperature = "20 C"'), "sawdust").values()).pop()
    assert warm - 2 <= april < january < cold
    ready = [start + days[start] for start in sorted(days)]
    assert ready == sorted(ready), "a later start is never ready earlier"


def test_where_nothing_grows_no_day_is_left() -> None:
    """A room below the species' lowest temperature: the table is empty, and the rule that says so is growth."""
    found = oak(lab='[lab.shelf]\ntemperature = "3 C"')
    work = found.problem.work(bench.inoculate(found.batch("sawdust")))
    assert work.tables["ready"] == {}
    assert found.problem.rules[work.table_rule].kind == "growth"
    assert found.problem.rules[work.table_rule].owner == "nature"


def test_a_plate_test_is_read_by_the_calendar() -> None:
    """Ten days, however cold the room is."""
    found = oak(stock=(UNTESTED,), lab='[lab.shelf]\ntemperature = "14 C"')
    table = found.problem.work(bench.inoculate(found.batch("plate", test=True))).tables["ready"]
    assert {ready - start for start, ready in table.items()} == {10}


def test_nothing_is_ready_beyond_the_last_day() -> None:
    """Starts that would not run through within the days there are are no starts."""
    found = oak()
    for work in found.problem.works:
        for table in (*work.tables.values(), *work.last_tables.values()):
            assert all(0 <= day <= found.problem.horizon for day in table.values())


# --- descent ---------------------------------------------------------------------------------------------


def test_bags_come_from_ready_grain_that_still_keeps() -> None:
    """From the day the grain is ready until 56 days after."""
    found = oak()
    grain, bags = found.batch("grain"), found.batch("sawdust")
    assert found.apart(bench.ready(grain), Point(bench.inoculate(bags))) == (0, 56)


def test_a_culture_in_hand_has_aged() -> None:
    """Liquid culture keeps 180 days, of which the days since it came are gone."""
    found = oak()
    culture = next(b for b in found.batches if b.state == "in hand")
    assert culture.aged_days == 8
    assert found.apart(bench.ready(culture), Point(bench.inoculate(found.batch("grain")))) == (0, 180 - 8)
    assert found.allowed(bench.there(culture)) == {0}


def test_a_culture_on_its_way_is_there_on_its_day() -> None:
    """A received day to come is the only day it can be there."""
    found = oak(stock=(edited(CULTURE, received="2026-12-12"),))
    culture = next(b for b in found.batches if b.state == "in hand")
    assert found.allowed(bench.there(culture)) == {found.day("2026-12-12")}


def test_a_bought_culture_is_there_from_its_lead_on() -> None:
    """Fourteen days at the earliest, later where it is needed later; whose word that is can be seen."""
    found = compiled()
    culture = next(b for b in found.batches if b.state == "bought")
    assert min(found.allowed(bench.there(culture))) == 14
    assert max(found.allowed(bench.there(culture))) == found.problem.horizon
    rule = found.problem.rules["lead:culture"]
    assert (rule.kind, rule.key, rule.facts["days"]) == ("culture_lead", "[buying].lead.culture", "14")


@pytest.mark.parametrize(
    ("keys", "what", "days"),
    [({"route": '["grain", "sawdust"]'}, "grain", 5), ({"spawn": '"buy"'}, "spawn", 30)],
)
def test_bought_grain_and_spawn_have_leads_of_their_own(keys: dict[str, str], what: str, days: int) -> None:
    """The lead that counts is the one of what is bought."""
    found = compiled(edited(OAK, **keys), buying='lead = { grain = "5 d", spawn = "30 d" }')
    batch = next(b for b in found.batches if b.state == "bought")
    assert min(found.allowed(bench.there(batch))) == days
    assert found.problem.rules[f"lead:{what}"].kind == "spawn_lead"


def test_the_test_is_read_before_anything_is_made_of_the_culture() -> None:
    """Grain, and a bottle too, waits for the plates; the plates themselves do not."""
    found = oak(stock=(UNTESTED,))
    test, grain = found.batch("plate", test=True), found.batch("grain")
    (lag,) = found.lags(bench.ready(test), Point(bench.inoculate(grain)))
    assert (lag.rule, lag.least, lag.most) == ("culture_test", 0, None)
    small = compiled(stock=(SMALL,))
    test, bottle = small.batch("plate", test=True), small.batch("liquid culture")
    assert small.lags(bench.ready(test), Point(bench.inoculate(bottle)))
    assert not small.lags(bench.ready(test), Point(bench.inoculate(test)))
    assert not any("culture_test" in lag.rule for lag in oak().problem.lags)


def test_finished_spawn_is_planted_while_it_keeps() -> None:
    """Ready before the first planting day, good on the last; bags keep 120 days."""
    found = oak()
    bags, plant = found.batch("sawdust"), yard.plant("Oak stack")
    assert found.apart(bench.ready(bags), Point(plant)) == (0, None)
    assert found.apart(bench.ready(bags), Point(plant, "last")) == (None, 120)


def test_spawn_in_hand_is_planted_while_it_keeps() -> None:
    """The age it comes with is counted."""
    stock = 'species = "shiitake"\nstage = "sawdust"\nunits = 9\nreceived = 2026-11-08'
    soon = edited(OAK, window='"2026-12-10/2027-01-30"', best='"2026-12-20/2027-01-20"')
    found = compiled(soon, stock=(stock,))
    (bags,) = found.batches
    assert found.apart(bench.ready(bags), Point(yard.plant("Oak stack"), "last")) == (None, 120 - 20)


def test_every_made_batch_has_its_works_and_minutes() -> None:
    """One inoculation a batch, in the hours of its day; each but bought media has a cook."""
    found = compiled()
    names = {work.name for work in found.problem.works}
    own = found.day_limit("own hands")
    for batch in found.batches:
        made = batch.state == "planned"
        assert (bench.inoculate(batch) in names) == made
        assert (bench.cook(batch) in names) == (made and bench.is_to_cook(batch))
        assert (bench.there(batch) in names) != made
        assert own.per_piece.get(bench.inoculate(batch), 0) == batch.minutes


def test_the_tub_takes_hands_and_no_load() -> None:
    """Boiling water over pellets: a work of 45 minutes, in no cooker."""
    totems = edited(OAK, species='"oyster"', wood='"beech"')
    found = compiled(totems, lab=POT + 'holds = { "quart jar" = 9 }')
    bags = found.batch("pellet")
    assert bags.treatment == "tub"
    assert found.day_limit("own hands").per_piece[bench.cook(bags)] == 45
    assert all(bench.cook(bags) not in cooker.shares for cooker in found.problem.cookers)
    assert found.apart(Point(bench.cook(bags)), Point(bench.inoculate(bags))) == (1, 2)
    rule = next(lag.rule for lag in found.lags(Point(bench.cook(bags)), Point(bench.inoculate(bags))))
    assert found.problem.rules[rule].facts == {"days": "2"}


def test_a_tub_asks_for_no_evening_before() -> None:
    """Its pellets stay dry until the boiling water: the first day back, and the first day of work, will do."""
    totems = edited(OAK, species='"oyster"', wood='"beech"')
    found = compiled(
        totems,
        lab=POT + 'holds = { "quart jar" = 9 }',
        people='hours = { sat = 6, sun = 4 }\naway = ["2027-01-05/2027-01-08"]',
        head="no_work_before = 2026-12-05",
    )
    tub, jars = bench.cook(found.batch("pellet")), bench.cook(found.batch("grain"))
    back, begun = found.day("2027-01-09"), found.day("2026-12-05")
    assert back in found.limit(tub, "away") - found.limit(jars, "away")
    assert begun in found.limit(tub, "no_work_before") - found.limit(jars, "no_work_before")
    assert min(found.limit(tub, "lead:supplies")) == found.season.lead.supplies
    assert not bench.has_eve(found.batch("pellet"))
    assert bench.has_eve(found.batch("grain"))


def test_children_are_those_made_from_a_batch() -> None:
    """Every batch whose units name it, tests included."""
    found = oak(stock=(UNTESTED,))
    made = bench.children(found.sizing)
    culture = found.batches[0]
    assert {b.stage for b in made[culture.id]} == {"plate", "grain"}
    assert {b.stage for b in made[found.batch("grain").id]} == {"sawdust"}
    assert found.batch("sawdust").id not in made
