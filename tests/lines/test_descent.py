"""Who is made from whom: whole, even, and never from a unit that is kept back."""

from collections import Counter
from dataclasses import replace

from hypothesis import assume, given
from hypothesis import strategies as st

from scheduler.lines.descent import descend, even
from scheduler.lines.shapes import BatchSpec
from scheduler.plan import Unit
from tests.grower import line, season, stage

SAWDUST = stage(line(season()), "sawdust")[0]


def batch(name: str, units: int, keep_back: int = 0) -> BatchSpec:
    """A batch of so many units."""
    ids = tuple(Unit(f"{name}/{number + 1}", None) for number in range(units))
    return replace(SAWDUST, id=name, started=units, keep_back=keep_back, units=ids, parents=())


def family(jars: list[tuple[int, int]], bags: list[int]) -> tuple[list[BatchSpec], list[BatchSpec]]:
    """Parent batches of (giving, kept-back) units, and child batches."""
    return (
        [batch(f"G{at}", giving + kept, kept) for at, (giving, kept) in enumerate(jars)],
        [batch(f"S{at}", units) for at, units in enumerate(bags)],
    )


parents_and_children = (
    st.lists(st.tuples(st.integers(0, 6), st.integers(0, 1)), min_size=1, max_size=4).filter(
        lambda jars: any(giving for giving, _ in jars)
    ),
    st.lists(st.integers(1, 9), min_size=1, max_size=5),
)


@given(*parents_and_children)
def test_every_child_has_one_parent_that_gives(jars: list[tuple[int, int]], bags: list[int]) -> None:
    """Each unit names a unit that is not kept back; each batch names just the batches its units come from."""
    parents, children = family(jars, bags)
    givers = {unit.id for p in parents for unit in p.units[: p.started - p.keep_back]}
    for before, after in zip(children, descend(parents, children), strict=True):
        assert [unit.id for unit in after.units] == [unit.id for unit in before.units]
        assert {unit.parent for unit in after.units} <= givers
        assert set(after.parents) == {str(unit.parent).split("/")[0] for unit in after.units}
        assert replace(after, units=before.units, parents=()) == before


@given(*parents_and_children, st.integers(1, 4))
def test_no_unit_gives_more_than_it_has(jars: list[tuple[int, int]], bags: list[int], each: int) -> None:
    """Where all units together feed all children, no single one is asked for more than its share."""
    parents, children = family(jars, bags)
    assume(sum(bags) <= each * sum(giving for giving, _ in jars))
    given_out = Counter(unit.parent for child in descend(parents, children) for unit in child.units)
    assert max(given_out.values()) <= each


@given(*parents_and_children)
def test_a_stage_never_hangs_on_one_unit(jars: list[tuple[int, int]], bags: list[int]) -> None:
    """Two children come from two units wherever there are two; a batch too, where its parents have two."""
    parents, children = family(jars, bags)
    descended = descend(parents, children)
    used = {unit.parent for child in descended for unit in child.units}
    if sum(bags) > 1 and sum(giving for giving, _ in jars) > 1:
        assert len(used) > 1
    for child in descended:
        could = [u for p in parents if p.id in child.parents for u in p.units[: p.started - p.keep_back]]
        if child.started > 1 and len(could) > 1:
            assert len({unit.parent for unit in child.units}) > 1


@given(*parents_and_children)
def test_units_of_a_batch_take_turns(jars: list[tuple[int, int]], bags: list[int]) -> None:
    """Units of one parent batch differ by one child at most."""
    parents, children = family(jars, bags)
    given_out = Counter(unit.parent for child in descend(parents, children) for unit in child.units)
    for parent in parents:
        counts = [given_out[unit.id] for unit in parent.units[: parent.started - parent.keep_back]]
        assert not counts or max(counts) - min(counts) <= 1
        assert all(given_out[unit.id] == 0 for unit in parent.units[parent.started - parent.keep_back :])


@given(st.lists(st.integers(0, 9), min_size=1, max_size=6), st.data())
def test_even_fills_no_place_over_its_room(rooms: list[int], data: st.DataObject) -> None:
    """Everything is dealt, nothing beyond the room there is, and equal places differ by one at most."""
    total = data.draw(st.integers(0, sum(rooms)))
    dealt = even(total, rooms)
    assert sum(dealt) == total
    assert all(got <= room for got, room in zip(dealt, rooms, strict=True))
    for size in set(rooms):
        same = [got for got, room in zip(dealt, rooms, strict=True) if room == size]
        assert max(same) - min(same) <= 1
