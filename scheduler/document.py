"""A Plan as its public JSON document ``budswell.plan/1``, and back; an outlook as ``budswell.outlook/1``,
a rehearsal as ``budswell.rehearsal/1``, what was learned as ``budswell.learned/1``.

A document has one key for each field of the frozen words in `plan`, `chances`, `rehearsal` and
`learned`. The writer is
plain Python; pydantic is loaded only where a document is read or its JSON Schema is asked for, so that
showing a plan stays quick.
"""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass
from datetime import date
from functools import cache
from typing import TYPE_CHECKING, Any, TypeAlias

from scheduler.chances import OUTLOOK_SCHEMA, SeasonOutlook
from scheduler.errors import Fault, UsageError
from scheduler.learned import LEARNED_SCHEMA, Learned
from scheduler.plan import SCHEMA, Plan
from scheduler.rehearsal import REHEARSAL_SCHEMA, Rehearsal

if TYPE_CHECKING:
    from pydantic import TypeAdapter

Document: TypeAlias = "Plan | SeasonOutlook | Rehearsal | Learned"

DOCUMENTS: dict[str, tuple[type[Any], str]] = {
    "plan": (Plan, SCHEMA),
    "outlook": (SeasonOutlook, OUTLOOK_SCHEMA),
    "rehearsal": (Rehearsal, REHEARSAL_SCHEMA),
    "learned": (Learned, LEARNED_SCHEMA),
}
"""What each document is of, and the name of its schema."""


def to_data(document: Document) -> dict[str, Any]:
    """A document as dicts, lists, strings and numbers, in the order of its fields, its schema first."""
    data: dict[str, Any] = _plain(document)
    return {"schema": data.pop("schema"), **data}


def to_json(document: Document) -> str:
    """A document as JSON text: equal ones give equal text; names stay in the letters they are written in.

    Raises ValueError where a number of it is not finite, since JSON has no word for it.
    """
    return json.dumps(to_data(document), ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def from_json(text: str) -> Plan:
    """Reads a plan back from its document; the inverse of `to_json`.

    Raises UsageError where the text is no JSON, belongs to another version, misses a key that has no
    default, or has one too many; the fault names the first place that is not right.
    """
    from pydantic import ValidationError

    try:
        plan: Plan = _adapter("plan").validate_json(text, strict=True, extra="forbid")
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(part) for part in first["loc"]) or "document"
        raise UsageError(Fault(where, first["msg"], f"a plan document, {SCHEMA}")) from error
    if plan.schema != SCHEMA:
        raise UsageError(Fault("schema", f"{plan.schema!r}", SCHEMA))
    return plan


def schema(document: str = "plan") -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of what `to_json` writes: every key is there, and no other.

    KeyError where there is no document of that name.
    """
    _, name = DOCUMENTS[document]
    shape = _adapter(document).json_schema(mode="serialization")
    for part in (shape, *shape["$defs"].values()):
        part["additionalProperties"] = False
        part["required"] = list(part["properties"])
        for key in part["properties"].values():
            key.pop("title", None)
            key.pop("default", None)
    shape["properties"]["schema"] = {"const": name, "type": "string"}
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **shape, "title": name}


@cache
def _adapter(document: str) -> TypeAdapter[Any]:
    from pydantic import TypeAdapter

    return TypeAdapter(DOCUMENTS[document][0])


def _plain(value: Any) -> Any:
    if is_dataclass(value):
        return {field.name.rstrip("_"): _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, tuple):
        return [_plain(part) for part in value]
    if isinstance(value, date):
        return value.isoformat()
    # 1500 and 1500.0 grams are equal, so they must also be equal as text.
    if isinstance(value, float) and value.is_integer():
        return int(value)
    return value
