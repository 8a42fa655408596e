"""What a kept plan was written from, as the text that the book keeps beside it."""

from __future__ import annotations

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
    """The basis as JSON."""
    return _adapter().dump_json(basis).decode()


def from_text(text: str) -> Basis:
    """The basis of a kept plan. Raises ValueError where the text is none."""
    return _adapter().validate_json(text)
