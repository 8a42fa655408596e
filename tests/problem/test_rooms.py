"""Shelf, fridge, tank and cookers: who stands where, how full a load is, how long it takes."""

from collections import Counter
from math import lcm

import pytest

from scheduler.problem import bench, rooms, yard
from scheduler.problem.shapes import Point
from tests.grower import BED, CULTURE, OAK, SITE, TOTEMS, catalogue, edited
from tests.problem.compiled import Compiled, compiled

POT = '[[lab.cooker]]\nkind = "pressure cooker"\n'
DRUM = '[[lab.cooker]]\nkind = "steam drum"\n'
WIDE = POT + 'holds = { "quart jar" = 40, "2.3 kg bag" = 40 }'
PLANT = Point(yard.plant("Oak stack"), "last")


def oak(**tables: object) -> Compiled:
    """The oak stack from tested culture."""
    return compiled(**{"stock": (CULTURE,), **tables})


def amounts(found: Compiled, room: str, work: str) -> Counter[tuple[Point, Point]]:
    """What begins to stand in a room with a work, by its ends."""
    counts: Counter[tuple[Point, Point]] = Counter()
    for stay in found.stays(room, work):
        counts[stay.start, stay.end] += stay.amount
    return counts


# --- shelf and fridge --------------------------------------------------------------------------------------


def test_a_batch_grows_on_the_shelf_until_it_is_ready() -> None:
    """All its units, tests too, from inoculation to the ready day, in tenths of a litre."""
    found = oak(stock=(edited(CULTURE, tested="false"),))
    for batch, part in (
        (found.batch("plate", test=True), 2),
        (found.batch("grain"), 15),
        (found.batch("sawdust"), 60),
    ):
        start = Point(bench.inoculate(batch))
        (stay,) = (s for s in found.stays("shelf", start.work) if s.start == start)
        assert (stay.end, stay.amount) == (bench.ready(batch), batch.started * part)
    assert found.room("shelf").capacity == 1500
    assert found.room("fridge").capacity == 600


def test_finished_spawn_waits_in_the_fridge_for_the_last_planting_day() -> None:
    """Every bag stands there until planting is over."""
    found = oak()
    bags = found.batch("sawdust")
    assert amounts(found, "fridge", bench.inoculate(bags)) == {(bench.ready(bags), PLANT): bags.started * 60}


def test_a_test_waits_nowhere() -> None:
    """When it has been read it is gone."""
    found = oak(stock=(edited(CULTURE, tested="false"),))
    assert not found.stays("fridge", bench.inoculate(found.batch("plate", test=True)))


def test_a_culture_is_drawn_from_to_the_end() -> None:
    """A few mL stay in the fridge until the planting's fallback day; so does an enlarged bottle."""
    found = oak(stock=(edited(CULTURE, amount='"10 mL"'),))
    kept = rooms.kept(found.sizing.lines[0])
    syringe, bottle = (b for b in found.batches if b.stage == "liquid culture")
    assert [s.end for s in found.stays("fridge", bench.there(syringe))] == [Point(kept)]
    assert [s.end for s in found.stays("fridge", bench.inoculate(bottle))] == [Point(kept)]
    assert found.lags(Point(yard.plant("Oak stack"), "fallback"), Point(kept))[0].least == 0


def test_grain_stands_until_it_is_used() -> None:
    """Every jar that is not kept back stands until its bags are made, the kept one to the end, none twice."""
    found = oak()
    grain = found.batch("grain")
    kept = Point(rooms.kept(found.sizing.lines[0]))
    stays = amounts(found, "fridge", bench.inoculate(grain))
    assert stays.pop((bench.ready(grain), kept)) == grain.keep_back * 15 == 15
    assert sum(stays.values()) == (grain.started - grain.keep_back) * 15
    ends = {end.work for _, end in stays}
    assert ends <= {bench.inoculate(b) for b in found.batches if grain.id in b.parents} | {
        rooms.emptied(grain)
    }


def test_a_unit_that_one_batch_alone_uses_up_leaves_with_it() -> None:
    """Bags in loads of three from five jars: a jar that feeds one batch goes with it, one that feeds two with the last."""
    found = oak(head="certainty = 0.97", lab=POT + 'holds = { "quart jar" = 9, "2.3 kg bag" = 2 }')
    grain = found.batch("grain")
    users: dict[str, set[str]] = {unit.id: set() for unit in grain.units[: grain.started - grain.keep_back]}
    children = [b for b in found.batches if grain.id in b.parents]
    for child in children:
        for unit in child.units:
            if unit.parent in users:
                users[unit.parent].add(child.id)
    stays = amounts(found, "fridge", bench.inoculate(grain))
    for child in children:
        alone = sum(1 for who in users.values() if who == {child.id})
        assert stays[bench.ready(grain), Point(bench.inoculate(child))] == alone * 15
    shared = sum(1 for who in users.values() if len(who) != 1)
    emptied = Point(rooms.emptied(grain))
    assert stays[bench.ready(grain), emptied] == shared * 15
    if shared:
        assert {lag.before.work for lag in found.problem.lags if lag.after == emptied} == {
            bench.inoculate(child) for child in children
        }


def test_grain_that_is_planted_keeps_one_jar_back_and_counts_it_once() -> None:
    """All but one wait for planting; the one is kept until the fallback day."""
    found = compiled(edited(TOTEMS, route='["liquid culture", "grain"]'))
    grain = found.batch("grain")
    stays = amounts(found, "fridge", bench.inoculate(grain))
    assert grain.keep_back == 1
    assert stays[bench.ready(grain), Point(rooms.kept(found.sizing.lines[0]))] == 15
    assert stays[bench.ready(grain), Point(yard.plant("Totems"), "last")] == (grain.started - 1) * 15
    assert sum(stays.values()) == grain.started * 15


def test_what_must_not_be_chilled_waits_on_the_shelf() -> None:
    """Each room holds just what its batches say."""
    found = compiled(OAK, BED)
    for batch in found.batches:
        name = bench.inoculate(batch) if batch.state == "planned" else bench.there(batch)
        waiting = sum(s.amount for s in found.stays(batch.waits_in, name) if s.start == bench.ready(batch))
        assert (waiting > 0) == (not batch.is_test)


def test_a_room_by_numbers_holds_them_as_fractions() -> None:
    """Ten bags or 24 jars fill the shelf: a bag takes a tenth of it."""
    found = oak(lab='[lab.shelf]\nholds = { "quart jar" = 24, "2.3 kg bag" = 10 }')
    shelf, bags = found.room("shelf"), found.batch("sawdust")
    (stay,) = (
        s for s in found.stays("shelf", bench.inoculate(bags)) if s.start == Point(bench.inoculate(bags))
    )
    assert stay.amount * 10 == bags.started * shelf.capacity
    assert found.problem.rules["shelf"].facts["capacity"] == "24 x quart jar, 10 x 2.3 kg bag"


def test_every_line_keeps_back_until_all_its_plantings_are_safe() -> None:
    """Two stacks of one strain: kept until the later one's fallback day."""
    found = oak(**{})
    both = compiled(OAK, edited(OAK, name='"Other"'), stock=(CULTURE,))
    for one in (found, both):
        (line,) = one.sizing.lines
        waits = {lag.before for lag in one.problem.lags if lag.after == Point(rooms.kept(line))}
        assert waits == {Point(yard.plant(name), "fallback") for name in line.plantings}


# --- tank --------------------------------------------------------------------------------------------------


def test_soaked_and_fermented_chips_share_the_tank() -> None:
    """630 litres from the first day of preparing to the last of planting, in a tank of 800."""
    found = compiled(
        edited(BED, chips='"soaked"'),
        edited(BED, name='"Second"', chips='"fermented"', area='"2.05 m2"'),
        edited(BED, name='"Third"', chips='"wetted in place"'),
        tools='tank = "800 L"',
    )
    tank = found.room("tank")
    assert tank.capacity == 800
    assert {(s.start.work, s.end, s.amount) for s in tank.stays} == {
        (yard.prepare_chips("Bed"), Point(yard.plant("Bed"), "last"), 630),
        (yard.prepare_chips("Second"), Point(yard.plant("Second"), "last"), 205),
    }
    assert found.problem.rules[tank.rule].key == "[tools].tank"


def test_without_a_tank_nothing_is_soaked() -> None:
    """A bed that is to be soaked without a tank has no room, and the rule says so."""
    found = compiled(edited(BED, chips='"soaked"'))
    assert found.room("tank").capacity == 0
    assert all(room.name != "tank" for room in compiled(BED).problem.rooms)


# --- cookers -----------------------------------------------------------------------------------------------


def test_a_load_is_counted_exactly() -> None:
    """Seven jars or three bags fill a load: of 21 parts a jar takes three and a bag seven."""
    found = oak(lab=POT + 'holds = { "quart jar" = 7, "2.3 kg bag" = 3 }')
    cooker = found.cooker("pressure cooker 1")
    grain, bags = found.batch("grain"), found.batch("sawdust")
    assert cooker.share == lcm(7, 3)
    assert cooker.shares[bench.cook(grain)] == 3 * grain.started
    assert cooker.shares[bench.cook(bags)] == 7 * bags.started
    assert (cooker.classes[bench.cook(grain)], cooker.classes[bench.cook(bags)]) == ("grain", "bags")
    assert cooker.loads_per_day == 1


@pytest.mark.parametrize("holds", [(7, 3), (5, 4), (6, 9), (1, 1), (12, 7)])
def test_full_loads_are_full(holds: tuple[int, int]) -> None:
    """As many units as a load holds are exactly one load, whatever the numbers."""
    jars, bags = holds
    found = oak(lab=POT + f'holds = {{ "quart jar" = {jars}, "2.3 kg bag" = {bags} }}')
    cooker = found.cooker("pressure cooker 1")
    for batch, full in ((found.batch("grain"), jars), (found.batch("sawdust"), bags)):
        assert cooker.shares[bench.cook(batch)] * full == batch.started * cooker.share


def test_a_cooker_takes_what_it_holds_and_may_treat() -> None:
    """Grain never goes into a drum, though it holds jars; bags go into whatever holds them."""
    lab = POT + 'holds = { "quart jar" = 7 }\n' + DRUM + 'holds = { "quart jar" = 40, "2.3 kg bag" = 20 }'
    found = oak(lab=lab)
    pot, drum = found.cooker("pressure cooker 1"), found.cooker("steam drum 2")
    grain, bags = bench.cook(found.batch("grain")), bench.cook(found.batch("sawdust"))
    assert set(pot.shares) == {grain}
    assert set(drum.shares) == {bench.cook(b) for b in found.batches if b.stage == "sawdust"}
    assert bags in drum.shares
    assert ("steam drum 2", "grain") not in rooms.load_minutes(found.season, catalogue(), found.sizing)


def test_two_cookers_are_told_apart() -> None:
    """Each has its own number, rule and loads a day."""
    lab = POT + 'loads_per_day = 2\nholds = { "quart jar" = 7, "2.3 kg bag" = 3 }\n' + WIDE
    found = oak(lab=lab)
    assert [(c.name, c.rule, c.loads_per_day) for c in found.problem.cookers] == [
        ("pressure cooker 1", "cooker:1", 2),
        ("pressure cooker 2", "cooker:2", 1),
    ]
    cook = bench.cook(found.batch("sawdust"))
    assert all(cook in c.shares for c in found.problem.cookers)


# --- minutes -----------------------------------------------------------------------------------------------


def minutes(found: Compiled) -> dict[tuple[str, str], tuple[int, int]]:
    """(hands, attended) minutes of a load."""
    return rooms.load_minutes(found.season, catalogue(), found.sizing)


def test_a_load_takes_hands_and_somebody_at_home() -> None:
    """Jars: 30 + 100 + 60 minutes, 45 of them hands; bags: 45 + 150 + 75, an hour of hands in four and a half."""
    found = oak(lab=POT + 'gauge = "15 psi"\nholds = { "quart jar" = 7, "2.3 kg bag" = 3 }')
    assert minutes(found)["pressure cooker 1", "grain"] == (45, 190)
    assert minutes(found)["pressure cooker 1", "bags"] == (60, 270)


def test_at_altitude_the_hold_is_lengthened_and_the_pressure_left() -> None:
    """1500 m up the steam at 15 psi is cooler: the hold takes longer, heating and cooling do not."""
    lab = POT + 'gauge = "15 psi"\nholds = { "quart jar" = 7, "2.3 kg bag" = 3 }'
    low, high = (minutes(oak(lab=lab, site=SITE + f'elevation = "{m} m"')) for m in (0, 1500))
    for key, hold in ((("pressure cooker 1", "grain"), 100), (("pressure cooker 1", "bags"), 150)):
        assert high[key][0] == low[key][0]
        factor = (high[key][1] - low[key][1]) / hold + 1
        assert 1.2 < factor < 2.2


def test_only_the_hold_is_lengthened() -> None:
    """What the altitude adds to a load is added to its hold; at sea level and 15 psi it is the catalogue's."""
    lab = POT + 'gauge = "15 psi"\nholds = { "quart jar" = 7, "2.3 kg bag" = 3 }'
    low, high = (oak(lab=lab, site=SITE + f'elevation = "{m} m"') for m in (0, 1500))
    held = [rooms.hold_minutes(found.season, catalogue(), found.sizing) for found in (low, high)]
    assert held[0] == {("pressure cooker 1", "grain"): 100, ("pressure cooker 1", "bags"): 150}
    for key in held[0]:
        longer = minutes(high)[key][1] - minutes(low)[key][1]
        assert 0 <= longer - (held[1][key] - held[0][key]) <= 1 < longer


def test_a_weaker_gauge_takes_longer_too() -> None:
    """A cooker of 10 psi holds for longer than one of 15."""
    of = {
        psi: minutes(oak(lab=POT + f'gauge = "{psi} psi"\nholds = {{ "quart jar" = 7, "2.3 kg bag" = 3 }}'))
        for psi in (10, 15)
    }
    assert of[10]["pressure cooker 1", "grain"][1] > of[15]["pressure cooker 1", "grain"][1] + 60


def test_a_class_takes_as_long_as_the_longest_in_it() -> None:
    """Bags of 4.8 kg and of 2.3 kg never mix in a season, jars of two sizes may: a load is timed for all of them."""
    found = oak(
        lab=POT + 'holds = { "quart jar" = 7, "2.3 kg bag" = 3 }\n' + DRUM + 'holds = { "2.3 kg bag" = 20 }'
    )
    steam = minutes(found)["steam drum 2", "bags"]
    assert steam == (75, 120 + 840 + 30)


def test_loads_take_hands_and_hours_at_home() -> None:
    """A load's hands count among one's own and everybody's; its attended minutes count by cooker."""
    found = oak(lab=WIDE + "\n" + POT + 'holds = { "2.3 kg bag" = 3 }')
    table = minutes(found)
    hands = {key: hands for key, (hands, _) in table.items()}
    assert found.day_limit("own hands").loads == hands
    assert found.day_limit("all hands").loads == hands
    for name in ("pressure cooker 1", "pressure cooker 2"):
        home = found.day_limit(f"home for {name}")
        assert home.per_piece == {}
        assert home.loads == {key: attended for key, (_, attended) in table.items() if key[0] == name}
        assert home.capacity[found.day("2027-01-09")] == 600
        assert found.problem.rules[home.rule].key == "[people].home"


def test_media_loads_are_counted_where_media_are_made_at_home() -> None:
    """A class of their own, beside grain and bags."""
    holds = 'holds = { "quart jar" = 7, "2.3 kg bag" = 3, "plate" = 60, "culture bottle" = 8 }'
    own = compiled(lab='media = "own"\n' + POT + holds)
    assert {key[1] for key in minutes(own)} == {"media", "grain", "bags"}
    assert {key[1] for key in minutes(compiled())} == {"grain", "bags"}
    plates = bench.cook(own.batch("plate", test=True))
    assert own.cooker("pressure cooker 1").classes[plates] == "media"
