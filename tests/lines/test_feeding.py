"""Who feeds what is still to be made: the planned parent where it lives, another one by turns where it does not."""

from collections import Counter

import pytest

from scheduler.lines.feeding import Larder, fed_by, feed, larder
from scheduler.lines.shapes import BatchSpec
from scheduler.season.season import Season
from tests.grower import CULTURE, OAK, TOTEMS, catalogue, edited, season
from tests.lines.under_way import Story, bags, batch, day, grain, oak, parents, story, units

MANY = season(edited(OAK, logs='{ count = 200, diameter = "13 cm", length = "1 m" }'), stock=(CULTURE,))
"""Two lots of seven jars, fourteen bags from them."""

CAME = day("2026-12-12")
"""The day on which bought syringes came."""


def fed(told: Story) -> tuple[dict[str, BatchSpec], list[str], Larder]:
    """The batches once all are fed, those that nothing feeds, and what is left to give."""
    lives = told.lives()
    store = larder(lives, told.left, catalogue())
    hungry = feed(lives, store)
    return lives.batches, [one.id for one in hungry], store


def of_jars(*lost: int, of: Season | None = None, **more: object) -> Story:
    """The grain is ready, and some jars of it are lost."""
    return story(of or oak(), "2027-02-11", grain(lost=lost, **more))  # type: ignore[arg-type]


# --- the larder ----------------------------------------------------------------------------------------------


def test_the_larder_holds_what_can_be_passed_on() -> None:
    """90 % of 550 g of grain; of 60 mL all but the 2 mL kept back, less 2.5 mL for each of seven jars."""
    _, _, store = fed(story(oak(), "2027-02-11", grain(), bags("SHI-Sa", "SHI-Sb")))
    assert store.left["SHI-La/1"] == pytest.approx(60 - 2 - 17.5)
    assert {store.left[f"SHI-G1a/{n}"] for n in range(1, 7)} == {495.0 - 230.0}
    assert store.left["SHI-G1a/7"] == 495.0
    assert store.kept == {"SHI-G1a/7"}


def test_what_does_not_keep_feeds_nothing() -> None:
    """Grain of 10 February keeps 56 days: it feeds on 7 April, and no more on the 8th."""
    for on, holds in (("2027-04-07", True), ("2027-04-08", False)):
        told = story(oak(), on, grain())
        assert ("SHI-G1a/1" in larder(told.lives(), told.left, catalogue()).left) == holds


def test_plates_of_a_test_feed_nothing() -> None:
    """They are read and thrown away."""
    told = story(season(OAK, stock=(edited(CULTURE, tested="false"),)), "2026-12-20")
    assert not any(name.startswith("SHI-A") for name in larder(told.lives(), told.left, catalogue()).left)


def test_trying_something_out_takes_nothing() -> None:
    """A copy of the larder is given away freely."""
    _, _, store = fed(of_jars())
    copy = store.copy()
    copy.take("SHI-G1a/7", 400.0)
    copy.kept.clear()
    assert store.left["SHI-G1a/7"] == 495.0
    assert store.kept == {"SHI-G1a/7"}


def test_a_jar_gives_to_the_last_gram() -> None:
    """Two bags of 247.5 g make 495 g: no rounding keeps the second from its grain."""
    store = Larder({"a": 0.1 + 0.2}, {"a": "A"}, set())
    assert store.feeds("a", 0.3)
    assert not store.feeds("a", 0.31)
    assert not store.feeds("unknown", 0.1)


# --- parents -------------------------------------------------------------------------------------------------


def test_without_losses_everything_keeps_its_parents() -> None:
    """Nothing is dealt out anew where nothing is lost."""
    told = story(MANY, "2027-02-11", grain(), grain("SHI-G1b"))
    planned = {one.id: parents(one) for one in told.planned.batches() if one.growth}
    batches, hungry, _ = fed(told)
    assert hungry == []
    assert {name: parents(one) for name, one in batches.items() if one.growth} == planned


def test_children_of_a_lost_unit_get_another_parent_and_the_others_keep_theirs() -> None:
    """Jar 2 is lost: the bag that was to be made from it comes from another jar, all others from their own."""
    batches, _, _ = fed(of_jars(2))
    assert parents(batches["SHI-Sb"]) == ["SHI-G1a/4", "SHI-G1a/5", "SHI-G1a/6"]
    first, second, third = parents(batches["SHI-Sa"])
    assert (first, third) == ("SHI-G1a/1", "SHI-G1a/3")
    assert second in {"SHI-G1a/4", "SHI-G1a/5", "SHI-G1a/6"}, (
        "not from the jar of a sister, nor the one kept back"
    )


def test_what_grows_keeps_its_parent_even_if_that_is_lost() -> None:
    """A bag that was made from a jar that went green afterwards was made from it all the same."""
    batches, _, _ = fed(story(oak(), "2027-02-20", grain(lost=[2]), bags("SHI-Sa")))
    assert parents(batches["SHI-Sa"]) == ["SHI-G1a/1", "SHI-G1a/2", "SHI-G1a/3"]


@pytest.mark.parametrize("lost", [(1,), (2, 3), (1, 4), (1, 2, 3), (4, 5, 6), (2, 4, 6)])
def test_parents_take_turns(lost: tuple[int, ...]) -> None:
    """While each jar can feed two bags, no batch comes from one jar where two could feed it, nor any jar thrice."""
    batches, hungry, _ = fed(of_jars(*lost))
    assert hungry == []
    for name in ("SHI-Sa", "SHI-Sb"):
        times = Counter(parents(batches[name]))
        assert max(times.values()) == 1, name
        assert "SHI-G1a/7" not in times
    everything = Counter(parents(batches["SHI-Sa"]) + parents(batches["SHI-Sb"]))
    assert max(everything.values()) <= 2


def test_the_own_batch_goes_before_another() -> None:
    """What is left of the planned lot of grain is asked before the other lot."""
    batches, _, _ = fed(story(MANY, "2027-02-11", grain(lost=[1]), grain("SHI-G1b")))
    assert all(str(parent).startswith("SHI-G1a") for parent in parents(batches["SHI-Sa"]))
    assert parents(batches["SHI-Sc"]) == ["SHI-G1b/1", "SHI-G1b/2", "SHI-G1b/3"]


def test_a_whole_lot_lost_is_fed_by_the_other() -> None:
    """Seven jars for fourteen bags: two a jar, and the lot that is gone is nobody's parent any more."""
    batches, hungry, _ = fed(story(MANY, "2027-02-11", grain(lost=range(1, 8)), grain("SHI-G1b")))
    assert hungry == []
    all_bags = [batches[f"SHI-S{letter}"] for letter in "abcde"]
    assert Counter(parents(*all_bags)) == {f"SHI-G1b/{n}": 2 for n in range(1, 8)}
    assert {one.parents for one in all_bags} == {("SHI-G1b",)}


def test_a_unit_in_doubt_feeds_only_where_no_other_can() -> None:
    """Two jars on watch: their bags come from others; with all the others lost they are better than nothing."""
    batches, _, _ = fed(of_jars(watch=[1, 2]))
    assert not {"SHI-G1a/1", "SHI-G1a/2"} & set(parents(batches["SHI-Sa"], batches["SHI-Sb"]))
    batches, _, _ = fed(of_jars(3, 4, 5, 6, watch=[1, 2]))
    assert set(parents(batches["SHI-Sa"], batches["SHI-Sb"])) == {"SHI-G1a/1", "SHI-G1a/2"}


def test_what_is_kept_back_feeds_nothing_by_itself() -> None:
    """Four jars lost: the two left feed four bags, and the seventh stays for a redo."""
    batches, _, _ = fed(of_jars(1, 2, 3, 4))
    both = Counter(parents(batches["SHI-Sa"], batches["SHI-Sb"]))
    assert both == {"SHI-G1a/5": 2, "SHI-G1a/6": 2}


def test_a_partly_fed_batch_is_made_of_what_is_fed() -> None:
    """Of the second lot one bag is fed: it is a lot of one, under its own number, and the first is whole."""
    batches, hungry, _ = fed(of_jars(1, 2, 3, 4))
    assert hungry == []
    assert [batches[name].started for name in ("SHI-Sa", "SHI-Sb")] == [3, 1]
    assert units(batches["SHI-Sb"]) == ["SHI-Sb/3"], "the one whose jar lives"
    assert batches["SHI-Sb"].needed == 1


def test_a_batch_that_nothing_feeds_is_handed_back() -> None:
    """One jar is left beside the kept one: two bags are fed, and the other lot is hungry."""
    batches, hungry, _ = fed(of_jars(1, 2, 3, 4, 5))
    assert hungry == ["SHI-Sb"]
    assert "SHI-Sb" not in batches
    assert (batches["SHI-Sa"].started, batches["SHI-Sa"].needed) == (2, 2)


def test_what_is_not_made_feeds_nobody() -> None:
    """The culture is lost before anything was made: the jars are hungry, and so are the bags behind them."""
    _, hungry, store = fed(story(oak(), "2027-01-10", batch("SHI-La", lost=[1])))
    assert hungry == ["SHI-G1a", "SHI-Sa", "SHI-Sb"]
    assert store.left == {}


def test_a_missing_unit_is_no_parent() -> None:
    """Where one jar of three is not made after all, the bags come from the two that are."""
    told = story(oak(), "2027-01-10")
    lives = told.lives()
    store = larder(lives, told.left, catalogue())
    store.left["SHI-La/1"] = 5.0
    feed(lives, store)
    assert units(lives.batches["SHI-G1a"]) == ["SHI-G1a/1", "SHI-G1a/2"]
    assert set(parents(lives.batches["SHI-Sa"])) <= {"SHI-G1a/1", "SHI-G1a/2"}


def test_needed_goes_before_kept_back() -> None:
    """Grain for three and one to keep: of three jars that are fed all are needed, of four one is kept."""
    told = story(oak(), "2027-01-10")
    lives = told.lives()
    for millilitres, needed, keep_back in ((7.5, 3, 0), (10.0, 3, 1), (5.0, 2, 0)):
        store = larder(lives, told.left, catalogue())
        store.left["SHI-La/1"] = millilitres
        found = fed_by(lives.batches["SHI-G1a"], store, ["SHI-La"])
        assert found is not None
        assert (found.needed, found.keep_back) == (needed, keep_back)


def test_another_culture_of_the_same_kind_feeds_the_jars() -> None:
    """One of four syringes is lost: its jars come from the other three, by turns."""
    told = story(season(TOTEMS), "2027-01-10", batch("OYS-La", received_on=CAME, lost=[3]))
    batches, hungry, _ = fed(told)
    assert hungry == []
    times = Counter(parents(batches["OYS-G1a"], batches["OYS-G1b"]))
    assert set(times) == {"OYS-La/1", "OYS-La/2", "OYS-La/4"}
    # 10 mL less what is kept back start three jars each: nine of twelve.
    assert set(times.values()) == {3}


def test_a_test_keeps_to_its_own_culture() -> None:
    """The plates of a lost syringe are not poured from another one: that has its own."""
    told = story(season(TOTEMS), "2026-12-15", batch("OYS-La", received_on=CAME, lost=[3]))
    batches, _, _ = fed(told)
    test = batches["OYS-Aa"]
    assert units(test) == [f"OYS-Aa/{n}" for n in (1, 2, 4, 5, 6, 8)]
    assert parents(test) == [f"OYS-La/{n}" for n in (1, 2, 4, 1, 2, 4)]


def test_the_kept_jar_is_given_only_where_it_is_asked_for_and_last() -> None:
    """Asked for, it feeds what the others cannot."""
    told = of_jars(1, 2, 3, 4, 5)
    lives = told.lives()
    root = lives.batches["SHI-Sb"]
    store = larder(lives, told.left, catalogue())
    without = fed_by(root, store.copy(), ["SHI-G1a"])
    asked = fed_by(root, store.copy(), ["SHI-G1a"], kept=True)
    assert without is not None
    assert asked is not None
    assert parents(without) == ["SHI-G1a/6", "SHI-G1a/6"]
    assert Counter(parents(asked)) == {"SHI-G1a/6": 2, "SHI-G1a/7": 1}
