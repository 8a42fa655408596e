"""Transfers since the master, along the family tree."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.lines.shapes import Line
from scheduler.lines.transfers import counted, since_known
from tests.grower import CULTURE, OAK, edited, line, season
from tests.lines.under_way import batch, grain, oak, story

PLATES = """
species  = "shiitake"
stage    = "plate"
units    = 2
received = 2026-11-20
"""
LARGE = edited(OAK, logs='{ count = 500, diameter = "13 cm", length = "1 m" }')


def by_stage(of: Line) -> dict[str, int | None]:
    """Transfers by stage, and generation for grain; tests apart."""
    return {
        ("test" if b.is_test else b.stage) + (f" G{b.generation}" if b.generation else ""): b.transfers
        for b in of.batches
    }


@pytest.mark.parametrize(
    ("stock", "found"),
    [
        (edited(CULTURE, transfers="2"), {"liquid culture": 2, "grain G1": 3, "sawdust": 3}),
        (edited(CULTURE, transfers="0"), {"liquid culture": 0, "grain G1": 1, "sawdust": 1}),
        (
            edited(CULTURE, transfers="2", tested="false"),
            {"liquid culture": 2, "test": 2, "grain G1": 3, "sawdust": 3},
        ),
        (edited(PLATES, transfers="4"), {"plate": 4, "grain G1": 5, "sawdust": 5}),
        (CULTURE, {"liquid culture": None, "grain G1": None, "sawdust": None}),
    ],
    ids=["syringe", "master", "untested", "plates", "unknown"],
)
def test_each_move_adds_one_and_finished_spawn_none(stock: str, found: dict[str, int | None]) -> None:
    """Culture to grain is a move; the last step is planted, and a test is thrown away."""
    assert by_stage(line(season(stock=(stock,)))) == found


def test_a_slant_goes_over_fresh_plates() -> None:
    """Slant, plate, grain: two moves."""
    slant = edited(PLATES, stage='"slant"', transfers="1")
    found = line(season(stock=(slant,)))
    assert [b.transfers for b in found.batches if b.stage == "slant"] == [1]
    assert [b.transfers for b in found.batches if b.stage == "plate" and not b.is_test] == [2]
    assert {b.transfers for b in found.batches if b.stage in ("grain", "sawdust")} == {3}


def test_what_is_bought_counts_from_the_day_it_comes() -> None:
    """A bought culture is the grower's master; bought grain as well."""
    assert by_stage(line(season())) == {"liquid culture": 0, "test": 0, "grain G1": 1, "sawdust": 1}
    bought = line(season(edited(OAK, route='["grain", "sawdust"]')))
    assert by_stage(bought) == {"grain G1": 0, "sawdust": 0}


def test_generations_of_grain_add_up() -> None:
    """Too little culture for the jars goes over more generations, each a transfer."""
    small = edited(CULTURE, amount='"8 mL"', transfers="3")
    soon = edited(LARGE, window='"2027-03-20/2027-05-30"', best='"2027-03-20/2027-05-16"')
    found = line(season(soon, stock=(small,)))
    known = [b for b in found.batches if b.transfers is not None and not b.is_test]
    assert known
    for b in known:
        if b.stage == "grain" and b.generation:
            own = min(o.transfers or 0 for o in known if o.stage == "grain" and o.generation == 1)
            assert b.transfers == own + b.generation - 1


def test_of_several_parents_the_farthest_counts() -> None:
    """Grain from two syringes is as far as the older one; beside an unknown one nobody knows."""
    two = season(
        LARGE,
        stock=(edited(CULTURE, transfers="1"), edited(CULTURE, transfers="6", amount='"59 mL"')),
    )
    jars = [b for b in line(two).batches if b.stage == "grain"]
    assert {len(b.parents) for b in jars} != {1} or len({b.parents for b in jars}) > 1
    behind = {b.id: b.transfers or 0 for b in line(two).batches}
    for jar in jars:
        assert jar.transfers == max(behind[name] for name in jar.parents) + 1
    half = season(LARGE, stock=(edited(CULTURE, transfers="1"), edited(CULTURE, amount='"59 mL"')))
    mixed = [b for b in line(half).batches if b.stage == "grain" and len(b.parents) > 1]
    assert all(b.transfers is None for b in mixed)


def test_a_season_under_way_remembers_what_is_gone() -> None:
    """The syringe is used up; its grain and the bags still to be made know how far they are."""
    a = oak(stock=(edited(CULTURE, transfers="2"),))
    used = story(a, "2027-02-12", grain(), batch("SHI-La", used=[1]))
    found = used.line()
    assert "SHI-La" not in {b.id for b in found.batches}
    assert {b.transfers for b in found.batches} == {3}


@given(transfers=st.integers(0, 100))
def test_counting_again_changes_nothing(transfers: int) -> None:
    """It is a sum along the tree, from whatever number it begins with."""
    found = line(season(stock=(edited(CULTURE, transfers=str(transfers)),)))
    assert tuple(counted(found.batches)) == found.batches
    steps = since_known(found.batches)
    assert all(b.transfers == transfers + steps[b.id] for b in found.batches)
