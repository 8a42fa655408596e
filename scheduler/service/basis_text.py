"""What a kept plan was written from, as the text that the book keeps beside it."""

from __future__ import annotations

import json
from functools import cache
from typing import TYPE_CHECKING

from scheduler.lines.shapes import Basis

if TYPE_CHECKING:
    from pydantic import TypeAdapter


@cache
def _adapter() -> TypeAdapter[Basis]:
    from pydantic import TypeAdapter

    return TypeAdapter(Basis)


def to_text(basis: Basis) -> str:
    """The basis as JSON, the same for the same basis."""
    found = _adapter().dump_python(basis, mode="json")
    found["sizing"]["supplied"].sort()  # a set has no order of its own
    return json.dumps(found, ensure_ascii=False, separators=(",", ":"))


def from_text(text: str) -> Basis:
    """The basis of a kept plan. Raises ValueError where the text is none."""
    return _adapter().validate_json(text)
