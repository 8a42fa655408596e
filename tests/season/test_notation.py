"""Places of a season file by name, values as TOML text, and changes written into a document."""

from __future__ import annotations

import tomllib
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.plan import Rewrite
from scheduler.season.notation import apply, block, key, toml

VALUES = st.recursive(
    st.booleans()
    | st.integers(-(10**9), 10**9)
    | st.floats(-1e6, 1e6).map(lambda number: float(f"{number:.6g}"))
    | st.dates(date(1950, 1, 1), date(2200, 1, 1))
    | st.text(st.characters(exclude_categories=["Cs"])),
    lambda inside: st.lists(inside, max_size=3) | st.dictionaries(st.text(max_size=5), inside, max_size=3),
    max_leaves=8,
)


@given(VALUES)
def test_a_value_is_read_back_as_it_was(value: Any) -> None:
    """Whatever a season file may hold, its text on one line is TOML of the same value."""
    text = toml(value)
    assert "\n" not in text
    assert tomllib.loads(f"value = {text}") == {"value": value}


@given(st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1).map(str.strip).filter(bool))
def test_a_planting_is_found_by_whatever_name_it_has(name: str) -> None:
    """Colons, quotes and brackets in a name lead to no other place."""
    document = {"planting": [{"name": f"{name}: x", "x": 1}, {"name": name, "x": 1}]}
    changed = apply(document, [Rewrite(f"{block('planting', name)}: x", "1", "2")])
    assert changed["planting"] == [{"name": f"{name}: x", "x": 1}, {"name": name, "x": 2}]


def test_keys_that_are_not_bare_stand_in_quotes() -> None:
    """A container's name with a space in it is one part of a key."""
    assert key("holds", "quart jar") == 'holds."quart jar"'
    changed = apply({}, [Rewrite(f"[lab.shelf].{key('holds', 'quart jar')}", None, "7")])
    assert changed == {"lab": {"shelf": {"holds": {"quart jar": 7}}}}


def test_blocks_are_added_changed_and_taken_out() -> None:
    """A lone table counts as a list of one, and the document that was given stays as it was."""
    document = {"help": {"on": date(2027, 4, 24), "people": 2, "hours": 4}}
    new = Rewrite("[[help]]", None, "{ on = 2027-05-01, people = 1, hours = 2 }")
    more = Rewrite("[[help]] 1: people", "2", "3")
    gone = Rewrite("[[help]] 2", new.now, None)
    added = {"on": date(2027, 5, 1), "people": 1, "hours": 2}
    assert apply(document, [new])["help"] == [document["help"], added]
    assert apply(document, [new, more, gone])["help"] == [{**document["help"], "people": 3}]
    assert document == {"help": {"on": date(2027, 4, 24), "people": 2, "hours": 4}}


def test_a_key_is_taken_out() -> None:
    """A key without a value afterwards is gone, and one that was never there stays away."""
    document = {"planting": [{"name": "Oak", "felled": date(2027, 1, 2)}]}
    gone = Rewrite("[[planting]] Oak: felled", "2027-01-02", None)
    assert apply(document, [gone, gone]) == {"planting": [{"name": "Oak"}]}


@pytest.mark.parametrize(
    ("change", "error"),
    [
        (Rewrite("people.hours", None, "1"), ValueError),
        (Rewrite("[[planting]] Birch: window", None, '"2027-04-01"'), LookupError),
        (Rewrite("[[help]] 4: people", None, "1"), LookupError),
        (Rewrite("[people].hours", None, "{"), ValueError),
    ],
)
def test_what_cannot_be_written_is_refused(change: Rewrite, error: type[Exception]) -> None:
    """No place, a block that is not there, a value that is no TOML: each is an error and not a guess."""
    with pytest.raises(error):
        apply({"planting": [{"name": "Oak"}]}, [change])
