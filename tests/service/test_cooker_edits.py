"""Other ways to heat-treat: which are offered to whom, and how long somebody then has to be at home."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import ceil

import pytest

from scheduler.season.season import Planting, Season
from scheduler.service.cooker_edits import another_cooker, another_load, steam_drum, tub
from scheduler.service.edit import Edit, Family
from scheduler.trade.catalogue import Catalogue
from tests.grower import BED, OAK, SITE, TOTEMS, catalogue, edited, season

Maker = Callable[[Season, Catalogue, list[Planting]], Iterator[Family]]

DRUM = '[[lab.cooker]]\nkind = "steam drum"\nholds = { "2.3 kg bag" = 12 }\n'
POT = '[[lab.cooker]]\nkind = "pressure cooker"\nholds = { "quart jar" = 7, "2.3 kg bag" = 3 }\n'
BAG_LOAD = 45 + 150 + 75
"""Minutes beside a load of 2.3 kg bags at sea level, by the catalogue: to the heat, at it, and down again."""


def offered(make: Maker, of: Season) -> list[Edit]:
    """All amounts of all families that a maker has for a season."""
    return [edit for family in make(of, catalogue(), list(of.plantings)) for edit in family.edits]


def test_a_tub_takes_the_pellets_of_oyster_and_wine_cap() -> None:
    """No cooker holds the bags any more, and what was to be sawdust is pellets."""
    of = season(edited(TOTEMS, route='["liquid culture", "grain", "sawdust"]'), BED)
    [edit] = offered(tub, of)
    assert [planting.route[-1] for planting in edit.season.plantings] == ["pellet", "pellet"]
    assert [set(cooker.holds) for cooker in edit.season.lab.cookers] == [{"quart jar"}]


@pytest.mark.parametrize(
    "of",
    [
        season(TOTEMS, OAK),
        season(TOTEMS, lab='grain_in = "2.3 kg bag"'),
        season(TOTEMS, lab='spawn_in = "half-gallon jar"'),
        season(TOTEMS, lab=POT.replace(', "2.3 kg bag" = 3', "")),
        season(edited(TOTEMS, spawn='"buy"')),
    ],
    ids=["shiitake in the same bags", "grain in the same bags", "jars", "a tub already", "all bought"],
)
def test_no_tub_where_something_else_needs_a_cooker(of: Season) -> None:
    """Boiling water is enough for pellets in bags alone, and the season file has one way for all bags."""
    assert offered(tub, of) == []


def test_bought_spawn_does_not_stand_in_the_way_of_a_tub() -> None:
    """Shiitake that is bought is treated by nobody here."""
    assert len(offered(tub, season(TOTEMS, edited(OAK, spawn='"buy"')))) == 1


def test_a_drum_is_borrowed_where_there_is_none() -> None:
    """It holds what the catalogue says, and takes somebody's whole day."""
    [edit] = offered(steam_drum, season(OAK))
    drum = edit.season.lab.cookers[-1]
    box = catalogue().lab.container["2.3 kg bag"]
    assert box.drum_holds
    assert (drum.kind, drum.holds) == ("steam drum", {"2.3 kg bag": round(box.drum_holds.likely)})
    assert min(edit.season.people.home_minutes[day] for day in ("wed", "sat", "sun")) >= 16 * 60
    assert offered(steam_drum, season(OAK, lab=POT + DRUM)) == []
    assert offered(steam_drum, season(OAK, lab='spawn_in = "half-gallon jar"')) == []


def test_more_loads_keep_somebody_at_home_for_as_long_as_they_take() -> None:
    """Whole hours of all loads of the day; higher up, where a cooker takes longer, more of them."""
    people = "hours = { sat = 4 }\nhome = { sat = 5 }"
    hours = [
        edit.season.people.home_minutes["sat"] for edit in offered(another_load, season(OAK, people=people))
    ]
    assert hours == [60 * ceil(loads * BAG_LOAD / 60) for loads in (2, 3, 4)]
    [high, *_] = offered(another_load, season(OAK, people=people, site=SITE + 'elevation = "2500 m"'))
    assert high.season.people.home_minutes["sat"] > hours[0]


def test_a_borrowed_cooker_comes_first_with_the_hours_of_one_load() -> None:
    """Then with those of both, then with more of its kind; days without work stay as they are."""
    of = season(OAK, people="hours = { sat = 4 }\nhome = { sat = 4, sun = 3 }")
    found = [
        (len(edit.season.lab.cookers), edit.season.people.home_minutes)
        for edit in offered(another_cooker, of)
    ]
    times = [60 * ceil(loads * BAG_LOAD / 60) for loads in (1, 2, 3, 4)]
    assert found == [(n, {"sat": time, "sun": 180}) for n, time in zip((2, 2, 3, 4), times, strict=True)]


def test_every_cooker_may_be_the_one_that_is_short() -> None:
    """Each has more loads and a twin of its own, named by its number."""
    of = season(OAK, lab=POT + DRUM)
    assert [edit.amount for edit in offered(another_load, of)][::3] == [
        "1 more a day in the pressure cooker 1",
        "1 more a day in the steam drum 2",
    ]
    kinds = {edit.season.lab.cookers[-1].kind for edit in offered(another_cooker, of)}
    assert kinds == {"pressure cooker", "steam drum"}
