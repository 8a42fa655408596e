"""How finished spawn is shared out among the plantings that are left."""

from dataclasses import replace

import pytest

from scheduler.lines.living import Living
from scheduler.lines.shapes import BatchSpec, Demand
from scheduler.lines.shares import drop_unwanted, is_finished, serves, share_out
from scheduler.season.season import Planting
from tests.grower import CULTURE, OAK, TOTEMS, edited, season
from tests.lines.under_way import Story, bags, day, grain, oak, story, units

NEAR = edited(OAK, name='"Near"', best='"2027-05-01/2027-05-20"')
MANY = season(edited(OAK, logs='{ count = 200, diameter = "13 cm", length = "1 m" }'), stock=(CULTURE,))
BAG_G = 2300 * 0.88


def plantings(told: Story) -> dict[str, Planting]:
    """The plantings that are left, by name."""
    return {one.name: one for one in told.left.plantings}


def demands(told: Story, **spawn_g: float) -> dict[str, Demand]:
    """What each planting takes; or so many grams of spawn."""
    given = {name.replace("_", " "): grams for name, grams in spawn_g.items()}
    return {name: replace(one, spawn_g=given.get(name, one.spawn_g)) for name, one in told.demands.items()}


def shared(told: Story, **spawn_g: float) -> tuple[dict[str, int], dict[str, float]]:
    """What is needed of each finished batch, and what each planting misses."""
    lives = told.lives()
    missing = share_out(lives, told.left.plantings, demands(told, **spawn_g))
    finished = [b for b in lives.batches.values() if is_finished(b, told.left.plantings)]
    return {one.id: one.needed for one in finished}, missing


def test_what_is_planned_to_be_needed_goes_first() -> None:
    """Nothing happened: two bags of the first lot and one of the second, as it was planned."""
    assert shared(story(oak(), "2026-12-10")) == ({"SHI-Sa": 2, "SHI-Sb": 1}, {"Oak stack": 0.0})


def test_spares_of_what_grows_go_before_what_is_still_to_be_made() -> None:
    """One bag of the first lot is lost: the spare of that lot steps in, and nothing is asked of the second."""
    told = story(oak(), "2027-02-20", grain(), bags("SHI-Sa", lost=[1]))
    assert shared(told)[0] == {"SHI-Sa": 2, "SHI-Sb": 1}
    told = story(oak(), "2027-02-20", grain(), bags("SHI-Sa"))
    assert shared(told, Oak_stack=4 * BAG_G)[0] == {"SHI-Sa": 3, "SHI-Sb": 1}


def test_spares_of_what_is_still_to_be_made_go_last() -> None:
    """The first lot is gone: all that is needed comes from the three of the second."""
    told = story(oak(), "2027-02-20", grain(), bags("SHI-Sa", lost=[1, 2, 3]))
    assert shared(told) == ({"SHI-Sb": 3}, {"Oak stack": 0.0})


def test_what_is_missing_is_told_in_grams() -> None:
    """Two bags are left and 5374 g are wanted: what two bags do not give is missing, to the gram."""
    told = story(oak(), "2027-02-20", grain(), bags("SHI-Sa", lost=[1, 2, 3]), bags("SHI-Sb", lost=[1]))
    needed, missing = shared(told)
    assert needed == {"SHI-Sb": 2}
    assert missing["Oak stack"] == pytest.approx(demands(told)["Oak stack"].spawn_g - 2 * BAG_G)


def test_more_than_enough_is_spare() -> None:
    """What a planting no longer takes is not needed."""
    told = story(oak(), "2027-04-01", grain(), bags("SHI-Sa", "SHI-Sb"))
    assert shared(told, Oak_stack=1.0)[0] == {"SHI-Sa": 1, "SHI-Sb": 0}
    assert shared(told, Oak_stack=0.0)[0] == {"SHI-Sa": 0, "SHI-Sb": 0}


def test_bags_belong_to_their_planting() -> None:
    """Two stacks: the bags of one do not fill the hole of the other."""
    told = story(oak(NEAR), "2027-04-01")
    lives = told.lives()
    near = [one.id for one in lives.batches.values() if one.plantings == ("Near",)]
    for name in near:
        del lives.batches[name]
    missing = share_out(lives, told.left.plantings, demands(told))
    assert missing["Oak stack"] == 0.0
    assert missing["Near"] == pytest.approx(demands(told)["Near"].spawn_g)


def of_stage(stage: str) -> BatchSpec:
    """A batch of the oak stack in another stage."""
    first = next(one for one in story(oak(), "2026-12-10").planned.batches() if one.stage == "sawdust")
    return replace(first, stage=stage)


@pytest.mark.parametrize(
    ("stage", "finished"),
    [
        ("sawdust", True),
        ("pellet", True),
        ("chips", True),
        ("dowels", False),
        ("grain", False),
        ("liquid culture", False),
    ],
)
def test_what_is_planted_is_finished(stage: str, finished: bool) -> None:
    """Pellet stands for sawdust spawn and own chips do too; grain is on its way, dowels fit other holes."""
    (planting,) = oak().plantings
    assert serves(of_stage(stage), planting) == finished
    assert not serves(replace(of_stage(stage), plantings=("Other",)), planting)


# --- unwanted ------------------------------------------------------------------------------------------------


def kept(told: Story, wanted: dict[str, Planting] | None = None, **spawn_g: float) -> Living:
    """What lives once what nobody wants is left out."""
    lives = told.lives()
    drop_unwanted(lives, plantings(told) if wanted is None else wanted, demands(told, **spawn_g))
    return lives


def test_what_is_for_a_planting_that_is_over_is_dropped() -> None:
    """Batches that serve no other go with it; grain that serves both stays with the one that is left."""
    told = story(oak(NEAR), "2027-04-26")
    lives = kept(told, {"Near": plantings(told)["Near"]})
    assert {one.plantings for one in lives.batches.values()} == {("Near",)}
    assert any(one.stage == "grain" for one in lives.batches.values())
    assert not any(one.plantings == ("Oak stack",) for one in lives.batches.values())


def test_a_planting_bought_instead_makes_no_bags() -> None:
    """From now on spawn is bought: bags that are not made yet fall away, bags that grow are used."""
    told = story(oak(), "2027-02-20", grain(), bags("SHI-Sa"))
    buys = {name: replace(one, spawn="buy") for name, one in plantings(told).items()}
    lives = kept(told, buys)
    assert "SHI-Sb" not in lives.batches
    assert "SHI-Sa" in lives.batches


def test_half_planted_needs_fewer_bags() -> None:
    """For half of the logs only what is needed of what is still to be made goes, spares and what grows stay."""
    told = story(MANY, "2027-02-11", grain(), grain("SHI-G1b"))
    before = sum(one.needed for one in told.planned.batches() if one.stage == "sawdust")
    lives = kept(told, Oak_stack=4.5 * BAG_G)
    bags_left = [one for one in lives.batches.values() if one.stage == "sawdust"]
    assert before == 9
    assert sum(one.needed for one in bags_left) == 5
    for one in bags_left:
        assert one.started == len(units(one)) >= one.needed > 0


def test_bags_that_grow_are_never_dropped() -> None:
    """However little is still wanted."""
    told = story(oak(), "2027-03-20", grain(), bags("SHI-Sa", "SHI-Sb"))
    lives = kept(told, Oak_stack=1.0)
    assert [lives.batches[name].started for name in ("SHI-Sa", "SHI-Sb")] == [3, 3]


def test_nothing_is_dropped_where_all_is_wanted() -> None:
    """As planned, nothing changes; a planting that misses something drops nothing either."""
    for told in (
        story(oak(TOTEMS), "2026-12-10"),
        story(oak(), "2027-02-20", grain(), bags("SHI-Sa", lost=[1, 2])),
    ):
        assert kept(told).batches.keys() == told.lives().batches.keys()


def test_the_day_is_no_matter() -> None:
    """What is shared out hangs on what lives, and not on today."""
    facts = (grain(), bags("SHI-Sa", lost=[1]))
    assert shared(story(oak(), "2027-02-20", *facts)) == shared(
        replace(story(oak(), "2027-02-20", *facts), on=str(day("2027-03-30")))
    )
