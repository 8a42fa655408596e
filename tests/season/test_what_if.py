"""What is tried with a season: every combination once, in the order that is written, as the file would say it."""

from __future__ import annotations

import tomllib
from datetime import date
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.errors import UsageError
from scheduler.season.notation import Document, apply
from scheduler.season.what_if import Choice, WhatIf, choice, combined, count, from_text, from_toml

VALUES = st.lists(st.integers(0, 99), min_size=1, max_size=4, unique=True)


@settings(deadline=None)
@given(st.lists(VALUES, max_size=4))
def test_every_combination_comes_once_in_order(values: list[list[int]]) -> None:
    """The last place changes first; no place at all is the season as it stands."""
    choices = [choice("", f"[tools].place_{number}", some) for number, some in enumerate(values)]
    found = list(combined(choices))
    assert len(found) == len(set(found)) == count(choices)
    assert [tuple(value for _, value in one.values) for one in found] == list(product(*values))
    assert all([place for place, _ in one.values] == [one.place for one in choices] for one in found)


@settings(deadline=None)
@given(st.lists(VALUES, min_size=1, max_size=3), st.data())
def test_what_is_tried_is_what_the_document_then_says(values: list[list[int]], data: st.DataObject) -> None:
    """Each place has its value, and nothing else is changed."""
    choices = [choice("", f"[tools].place_{number}", some) for number, some in enumerate(values)]
    tried = data.draw(st.sampled_from(list(combined(choices))))
    document: Document = {"season": {"name": "A"}, "tools": {"drills": 2}}
    changed = apply(document, tried.changes(document))
    assert changed["season"] == {"name": "A"}
    assert changed["tools"] == {
        "drills": 2,
        **{f"place_{number}": value for number, (_, value) in enumerate(tried.values)},
    }


GRID = """
[season]
certainty = [0.8, 0.9]
[people.hours]
sat = [4, 6]
[[lab.cooker]]
loads_per_day = [2]
[lab.containers."3 L jar"]
grain = ["1.5 kg"]
[[planting]]
name = "Ash: low, left"
window = ["2027-04-10/2027-05-31"]
logs = [{ count = 3 }, { count = 4 }]
"""
DOCUMENT: Document = {
    "season": {"name": "A"},
    "lab": {"cooker": {"kind": "pressure cooker"}, "containers": {"3 L jar": {"volume": "3 L"}}},
    "planting": [{"name": "Beech"}, {"name": "Ash: low, left", "logs": {"count": 9}}],
}


def test_a_grid_is_written_as_a_season_file_is() -> None:
    """Tables, tables in tables, blocks by name or position, and values that are tables themselves."""
    choices = from_toml(tomllib.loads(GRID), "grid.toml")
    assert count(choices) == 8
    *_, last = combined(choices)
    assert last.named() == (
        ("season.certainty", "0.9"),
        ("people.hours.sat", "6"),
        ("lab.cooker 1: loads_per_day", "2"),
        ('lab.containers."3 L jar".grain', "1.5 kg"),
        ('planting "Ash: low, left": window', "2027-04-10/2027-05-31"),
        ('planting "Ash: low, left": logs', "{ count = 4 }"),
    )
    assert apply(DOCUMENT, last.changes(DOCUMENT)) == {
        "season": {"name": "A", "certainty": 0.9},
        "people": {"hours": {"sat": 6}},
        "lab": {
            "cooker": [{"kind": "pressure cooker", "loads_per_day": 2}],
            "containers": {"3 L jar": {"volume": "3 L", "grain": "1.5 kg"}},
        },
        "planting": [
            {"name": "Beech"},
            {"name": "Ash: low, left", "logs": {"count": 4}, "window": "2027-04-10/2027-05-31"},
        ],
    }


def test_values_of_a_call_are_numbers_days_or_text() -> None:
    """As TOML reads them, a text without its quotes."""
    found = from_text("--x", "[a].b", "0.8, 3,2027-01-09,100 L,sat")
    assert found == Choice("--x", "[a].b", (0.8, 3, date(2027, 1, 9), "100 L", "sat"))


@pytest.mark.parametrize("room", ["shelf", "fridge"])
def test_a_volume_takes_the_place_of_what_a_room_holds(room: str) -> None:
    """And the other way round: the file may not say both."""
    document: Document = {"lab": {room: {"holds": {"quart jar": 7}, "temperature": "20 C"}}}
    tried = WhatIf(((f"[lab.{room}].volume", "90 L"),))
    changed = apply(document, tried.changes(document))
    assert changed == {"lab": {room: {"volume": "90 L", "temperature": "20 C"}}}
    back = WhatIf(((f"[lab.{room}].holds", {"quart jar": 7}),))
    assert apply(changed, back.changes(changed)) == document


def test_a_place_that_is_not_there_is_named() -> None:
    """With what there is."""
    with pytest.raises(UsageError) as error:
        WhatIf((("[[planting]] Beach: window", "2027-04-10/2027-05-31"),)).changes(DOCUMENT)
    assert error.value.fault.hint == 'did you mean "Beech"?'
