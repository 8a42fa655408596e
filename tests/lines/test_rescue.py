"""Ways to make again what was lost: the nearest living parent first, a culture that is bought last."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace

import pytest

from scheduler.lines.feeding import larder
from scheduler.lines.onward import Onward
from scheduler.lines.rescue import WAYS, Need, rescue
from scheduler.lines.shapes import BatchSpec
from scheduler.progress import Entry
from scheduler.season.season import Season
from tests.grower import CULTURE, OAK, catalogue, edited, season
from tests.lines.under_way import (
    Story,
    bags,
    batch,
    by_id,
    day,
    grain,
    oak,
    parents,
    story,
    units,
    way_of,
    wrong,
)

PLATES = 'species = "shiitake"\nstage = "plate"\nunits = 4\nreceived = 2026-11-20'


def sized(told: Story, way: str = "spare grain", **more: object) -> tuple[Onward, dict[str, BatchSpec]]:
    """A season sized onward from a way on, nothing wrong with it, and its batches."""
    found = told.sized(list(WAYS).index(way), **more)  # type: ignore[arg-type]
    (line,) = found.sizing.lines
    assert wrong(line) == []
    return found, by_id(line)


def jars_lost(*lost: int, of: Season | None = None, **more: object) -> Story:
    """Ready grain of which some jars are lost."""
    return story(of or oak(), "2027-02-11", grain(lost=lost, **more))  # type: ignore[arg-type]


def found_culture(stage: str = "liquid culture", **more: object) -> tuple[Entry, ...]:
    """A culture that turned up the day before."""
    return (Entry("found", day("2027-02-10"), "shiitake", stage=stage, **more),)  # type: ignore[arg-type]


ALL = range(1, 8)
NO_CULTURE = batch("SHI-La", lost=[1])


# --- the order of the ways -----------------------------------------------------------------------------------


def test_the_ways_go_from_near_to_far() -> None:
    """Grain to spare, the jar kept back, a generation more, the culture, one that turned up, one that is bought."""
    assert list(WAYS) == [
        "spare grain",
        "kept-back grain",
        "one more generation",
        "culture",
        "found culture",
        "bought culture",
    ]


def test_bags_lost_are_made_again_from_spare_grain() -> None:
    """Nine jars were started, six of them opened, and all bags are lost: the two to spare feed new ones by turns."""
    told = story(oak(), "2027-03-01", grain(started=9), bags("SHI-Sa", "SHI-Sb", lost=[1, 2, 3]))
    found, made = sized(told)
    assert way_of(found) == "spare grain"
    again = [made[name] for name in ("SHI-Sc", "SHI-Sd") if name in made]
    assert sum(one.needed for one in again) == 3
    times = Counter(parents(*again))
    assert set(times) == {"SHI-G1a/8", "SHI-G1a/9"}
    assert max(times.values()) <= 2


def test_a_jar_that_was_opened_feeds_nothing_else() -> None:
    """265 g are left in each of six jars, but they stood open: a further generation is made from the kept one."""
    told = story(oak(), "2027-03-01", grain(), bags("SHI-Sa", "SHI-Sb", lost=[1, 2, 3]))
    found, made = sized(told)
    assert way_of(found) == "one more generation"
    assert set(parents(made["SHI-G2a"])) == {"SHI-G1a/7"}


def test_a_bag_that_went_green_closes_no_jar() -> None:
    """A jar from which a lost bag was made was opened all the same, in this replan and in the next one."""
    told = story(oak(), "2027-02-20", grain(lost=[2, 3, 4, 5, 6]), bags("SHI-Sa", lost=[1, 2, 3]))
    for one in (told, told.then("2027-02-22")):
        _, made = sized(one)
        assert "SHI-G1a/1" not in {
            parent for batch in made.values() if batch.is_to_make for parent in parents(batch)
        }


def test_one_jar_and_the_kept_one() -> None:
    """One jar feeds two bags, three are needed: the kept jar feeds the rest, and is kept no longer."""
    found, made = sized(jars_lost(1, 2, 3, 4, 5))
    assert way_of(found) == "kept-back grain"
    assert Counter(parents(made["SHI-Sa"], made["SHI-Sb"])) == {"SHI-G1a/6": 2, "SHI-G1a/7": 2}
    assert made["SHI-G1a"].keep_back == 0


def test_one_more_generation_from_the_kept_jar() -> None:
    """It cannot feed three bags, but start jars for them all: second generation, 55 g each."""
    found, made = sized(jars_lost(1, 2, 3, 4, 5, 6))
    assert way_of(found) == "one more generation"
    second = made["SHI-G2a"]
    assert (second.generation, second.keep_back) == (2, 0)
    assert set(parents(second)) == {"SHI-G1a/7"}
    assert second.feed_g * second.started <= 495.0
    assert made["SHI-Sa"].parents == made["SHI-Sb"].parents == ("SHI-G2a",)
    assert made["SHI-G1a"].keep_back == 0, "the kept jar is opened"


def rests(grams: Mapping[str, float], generations: Mapping[str, int]) -> tuple[str, list[BatchSpec]]:
    """The way in which the bags are made where so much is left of some jars, and nothing of the others.

    There are two lots of seven jars, `SHI-G1a` and `SHI-G1b`, of the given generations.
    """
    of = season(edited(OAK, logs='{ count = 200, diameter = "13 cm", length = "1 m" }'), stock=(CULTURE,))
    told = story(of, "2027-02-11", grain(), grain("SHI-G1b"))
    lives = told.lives()
    for name, generation in generations.items():
        lives.batches[name] = replace(lives.batches[name], generation=generation)
    roots = [replace(lives.batches.pop(f"SHI-S{one}"), needed=1) for one in "abcde"][:2]
    plantings = {one.name: one for one in told.left.plantings}
    store = larder(lives, told.left, catalogue())
    store.left = {unit: grams.get(unit, 0.0) for unit in store.left}
    found = rescue(Need(told.stages("bare"), lives, store, roots, plantings, ()), 0)
    assert found is not None
    return list(WAYS)[found[0]], found[1]


def new_grain(made: list[BatchSpec]) -> dict[int | None, set[str | None]]:
    """The grain among new batches: its generation, and the units it is made from."""
    return {one.generation: set(parents(one)) for one in made if one.stage == "grain"}


def test_never_beyond_the_third_generation() -> None:
    """200 g feed no bag but start jars of 55 g; of third-generation grain they start none (Stamets 1993)."""
    for generation, wanted in ((1, 2), (2, 3), (3, None), (4, None)):
        way, made = rests({"SHI-G1a/1": 200.0}, {"SHI-G1a": generation, "SHI-G1b": 3})
        if wanted is None:
            assert way == "culture"
            assert new_grain(made)[1] == {"SHI-La/1"}
            assert not {3, 4, 5} & set(new_grain(made))
        else:
            assert way == "one more generation"
            assert new_grain(made) == {wanted: {"SHI-G1a/1"}}


def test_the_first_generation_goes_before_the_second() -> None:
    """Where jars of both could start another generation the younger line does, whichever comes first."""
    both = {"SHI-G1a/1": 200.0, "SHI-G1b/1": 200.0}
    assert new_grain(rests(both, {"SHI-G1a": 2, "SHI-G1b": 1})[1]) == {2: {"SHI-G1b/1"}}
    assert new_grain(rests(both, {"SHI-G1a": 1, "SHI-G1b": 2})[1]) == {2: {"SHI-G1a/1"}}


def test_a_generation_more_is_made_only_where_it_is_enough() -> None:
    """Six bags need three jars; 100 g start one: that is no way."""
    assert rests({"SHI-G1a/1": 100.0}, {})[0] == "culture"


def test_a_generation_more_by_turns() -> None:
    """Two rests of 120 g start two jars each."""
    way, made = rests({"SHI-G1a/1": 120.0, "SHI-G1a/2": 120.0}, {})
    assert way == "one more generation"
    assert new_grain(made) == {2: {"SHI-G1a/1", "SHI-G1a/2"}}


def test_spares_are_no_reason_to_go_farther() -> None:
    """460 g feed one bag of each of two lots, which is what is needed: the lots are made without spares."""
    way, made = rests({"SHI-G1a/1": 460.0}, {})
    assert way == "spare grain"
    assert [(one.started, one.needed) for one in made] == [(1, 1), (1, 1)]
    way, made = rests({"SHI-G1a/1": 460.0, "SHI-G1a/2": 920.0}, {})
    assert [one.started for one in made] == [3, 3], "with spares where there is grain for them"


def test_the_culture_that_was_kept_starts_again() -> None:
    """All grain lost: of 60 mL 40.5 are left, and the redo goes sparingly about them."""
    found, made = sized(jars_lost(*ALL))
    assert way_of(found) == "culture"
    again = made["SHI-G1b"]
    assert set(parents(again)) == {"SHI-La/1"}
    assert again.feed_g == pytest.approx(1.0), "the least that a quart jar takes"
    assert made["SHI-Sa"].parents == ("SHI-G1b",)
    assert not any(one.state == "bought" for one in made.values())


def test_plates_that_are_left_start_again_by_turns() -> None:
    """Four plates, one kept back, the grain is lost: the jars are made from the other three, none left out."""
    found, made = sized(jars_lost(*ALL, of=season(OAK, stock=(PLATES,))))
    assert way_of(found) == "culture"
    assert set(parents(made["SHI-G1b"])) == {f"SHI-Aa/{n}" for n in (1, 2, 3)}
    assert made["SHI-Aa"].keep_back == 1


def test_a_culture_that_turned_up_is_tested_and_starts_again() -> None:
    """The old one is lost: 40 mL from the fridge do, with a test as nobody knows whether it is clean."""
    told = story(oak(), "2027-02-11", grain(lost=ALL), NO_CULTURE, found=found_culture(amount=40.0))
    found, made = sized(told)
    assert way_of(found) == "found culture"
    (test,) = [one for one in made.values() if one.is_test]
    assert made["SHI-Lb"].state == "in hand"
    assert test.parents == made["SHI-G1b"].parents == ("SHI-Lb",)


def test_the_culture_of_the_plan_goes_before_one_that_turned_up() -> None:
    """What is known to be clean is nearer than what has to be tested."""
    told = story(oak(), "2027-02-11", grain(lost=ALL), found=found_culture(amount=40.0))
    assert way_of(sized(told)[0]) == "culture"


def test_a_found_culture_that_gives_nothing_is_passed_over() -> None:
    """1 mL is less than what is kept back and tested: a culture is ordered."""
    told = story(oak(), "2027-02-11", grain(lost=ALL), NO_CULTURE, found=found_culture(amount=1.0))
    assert way_of(sized(told)[0]) == "bought culture"


def test_with_nothing_left_a_culture_is_bought() -> None:
    """Ordered today, there after its lead time, tested, and every syringe of it used by turns."""
    found, made = sized(story(oak(), "2027-02-11", grain(lost=ALL), NO_CULTURE))
    assert way_of(found) == "bought culture"
    culture = made["SHI-Lb"]
    assert (culture.state, culture.there_on) == ("bought", day("2027-02-25"))
    assert set(parents(made["SHI-G1b"])) == set(units(culture))
    assert any(one.is_test and one.parents == ("SHI-Lb",) for one in made.values())


def test_grain_that_was_bought_is_bought_again() -> None:
    """Where the route begins with bought grain no culture is ordered."""
    of = season(edited(OAK, route='["grain", "sawdust"]'))
    found, made = sized(
        story(of, "2027-02-11", batch("SHI-G1a", received_on=day("2027-02-01"), lost=[1, 2, 3]))
    )
    assert way_of(found) == "bought culture"
    again = made["SHI-G1b"]
    assert (again.state, again.stage, again.there_on) == ("bought", "grain", day("2027-02-18"))
    assert made["SHI-Sa"].parents == ("SHI-G1b",)
    assert not any(one.stage == "liquid culture" for one in made.values())


# --- which way is taken --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("asked", "taken"),
    [
        ("spare grain", "one more generation"),
        ("one more generation", "one more generation"),
        ("culture", "culture"),
        ("found culture", "found culture"),
        ("bought culture", "bought culture"),
    ],
)
def test_nothing_nearer_than_the_way_asked_for(asked: str, taken: str) -> None:
    """Where the nearest way does not fit the calendar the next one is asked for, and taken if there is one."""
    told = story(oak(), "2027-02-11", grain(lost=range(1, 7)), found=found_culture(amount=40.0))
    assert way_of(sized(told, asked)[0]) == taken


def test_a_way_that_does_not_exist_is_passed_over() -> None:
    """Nothing turned up: after the culture in hand the next is one that is bought."""
    assert way_of(sized(jars_lost(*ALL), "found culture")[0]) == "bought culture"


def test_beyond_the_last_way_there_is_none() -> None:
    """What nothing feeds is said to be unfed."""
    found = jars_lost(*ALL).sized(len(WAYS))
    assert found.unfed
    assert found.way is None


def test_where_nothing_is_to_be_made_again_there_is_no_way() -> None:
    """Spares, and other jars as parents, are no rescue."""
    for lost in ((), (1,), (1, 2, 3), (1, 2, 3, 4)):
        found = jars_lost(*lost).sized()
        assert (found.way, found.unfed) == (None, False)


def test_a_way_that_comes_to_nothing_takes_no_name() -> None:
    """However many ways were tried, the next jars are G1b and the next bags Sc."""
    told = story(oak(), "2027-03-01", grain(lost=ALL), bags("SHI-Sa", "SHI-Sb", lost=[1, 2, 3]), NO_CULTURE)
    _, made = sized(told)
    assert {name for name, one in made.items() if one.is_to_make and not one.is_test} == {
        "SHI-G1b",
        "SHI-Sc",
        "SHI-Sd",
    }


def test_nothing_is_made_again_from_a_jar_in_doubt_while_another_will_do() -> None:
    """All bags lost, two jars on watch: the other four feed the redo."""
    told = story(oak(), "2027-03-01", grain(watch=[1, 2]), bags("SHI-Sa", "SHI-Sb", lost=[1, 2, 3]))
    _, made = sized(told, level="bare")
    assert not {"SHI-G1a/1", "SHI-G1a/2"} & set(parents(made["SHI-Sc"]))
