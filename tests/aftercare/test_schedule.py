"""The care of what stands: what is given to which method, when, and with which words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest

from scheduler.aftercare.picking import last_day, life
from scheduler.aftercare.reserved import reserved
from scheduler.aftercare.schedule import Item, schedule
from scheduler.aftercare.year import part_of
from scheduler.season.season import Standing
from tests.aftercare.stands import BED, CATALOGUE, OAK, STUMP, every_kind


def _items(standing: Standing, latitude: float = 50.0, *, tank: bool = True) -> tuple[Item, ...]:
    return schedule(standing, CATALOGUE, latitude, tank=tank, units="metric")


def _kinds(standing: Standing, **more: bool) -> set[str]:
    return {item.kind for item in _items(standing, **more)}


@pytest.mark.parametrize("standing", every_kind(), ids=lambda one: f"{one.species} {one.method}")
@pytest.mark.parametrize("latitude", [50.0, -38.0])
def test_all_care_lies_between_planting_and_the_end(standing: Standing, latitude: float) -> None:
    """Every item has a span, none before planting, keys are its own, and no word is left unfilled."""
    items = _items(standing, latitude)
    end = life(standing, CATALOGUE, latitude).ends[1]
    assert len({item.key for item in items}) == len(items)
    for item in items:
        assert (
            standing.planted
            < item.first
            <= item.last
            <= max(end, last_day(life(standing, CATALOGUE, latitude)))
        )
        assert item.minutes > 0
        assert not any("{" in text for text in (item.title, item.why, *item.steps))
    assert {"look-after", "pick", "retire"} <= {item.kind for item in items}


def test_each_method_has_its_own_care() -> None:
    """Logs are turned, weighed and watered; beds covered, uncovered and topped up; stumps only watered."""
    assert {"turn", "weigh", "water", "cover"} <= _kinds(OAK)
    assert {"top-up", "cover", "uncover", "water"} <= _kinds(BED)
    assert not {"turn", "weigh"} & _kinds(BED)
    assert not {"turn", "weigh", "top-up", "soak-logs"} & _kinds(STUMP)


def test_flushes_are_forced_only_of_strains_that_answer_and_with_a_tank() -> None:
    """Cold-weather shiitake, oyster and what has no tank fruit by themselves (common practice)."""
    assert "soak-logs" in _kinds(OAK)
    assert "soak-logs" not in _kinds(OAK, tank=False)
    assert "soak-logs" not in _kinds(replace(OAK, strain="cold"))
    assert "soak-logs" not in _kinds(replace(OAK, species="nameko", strain="house"))
    assert "soak-logs" not in _kinds(replace(OAK, method="log raft"))
    forced = [item.first for item in _items(OAK) if item.kind == "soak-logs"]
    assert min(forced) >= OAK.planted + timedelta(days=365)


def test_new_logs_of_autumn_are_covered_against_frost() -> None:
    """Five weeks without a hard freeze (common practice): what is planted in spring needs no cover at once."""

    def first_cover(planted: date) -> date:
        return min(i.first for i in _items(replace(OAK, planted=planted)) if i.kind == "cover")

    assert first_cover(date(2027, 10, 2)) == date(2027, 10, 5)
    assert first_cover(date(2027, 4, 17)) == date(2027, 10, 16)


def test_care_of_the_south_lies_half_a_year_on() -> None:
    """Beds are covered in late autumn and watered in the warm half of the year on both sides of the equator."""
    for latitude in (50.0, -38.0):
        for item in _items(BED, latitude):
            if item.kind == "cover":
                assert part_of(item.first, latitude) == "late autumn"
            if item.kind == "top-up":
                assert part_of(item.first, latitude) == "late spring"


def test_lengths_follow_the_units_of_the_season() -> None:
    """An inch of rain is what was published; metric growers read 25 mm."""
    metric = {item.title for item in _items(OAK)}
    imperial = {item.title for item in schedule(OAK, CATALOGUE, 50.0, tank=True, units="imperial")}
    assert "Water Brook stack after each week with less than 25 mm of rain" in metric
    assert "Water Brook stack after each week with less than 1 in of rain" in imperial


def test_picking_names_what_must_not_be_taken_for_it() -> None:
    """Every look-alike of the species stands in the steps of each picking, with its danger."""
    for item in _items(OAK):
        if item.kind == "pick":
            told = " ".join(item.steps)
            for name, other in CATALOGUE.species["shiitake"].look_alikes.items():
                assert f"{name} ({other.danger})" in told


def test_long_pickings_are_reserved_flush_by_flush() -> None:
    """The stretches of a picking follow each other from its first day to its last, without a gap."""
    (item,) = [item for item in _items(OAK) if item.key == "pick:2-1"]
    found = list(reserved("Brook stack", [item], item.first, item.last))
    assert found[0].first == item.first and found[-1].last == item.last
    assert all(one.last + timedelta(days=1) == other.first for one, other in pairwise(found))
    assert [one.name for one in found[:2]] == [
        "Brook stack:care:pick:2-1.1",
        "Brook stack:care:pick:2-1.2",
    ]


def test_small_care_is_not_reserved() -> None:
    """Looking, weighing and watering are done on any day."""
    names = {one.item.kind for one in reserved("x", _items(OAK), date(2027, 1, 1), date(2040, 1, 1))}
    assert names == {"turn", "soak-logs", "pick"}
