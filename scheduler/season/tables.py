"""Turns TOML data into the shapes of the season file, and what pydantic finds wrong into faults.

A value that is wrong is set aside after it has been noted, so that the rest of the file is still judged.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_args

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from scheduler.season.findings import Findings
from scheduler.season.names import Names
from scheduler.season.shapes import PlantingTable, SeasonFile, SeasonTable, StandingTable, StockTable, Table
from scheduler.season.where import Loc, written
from scheduler.season.wrong import Wrong, listed, meant, nearest, shown

EXAMPLES = {
    "hours": "{ sat = 4, sun = 4 }",
    "at": '{ sat = "09:00" }',
    "home": "{ sat = 10, sun = 10 }",
    "shelf": '{ temperature = "20 C" }',
    "fridge": '{ temperature = "4 C" }',
    "holds": '{ "quart jar" = 7 }',
    "lead": '{ spawn = "21 d" }',
    "logs": '{ count = 12, diameter = "13 cm", length = "1 m" }',
    "stumps": '{ count = 3, diameter = "35 cm" }',
    "days": "{ low = 12, likely = 15, high = 20 }",
    "loss": "{ rate = 0.1 }",
}
"""Of tables that are written on one line, by key."""

MOST_TOLD = 200
"""Faults of single values that are told; a file with more is no season file."""

_DEEPEST_ASIDE = 3
_SET_ASIDE = {"planting": 3, "stock": 3, "help": 1}
"""How much is set aside with a wrong value, as the length of its path; elsewhere a key of a table."""


def read_tables(data: dict[str, Any], names: Names, findings: Findings) -> SeasonFile:
    """The file's tables, without what is noted in `findings` as wrong."""
    for loc, shape, table in _with_required_keys(data):
        for key in shape.required:
            if isinstance(table, dict) and _lacks(table, key, shape):
                findings.fault((*loc, key), f"no {key}", _must_be_written(shape, key), _example(shape, key))
    try:
        return SeasonFile.model_validate(data, context=names)
    except ValidationError as error:
        errors = _without_echoes(error.errors(include_url=False))
    for details in errors[:MOST_TOLD]:
        _note(details, findings)
    if len(errors) > MOST_TOLD:
        findings.fault((), f"{len(errors) - MOST_TOLD} more faults", "a season file", "is it another file?")
    aside = {written(one["loc"][: _SET_ASIDE.get(str(one["loc"][0]), 2)], data) for one in errors}
    # Nothing that is left depends on what was set aside: every key of a table may be silent.
    return SeasonFile.model_validate(_without(data, aside), context=names)


def _without_echoes(errors: list[ErrorDetails]) -> list[ErrorDetails]:
    """The errors but for keys that are missing only because they are mistyped, which is told by itself."""
    meant_keys = {
        (*one["loc"][:-1], nearest(str(one["loc"][-1]), _shape_at(one["loc"]).model_fields))
        for one in errors
        if one["type"] == "extra_forbidden"
    }
    return [one for one in errors if one["type"] != "missing" or one["loc"] not in meant_keys]


def _lacks(table: dict[str, Any], key: str, shape: type[Table]) -> bool:
    """Whether a table lacks a key, and not just because it is mistyped: that is told of the mistyped one."""
    if key in table:
        return shape is SeasonFile and table[key] == []
    return all(known in shape.model_fields or nearest(known, shape.model_fields) != key for known in table)


def _with_required_keys(data: dict[str, Any]) -> Iterator[tuple[Loc, type[Table], Any]]:
    yield (), SeasonFile, data
    if "season" in data:
        yield ("season",), SeasonTable, data["season"]
    for key, shape in (("stock", StockTable), ("planting", PlantingTable), ("standing", StandingTable)):
        value = data.get(key, [])
        for index, table in enumerate(value if isinstance(value, list) else [value]):
            yield (key, index), shape, table


def _note(details: ErrorDetails, findings: Findings) -> None:
    loc: Loc = tuple(part for part in details["loc"] if part != "[key]")
    key = str(loc[-1])
    wrong = details.get("ctx", {}).get("error")
    if isinstance(wrong, Wrong):
        findings.wrong(loc, wrong)
        return
    match details["type"]:
        case "extra_forbidden":
            known = list(_shape_at(loc).model_fields)
            allowed = f"the keys {listed(known, 'and')}"
            findings.fault(loc, f"the key {shown(key)}, which is not known here", allowed, meant(key, known))
        case "missing":
            shape = _shape_at(loc)
            findings.fault(loc, f"no {key}", _must_be_written(shape, key), _example(shape, key))
        case "list_type":
            findings.fault(loc, shown(details["input"]), 'a list, such as ["grain", "pellet"]')
        case _:
            example = f"for example {key} = {EXAMPLES[key]}" if key in EXAMPLES else ""
            findings.fault(loc, shown(details["input"]), "a table of keys and values", example)


def _must_be_written(shape: type[Table], key: str) -> str:
    return (
        "at least one [[planting]]" if (shape, key) == (SeasonFile, "planting") else f"{key} must be written"
    )


def _example(shape: type[Table], key: str) -> str:
    if shape is SeasonFile:
        return f"begin it with a line [{key}]" if key == "season" else "begin it with a line [[planting]]"
    return f"for example {key} = {shape.model_fields[key].examples[0]}"  # type: ignore[index]


def _shape_at(loc: Loc) -> type[Table]:
    """The shape of the table in which the last key of `loc` stands."""
    shape: type[Table] = SeasonFile
    for part in loc[:-1]:
        if isinstance(part, str):
            field = shape.model_fields.get(part)
            shape = (_table_in(field.annotation) if field else None) or shape
    return shape


def _table_in(annotation: Any) -> type[Table] | None:
    if isinstance(annotation, type) and issubclass(annotation, Table):
        return annotation
    return next(filter(None, map(_table_in, get_args(annotation))), None)


def _without(data: Any, aside: set[Loc], here: Loc = ()) -> Any:
    """A copy without what is set aside; a table of a list is emptied, so the others keep their places."""
    if isinstance(data, dict) and len(here) < _DEEPEST_ASIDE:
        inside = {key: (*here, key) for key in data if (*here, key) not in aside}
        return {key: _without(data[key], aside, loc) for key, loc in inside.items()}
    if isinstance(data, list) and len(here) < _DEEPEST_ASIDE:
        places = [(*here, index) for index in range(len(data))]
        return [
            {} if loc in aside else _without(item, aside, loc) for item, loc in zip(data, places, strict=True)
        ]
    return data
