"""A plan goes out as its JSON document and comes back as it was."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import fields, is_dataclass, replace
from datetime import date
from functools import cache
from pathlib import Path
from types import NoneType, UnionType
from typing import Any, Literal, get_args, get_origin, get_type_hints

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from scheduler import document
from scheduler.errors import UsageError
from scheduler.plan import SCHEMA, Plan
from tests.sample import sample_plan, sample_refusal, sample_standing

ROOT = Path(__file__).parents[1]

LEAVES: dict[Any, st.SearchStrategy[Any]] = {
    str: st.text(max_size=8),
    int: st.integers(-(2**53), 2**53),
    float: st.floats(allow_nan=False, allow_infinity=False),
    bool: st.booleans(),
    date: st.dates(),
    NoneType: st.none(),
}


@cache
def values(hint: Any) -> st.SearchStrategy[Any]:
    """Anything that a field with this annotation may hold."""
    parts = get_args(hint)
    if is_dataclass(hint):
        assert isinstance(hint, type)
        return st.builds(hint, **{name: values(part) for name, part in get_type_hints(hint).items()})
    if get_origin(hint) is Literal:
        return st.sampled_from(parts)
    if isinstance(hint, UnionType):
        return st.one_of(*(values(part) for part in parts))
    if get_origin(hint) is tuple:
        if parts[-1] is Ellipsis:
            return st.lists(values(parts[0]), max_size=2).map(tuple)
        return st.tuples(*(values(part) for part in parts))
    return LEAVES[hint]


PLANS: st.SearchStrategy[Plan] = values(Plan).map(lambda plan: replace(plan, schema=SCHEMA))


def filled(value: Any, seen: set[str]) -> None:
    """Notes every `Class.field` below `value` that holds something."""
    for part in value if isinstance(value, tuple) else (value,):
        if is_dataclass(part):
            for field in fields(part):
                content = getattr(part, field.name)
                if content not in (None, (), ""):
                    seen.add(f"{type(part).__name__}.{field.name}")
                filled(content, seen)


@settings(max_examples=40, deadline=None)
@given(plan=PLANS)
def test_every_plan_comes_back_as_it_went(plan: Plan) -> None:
    """Whatever the fields hold, reading the text gives an equal plan, which writes the same text again."""
    text = document.to_json(plan)
    again = document.from_json(text)
    assert again == plan
    assert document.to_json(again) == text


@settings(max_examples=20, deadline=None)
@given(plan=PLANS)
def test_every_plan_obeys_the_schema(plan: Plan) -> None:
    """What is written is what the JSON Schema promises."""
    assert [*_validator().iter_errors(json.loads(document.to_json(plan)))] == []


def test_the_samples_fill_every_field() -> None:
    """A field added to the words of a plan is also added to the samples that the views are tried on."""
    seen: set[str] = set()
    filled((sample_plan(), sample_refusal(), sample_standing()), seen)
    classes = {get_type_hints(Plan)["season"]}
    for hint in get_type_hints(Plan).values():
        classes |= {part for part in get_args(hint) if is_dataclass(part)}
    wanted = {f"{shape.__name__}.{field.name}" for shape in classes for field in fields(shape)}
    assert wanted <= seen


@pytest.mark.parametrize(
    "plan", [sample_plan(), sample_refusal(), sample_standing()], ids=["planned", "none", "standing"]
)
def test_samples_obey_the_schema(plan: Plan) -> None:
    """The schema is a sound draft 2020-12 schema and the samples are valid under it."""
    Draft202012Validator.check_schema(document.schema())
    assert [*_validator().iter_errors(json.loads(document.to_json(plan)))] == []


def test_schema_refuses_other_keys_missing_keys_and_other_versions() -> None:
    """A key too many or too few, at the top or deep inside, and another version's name are all refused."""
    data = document.to_data(sample_plan())
    task = data["tasks"][0]
    without = {key: value for key, value in data.items() if key != "notes"}
    for wrong in (
        data | {"colour": "green"},
        data | {"tasks": [task | {"colour": "green"}]},
        data | {"schema": "budswell.plan/2"},
        without,
    ):
        assert not _validator().is_valid(wrong)


def test_document_reads_as_a_person_would_write_it() -> None:
    """Keys stand in field order without underscores, dates are ISO, whole numbers whole, letters themselves."""
    plan = replace(sample_plan(), notes=("なめこ – ørret",))
    text = document.to_json(plan)
    data = json.loads(text)
    assert data == document.to_data(plan)
    assert list(data)[:4] == ["schema", "status", "plan_no", "inputs_sha"]
    assert list(data["orders"][0]) == [
        "item",
        "quantity",
        "unit",
        "order_by",
        "needed_on",
        "for",
        "late",
        "supplier",
        "packs",
        "left_over",
        "work",
    ]
    assert data["loads"][0]["class"] == "grain"
    assert data["plantings"][0]["window"] == ["2027-04-20", "2027-05-25"]
    assert data["outlook"]["last_safe_start"] == "2027-02-13"
    assert '"spawn_needed_g": 4200,' in text
    assert "なめこ – ørret" in text
    assert text.endswith("}\n")


def test_a_number_that_is_not_finite_is_not_written() -> None:
    """JSON has no word for infinity, so a plan with one is refused and not written in a private dialect."""
    season = replace(sample_plan().season, certainty=float("inf"))
    with pytest.raises(ValueError, match="JSON compliant"):
        document.to_json(replace(sample_plan(), season=season))


@pytest.mark.parametrize(
    ("old", "new", "where"),
    [
        ('"status": "planned"', '"status": "perhaps"', "status"),
        ('"schema": "budswell.plan/1"', '"schema": "budswell.plan/9"', "schema"),
        ('"certainty": 0.9', '"certainty": "0.9"', "season.certainty"),
        ('"on": "2027-01-30"', '"on": "30 January"', "loads.0.on"),
        ('"small": false', '"small": false, "colour": 1', "tasks.0.colour"),
        ('"inputs_sha": "0f3b6c1d",', "", "inputs_sha"),
        ("{", "", "document"),
    ],
)
def test_a_document_that_is_not_right_is_refused_with_the_place(old: str, new: str, where: str) -> None:
    """The fault says which key is wrong, and nothing is guessed."""
    text = document.to_json(sample_plan())
    assert old in text
    with pytest.raises(UsageError) as caught:
        document.from_json(text.replace(old, new, 1))
    assert caught.value.fault.where == where
    assert SCHEMA in caught.value.fault.allowed


def test_writing_loads_no_pydantic() -> None:
    """A kept plan is shown quickly: importing and writing leave pydantic alone."""
    code = (
        "import sys; from scheduler import document; from tests.sample import sample_plan;"
        "document.to_json(sample_plan()); print('pydantic' in sys.modules)"
    )
    run = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "False"


def _validator() -> Draft202012Validator:
    return Draft202012Validator(document.schema())
