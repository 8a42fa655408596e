"""Strain lines: what shares grain, what is bought, what is in hand, and how sure the chain is."""

import math
from dataclasses import replace

import pytest

from scheduler.errors import SeasonError
from scheduler.lines.shapes import BatchSpec
from scheduler.lines.sizing import size
from scheduler.plan import Plan
from scheduler.season.season import Season
from scheduler.service.attempt import LEVELS, attempt
from tests.grower import BED, CULTURE, OAK, TODAY, TOTEMS, catalogue, edited, line, season, stage

NEAR = edited(OAK, name='"Near"', best='"2027-05-01/2027-05-20"')
FAR = edited(OAK, name='"Far"', window='"2027-08-01/2027-09-30"', best='"2027-08-10/2027-09-20"')
MANY_LOGS = '{ count = 200, diameter = "13 cm", length = "1 m" }'
POT = '[[lab.cooker]]\nkind = "pressure cooker"\n'


def oak(*more: str, **tables: object) -> Season:
    """The oak stack and more plantings of its strain, from 60 mL of tested culture."""
    return season(OAK, *more, stock=(CULTURE,), **tables)  # type: ignore[arg-type]


def in_hand(name: str, amount: str = "units = 3", received: str = "2027-01-25", more: str = "") -> str:
    """Shiitake in hand."""
    return f'species = "shiitake"\nstage = "{name}"\n{amount}\nreceived = {received}\n{more}'


def made(batches: list[BatchSpec]) -> list[BatchSpec]:
    """Those that the grower makes."""
    return [batch for batch in batches if batch.state == "planned"]


# --- sharing -----------------------------------------------------------------------------------------------


def test_near_plantings_share_their_grain() -> None:
    """Two stacks a week apart: one culture, one lot of grain for both; each bag belongs to one of them."""
    found = line(oak(NEAR))
    assert len(stage(found, "liquid culture")) == 1
    assert {b.plantings for b in stage(found, "grain")} == {("Oak stack", "Near")}
    assert {b.plantings for b in stage(found, "sawdust")} == {("Oak stack",), ("Near",)}


def test_far_plantings_have_grain_of_their_own() -> None:
    """Grain keeps eight weeks: for a stack in August it is made again, each from the bags' own culture."""
    found = line(oak(FAR))
    grain = stage(found, "grain")
    assert {b.plantings for b in grain} == {("Oak stack",), ("Far",)}
    for bags in stage(found, "sawdust"):
        assert {p for b in grain if b.id in bags.parents for p in b.plantings} == set(bags.plantings)
    assert [sum(b.keep_back for b in grain if b.plantings == of) for of in (("Oak stack",), ("Far",))] == [
        1,
        1,
    ]


def test_plantings_are_served_in_the_order_of_their_best_days() -> None:
    """The first planting of the file may be the last of the year."""
    assert line(season(FAR, OAK, stock=(CULTURE,))).plantings == ("Oak stack", "Far")


def test_strains_are_lines_of_their_own() -> None:
    """Another strain of the same species shares nothing."""
    found = size(season(OAK, edited(NEAR, strain='"other"')), catalogue(), "wished", {})
    assert len(found.lines) == 2
    assert found.lines[0].code != found.lines[1].code


# --- bought ------------------------------------------------------------------------------------------------


def test_bought_spawn_is_one_batch_and_nothing_before_it() -> None:
    """As many bags as the logs take, without spares, after the lead time; no culture, no grain."""
    found = line(season(edited(OAK, spawn='"buy"', logs=MANY_LOGS)))
    (bags,) = found.batches
    assert (bags.state, bags.stage, bags.started, bags.needed) == ("bought", "sawdust", 9, 9)
    assert bags.there_on is not None
    assert (bags.there_on - TODAY).days == 21
    assert (found.chance, found.buffer_days) == (1.0, 0)


def test_a_route_from_grain_is_bought_grain() -> None:
    """Grain is there after its own lead time, two jars at least, and feeds the bags that are made."""
    found = line(season(edited(OAK, route='["grain", "sawdust"]')))
    grain, *bags = found.batches
    assert (grain.state, grain.stage, grain.generation) == ("bought", "grain", 1)
    assert grain.there_on is not None
    assert (grain.there_on - TODAY).days == 7
    assert grain.started >= 2
    assert all(b.parents == (grain.id,) for b in bags)


def test_grain_to_be_planted_is_bought_where_the_route_says_so() -> None:
    """A route of nothing but grain is bought grain, planted as it is."""
    (grain,) = line(season(edited(TOTEMS, route='["grain"]'))).batches
    assert (grain.state, grain.stage) == ("bought", "grain")
    assert grain.there_on is not None
    assert (grain.there_on - TODAY).days == 7


def test_grain_to_be_planted_is_made_from_the_culture() -> None:
    """First generation for all of it, and one jar more that is kept back."""
    found = line(season(edited(TOTEMS, route='["liquid culture", "grain"]')))
    jars = stage(found, "grain")
    assert {b.generation for b in jars} == {1}
    assert sum(b.keep_back for b in jars) == 1
    grams = sum(b.needed * b.unit_mass_g * b.usable for b in jars)
    assert grams >= size(season(TOTEMS), catalogue(), "wished", {}).demands[0].spawn_g


def test_a_bought_planting_does_not_hang_on_the_culture() -> None:
    """Chances of making belong to the planting that is made, not to its neighbour that is bought."""
    found = line(season(OAK, edited(NEAR, spawn='"buy"')))
    by_name = {name: [s.stage for s in found.spares if name in s.plantings] for name in ("Oak stack", "Near")}
    assert by_name["Near"] == ["bought spawn, Near"]
    assert any("grain G1" in stage for stage in by_name["Oak stack"])


# --- in hand: finished spawn ---------------------------------------------------------------------------------


def test_spawn_in_hand_comes_first() -> None:
    """Two bags in hand, more are needed: the rest is made."""
    without = made(stage(line(oak()), "sawdust"))
    found = line(season(OAK, stock=(CULTURE, in_hand("sawdust", "units = 2", "2027-02-20"))))
    bags = stage(found, "sawdust")
    held = [b for b in bags if b.state == "in hand"]
    assert [(b.started, b.needed) for b in held] == [(2, 2)]
    assert sum(b.needed for b in made(bags)) == sum(b.needed for b in without) - 2


def test_spawn_in_hand_is_given_out_once() -> None:
    """Ten bags in hand serve the earlier stack, what is left the later one, and none is counted twice."""
    found = line(season(OAK, NEAR, stock=(CULTURE, in_hand("sawdust", "units = 5", "2027-02-20"))))
    held = [b for b in stage(found, "sawdust") if b.state == "in hand"]
    assert [b.plantings for b in held] == [("Oak stack",), ("Near",)]
    assert sum(b.started for b in held) == 5
    assert held[0].started == 3


def test_enough_spawn_in_hand_needs_nothing_else() -> None:
    """No culture, no grain, no doubt."""
    found = line(season(OAK, stock=(CULTURE, in_hand("sawdust", "units = 9", "2027-02-20"))))
    assert [(b.state, b.started) for b in found.batches] == [("in hand", 3)]
    assert found.chance == 1.0


def test_spawn_in_hand_has_aged_when_it_is_planted() -> None:
    """Bags keep 120 days: of 20 December none is good on 24 April, of 30 December all are; their age is known."""
    for received, good in (("2026-12-20", False), ("2026-12-30", True)):
        found = line(season(OAK, stock=(CULTURE, in_hand("sawdust", received=received))))
        assert any(b.state == "in hand" for b in stage(found, "sawdust")) == good
    soon = edited(OAK, window='"2026-12-10/2027-01-30"', best='"2026-12-20/2027-01-20"')
    (bags,) = line(season(soon, stock=(in_hand("sawdust", "units = 3", "2026-11-08"),))).batches
    assert (bags.aged_days, bags.there_on) == (20, TODAY)


def test_spawn_that_comes_too_late_is_not_counted_on() -> None:
    """What is received after the best span is no spawn for it."""
    found = line(season(OAK, stock=(CULTURE, in_hand("sawdust", received="2027-05-17"))))
    assert not any(b.state == "in hand" and b.stage == "sawdust" for b in found.batches)


def test_spawn_in_hand_by_mass_is_no_more_than_its_mass() -> None:
    """1.5 kg are one bag of 1.5 kg, not one of 2.3; a bag of another size is taken as it is."""
    for amount, more, mass in (
        ('amount = "1.5 kg"', "", 1500),
        ("units = 1", 'container = "4.8 kg bag"', 4600),
        ('amount = "5 kg"', "", 2300),
    ):
        stock = (CULTURE, in_hand("sawdust", amount, "2027-02-20", more))
        held = next(
            b for b in line(season(OAK, stock=stock)).batches if b.stage == "sawdust" and b.state == "in hand"
        )
        assert held.unit_mass_g == mass


def test_loose_dowels_are_counted_by_the_piece() -> None:
    """500 dowels of 1.3 g are one bag of 650 g."""
    dowels = edited(OAK, route='["liquid culture", "grain", "dowels"]')
    found = line(season(dowels, stock=(CULTURE, in_hand("dowels", "units = 500", "2027-01-20"))))
    held = next(b for b in found.batches if b.stage == "dowels" and b.state == "in hand")
    assert held.started * held.unit_mass_g == pytest.approx(650)


@pytest.mark.parametrize(
    ("route", "held", "serves"),
    [
        ("sawdust", "pellet", True),
        ("pellet", "sawdust", True),
        ("pellet", "pellet", True),
        ("sawdust", "dowels", False),
        ("pellet", "dowels", False),
        ("dowels", "sawdust", False),
        ("dowels", "pellet", False),
        ("dowels", "dowels", True),
    ],
)
def test_spawn_in_hand_stands_for_its_like(route: str, held: str, serves: bool) -> None:
    """Sawdust and pellet spawn are planted in each other's place; dowels go into holes for dowels alone."""
    planting = edited(OAK, route=f'["liquid culture", "grain", "{route}"]')
    stock = (CULTURE, in_hand(held, "units = 2", "2027-02-20", 'container = "2.3 kg bag"'))
    found = line(season(planting, stock=stock))
    taken = [(b.stage, b.started) for b in found.batches if b.state == "in hand" and b.stage == held]
    assert taken == ([(held, 2)] if serves else [])


def test_what_stands_for_another_counts_by_its_mass() -> None:
    """Three bags are needed: with one bag of pellet spawn in hand two bags of sawdust spawn are."""
    found = size(
        season(OAK, stock=(CULTURE, in_hand("pellet", "units = 1", "2027-02-20"))), catalogue(), "bare", {}
    ).lines[0]
    assert sum(b.needed for b in stage(found, "pellet")) == 1
    assert sum(b.needed for b in stage(found, "sawdust")) == 2


def test_spawn_that_stands_for_another_is_planned_and_the_rest_named() -> None:
    """Nine bags of pellet spawn for a stack that takes three of sawdust: planted on its day, six left over."""
    plan = attempt(season(OAK, stock=(in_hand("pellet", "units = 9", "2027-02-20"),)), catalogue())
    assert isinstance(plan, Plan)
    (bags,) = plan.batches
    assert (bags.stage, bags.started, bags.use_on) == ("pellet", 3, plan.plantings[0].plant_on)
    out = [task for task in plan.tasks if task.batch == bags.id]
    assert {task.kind for task in out} == {"take-out"}
    assert 1 < len(out) <= len(plan.plantings[0].plant_on)
    assert "shiitake pellet of Sat 20 Feb 2027: 6 of 9 x 2.3 kg bag are left over." in plan.notes


# --- in hand: grain ------------------------------------------------------------------------------------------


def test_grain_in_hand_is_used_before_new_jars() -> None:
    """Nine jars of January feed all bags: no culture is opened, no jar is made, and one is kept back."""
    found = line(season(OAK, stock=(CULTURE, in_hand("grain", "units = 9"))))
    grain, *bags = found.batches
    assert (grain.state, grain.stage, grain.generation, grain.started) == ("in hand", "grain", 1, 9)
    assert grain.keep_back == 1
    assert {b.stage for b in bags} == {"sawdust"}
    assert all(b.parents == (grain.id,) for b in bags)


def test_grain_in_hand_feeds_whole_batches_and_new_jars_the_rest() -> None:
    """Two jars are enough for the first three bags; the other bags get jars of their own."""
    found = line(season(edited(OAK, logs=MANY_LOGS), stock=(CULTURE, in_hand("grain", "units = 2"))))
    held = next(b for b in found.batches if b.stage == "grain" and b.state == "in hand")
    bags = stage(found, "sawdust")
    fed = [b for b in bags if held.id in b.parents]
    assert 0 < len(fed) < len(bags)
    assert all(b.parents == (held.id,) for b in fed)
    assert sum(b.started for b in fed) <= 2 * 2
    assert made(stage(found, "grain"))


def test_grain_in_hand_has_to_keep_until_it_is_needed() -> None:
    """Grain keeps 56 days: of last October's none is good when the bags for April are made."""
    found = line(season(OAK, stock=(CULTURE, in_hand("grain", "units = 9", "2026-10-20"))))
    assert not any(b.stage == "grain" and b.state == "in hand" for b in found.batches)


def test_grain_serves_a_planting_before_the_best_span() -> None:
    """Bags grow 44 days at 20 C and are fresh for 60. Grain of 23 November keeps to 18 January: too early for
    bags that are fresh on 10 June, in time for those planted on 24 April; shed spares leave it."""
    late = edited(OAK, window='"2027-04-24/2027-06-30"', best='"2027-06-10/2027-06-20"')
    of = season(late, stock=(CULTURE, in_hand("grain", "units = 9", "2026-11-23")))
    used = {
        level: any(
            b.stage == "grain" and b.state == "in hand"
            for b in size(of, catalogue(), level, {}).lines[0].batches
        )
        for level in LEVELS
    }
    assert used == {"wished": True, "halfway": False, "bare": False}


def test_grain_in_hand_wants_a_day_for_the_bench() -> None:
    """As above, but nobody is there from December to the day it no longer keeps."""
    late = edited(OAK, window='"2027-04-24/2027-06-30"', best='"2027-06-10/2027-06-20"')
    away = 'hours = { sat = 6, sun = 4 }\naway = ["2026-11-28/2027-01-20"]'
    found = line(season(late, people=away, stock=(CULTURE, in_hand("grain", "units = 9", "2026-11-23"))))
    assert not any(b.stage == "grain" and b.state == "in hand" for b in found.batches)


def test_grain_serves_a_planting_after_the_best_span() -> None:
    """Jars that come on 20 April make bags for June, where the best span ends in May."""
    late = edited(OAK, window='"2027-04-10/2027-06-30"')
    found = line(season(late, stock=(CULTURE, in_hand("grain", "units = 9", "2027-04-20"))))
    assert any(b.stage == "grain" and b.state == "in hand" for b in found.batches)


def test_grain_that_comes_too_late_is_not_counted_on() -> None:
    """Grain of the planting month cannot run through bags any more."""
    found = line(season(OAK, stock=(CULTURE, in_hand("grain", "units = 9", "2027-05-01"))))
    assert not any(b.stage == "grain" and b.state == "in hand" for b in found.batches)


def test_a_rest_of_grain_too_small_for_a_bag_is_left() -> None:
    """Two hundred grams do not start a bag that takes 230."""
    found = line(season(OAK, stock=(CULTURE, in_hand("grain", 'amount = "200 g"'))))
    assert not any(b.stage == "grain" and b.state == "in hand" for b in found.batches)


def test_grain_in_hand_goes_before_bought_grain() -> None:
    """Also where the route would buy it."""
    bought = edited(OAK, route='["grain", "sawdust"]')
    found = line(season(bought, stock=(in_hand("grain", "units = 9"),)))
    assert {b.state for b in found.batches if b.stage == "grain"} == {"in hand"}


def test_transfers_behind_grain_are_its_generation() -> None:
    """Grain that is known to lie two transfers behind its master is second generation; none of it is kept back."""
    found = line(season(OAK, stock=(CULTURE, in_hand("grain", "units = 9", more="transfers = 2"))))
    (grain,) = stage(found, "grain")
    assert (grain.id, grain.generation, grain.keep_back) == ("SHI-G2a", 2, 0)


def test_grain_in_hand_can_be_what_is_planted() -> None:
    """Where grain is the planting spawn, jars in hand are the finished spawn."""
    planted = edited(TOTEMS, route='["liquid culture", "grain"]')
    stock = 'species = "oyster"\nstage = "grain"\nunits = 4\nreceived = 2027-04-01'
    held = [b for b in line(season(planted, stock=(stock,))).batches if b.state == "in hand"]
    assert [(b.stage, b.started, b.plantings) for b in held] == [("grain", 4, ("Totems",))]


# --- how sure ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("certainty", [0.8, 0.9, 0.95])
def test_the_wish_is_one_for_the_whole_chain(certainty: float) -> None:
    """With loads that hold all, grain and bags together reach what is wished, tested culture or not."""
    wide = POT + 'holds = { "quart jar" = 60, "2.3 kg bag" = 60 }'
    for tested in ("true", "false"):
        stock = (edited(CULTURE, amount='"200 mL"', tested=tested),)
        short = edited(OAK, window='"2027-04-24/2027-05-16"')
        found = line(season(short, stock=stock, lab=wide, head=f"certainty = {certainty}"))
        assert [s.stage.split(",")[0] for s in found.spares] == ["sawdust spawn", "grain G1"]
        assert all(s.chance >= math.sqrt(certainty) for s in found.spares)
        assert found.chance >= certainty


def test_the_chance_of_a_line_is_that_of_all_its_stages() -> None:
    """Culture bottle, grain and bags all have to come through."""
    found = line(season(stock=(edited(CULTURE, amount='"10 mL"'),)))
    assert [s.stage.split(",")[0] for s in found.spares] == ["sawdust spawn", "culture bottles", "grain G1"]
    assert found.chance == pytest.approx(math.prod(s.chance for s in found.spares))


def test_fewer_restarts_mean_more_spares() -> None:
    """A plan that leaves no time for a redo is sized again without it."""
    roomy = edited(OAK, window='"2027-04-10/2027-12-30"', best='"2027-04-24/2027-05-16"', logs=MANY_LOGS)
    of = season(roomy, stock=(CULTURE,), lab=POT + 'holds = { "quart jar" = 3, "2.3 kg bag" = 3 }')
    with_redo = size(of, catalogue(), "wished", {}).lines[0]
    without = size(of, catalogue(), "wished", {"SHI": {"sawdust": 0, "grain": 0}}).lines[0]
    assert any(s.why.startswith("with the redo") for s in with_redo.spares)
    assert not any(s.why.startswith("with the redo") for s in without.spares)
    assert sum(b.started for b in without.batches) > sum(b.started for b in with_redo.batches)


def test_the_buffer_is_that_of_the_chain() -> None:
    """Variances of the stages' PERT laws add up; grain 8/12/16 and bags 21/30/45 at the reference temperature."""
    of = oak(lab='[lab.shelf]\ntemperature = "24 C"', head="certainty = 0.9")
    later = spread = 0.0
    for low, likely, high in ((8, 12, 16), (21, 30, 45)):
        mean = (low + 4 * likely + high) / 6
        later += mean - likely
        spread += (mean - low) * (high - mean) / 7
    assert line(of).buffer_days == math.ceil(later + 1.2815515655 * math.sqrt(spread))


def test_the_buffer_grows_with_the_wish_and_in_the_cold() -> None:
    """More certainty takes more days, and so does a room in which everything is slower."""
    assert line(oak(head="certainty = 0.97")).buffer_days > line(oak(head="certainty = 0.6")).buffer_days
    cold, warm = (line(oak(lab=f'[lab.shelf]\ntemperature = "{degrees} C"')) for degrees in (14, 22))
    assert cold.buffer_days > warm.buffer_days


def test_own_figures_go_before_the_catalogue() -> None:
    """The grower's own loss rate decides how many bags are started, and own days how long the chain varies."""
    lucky, unlucky = (
        line(oak(figures=f"[figures.shiitake.sawdust]\nloss = {{ rate = {rate} }}")) for rate in (0.01, 0.4)
    )
    bags = [sum(b.started for b in stage(found, "sawdust")) for found in (lucky, unlucky)]
    assert bags[0] < bags[1]
    own = line(oak(figures="[figures.shiitake.grain]\ndays = { low = 9, likely = 11, high = 31 }"))
    growth = stage(own, "grain")[0].growth
    assert growth is not None
    assert (growth.low, growth.likely, growth.high) == (9, 11, 31)
    assert own.buffer_days > line(oak()).buffer_days


# --- containers and treatments -------------------------------------------------------------------------------


def test_half_a_gallon_of_grain_starts_four_bags() -> None:
    """Half a gallon of grain for four bags of five pounds (Stamets 1993): four jars for 13 to 16 bags."""
    lab = 'grain_in = "half-gallon jar"\n' + POT + 'holds = { "half-gallon jar" = 20, "2.3 kg bag" = 20 }'
    found = line(season(edited(OAK, logs=MANY_LOGS), stock=(CULTURE,), lab=lab))
    bags = sum(b.started for b in stage(found, "sawdust"))
    assert 13 <= bags <= 16
    assert sum(b.needed for b in stage(found, "grain")) == 4


def test_two_bags_come_from_two_jars() -> None:
    """One half-gallon jar would feed them both; a stage does not hang on one unit where two can be had."""
    two = edited(OAK, logs='{ count = 40, diameter = "13 cm", length = "1 m" }')
    lab = 'grain_in = "half-gallon jar"\n' + POT + 'holds = { "half-gallon jar" = 20, "2.3 kg bag" = 20 }'
    found = size(season(two, stock=(CULTURE,), lab=lab), catalogue(), "bare", {}).lines[0]
    assert sum(b.started for b in stage(found, "sawdust")) == 2
    assert sum(b.needed for b in stage(found, "grain")) == 2


def test_own_containers_are_filled_as_the_grower_says() -> None:
    """A 3 L jar of 1.7 kg feeds six bags; its litres and masses are the grower's, its culture is in proportion."""
    lab = 'grain_in = "3 L jar"\n[lab.containers."3 L jar"]\nvolume = "3 L"\ngrain = "1.7 kg"\n' + POT
    found = line(season(stock=(CULTURE,), lab=lab + 'holds = { "3 L jar" = 5, "2.3 kg bag" = 3 }'))
    jars = stage(found, "grain")[0]
    assert (jars.container, jars.unit_mass_g, jars.unit_volume_l, jars.rest_days) == ("3 L jar", 1700, 3, 1)
    assert jars.feed_g == pytest.approx(2.5 * 1700 / 550)
    assert jars.started <= 5


def test_a_large_bag_rests_two_days() -> None:
    """A bag of 4.8 kg takes two days to cool through, one of 2.3 kg one."""
    lab = 'spawn_in = "4.8 kg bag"\n' + POT + 'holds = { "quart jar" = 7, "4.8 kg bag" = 1 }'
    found = line(season(stock=(CULTURE,), lab=lab))
    assert {b.rest_days for b in stage(found, "sawdust")} == {2}
    assert {b.rest_days for b in stage(line(oak()), "sawdust")} == {1}
    assert all(b.started == 1 for b in stage(found, "sawdust"))


def test_steam_costs_a_little_chance() -> None:
    """Spores of some bacteria outlive steam: bags of the drum are lost a little more often."""
    jars = POT + 'holds = { "quart jar" = 9 }\n'
    drum = jars + '[[lab.cooker]]\nkind = "steam drum"\nholds = { "2.3 kg bag" = 20 }'
    pot = jars + POT + 'holds = { "2.3 kg bag" = 20 }'
    steamed, pressed = (
        line(season(stock=(CULTURE,), lab=lab, head="certainty = 0.5")) for lab in (drum, pot)
    )
    assert {b.treatment for b in stage(steamed, "sawdust")} == {"steam"}
    assert {b.treatment for b in stage(steamed, "grain")} == {"pressure"}
    assert {b.started for b in stage(steamed, "sawdust")} == {b.started for b in stage(pressed, "sawdust")}
    assert steamed.spares[0].chance < pressed.spares[0].chance


def test_oyster_pellets_may_be_treated_in_a_tub() -> None:
    """Where no cooker takes the bags: six a tub, no load, more losses; shiitake is refused that."""
    lab = POT + 'holds = { "quart jar" = 9 }'
    bags = stage(line(season(TOTEMS, lab=lab)), "pellet")
    assert {(b.treatment, b.load_class) for b in bags} == {("tub", None)}
    assert max(b.started for b in bags) <= 6
    with pytest.raises(SeasonError):
        season(OAK, lab=lab)


def test_what_cannot_be_made_in_the_lab_is_a_fault_with_a_way_out() -> None:
    """Own media without a cooker that holds plates: the message names the container and the key."""
    with pytest.raises(SeasonError) as caught:
        line(
            season(
                lab='media = "own"\n[[lab.cooker]]\nkind = "pressure cooker"\n'
                'holds = { "quart jar" = 7, "2.3 kg bag" = 3 }'
            )
        )
    (fault,) = caught.value.faults
    assert "plate" in fault.found
    assert "holds" in fault.hint


def test_spawn_that_must_not_be_chilled_waits_on_the_shelf() -> None:
    """A species whose spawn the cold harms keeps for the shelf's days; its grain waits in the fridge all the same."""
    delicate = catalogue().species["shiitake"].model_copy(update={"fridge": False})
    other = replace(catalogue(), species={**catalogue().species, "shiitake": delicate})
    found = size(oak(), other, "wished", {}).lines[0]
    assert {(b.waits_in, b.keeps_days, b.fresh_days) for b in stage(found, "sawdust")} == {("shelf", 28, 14)}
    assert {b.waits_in for b in stage(found, "grain")} == {"fridge"}


def test_every_species_of_the_catalogue_can_be_sized() -> None:
    """No species, method or route of the catalogue falls through."""
    for name, species in catalogue().species.items():
        for method, permission in species.methods.items():
            if permission.verdict == "refused":
                continue
            text = edited(OAK if method != "chip bed" else BED, species=f'"{name}"', method=f'"{method}"')
            drop = ("wood", "pattern", *(("logs",) if method == "stump" else ()))
            text = "\n".join(row for row in text.splitlines() if not row.startswith(drop))
            text += '\nstumps = { count = 3, diameter = "30 cm" }' if method == "stump" else ""
            found = line(season(text))
            assert found.batches
            assert found.species == name
