"""The shape of ``profiles/preseason.toml``: what is looked after some weeks before the work it is for."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from scheduler.trade.shapes import Figure, Shape


class CheckAhead(Shape):
    """One check. Array ``[[check]]``; what the keys mean is said at the top of the file."""

    name: Annotated[str, Field(pattern="^[a-z][a-z-]*$")]
    """Part of the task's id: it is never changed."""
    title: str
    before: Literal["load", "fell", "plant"]
    each: Literal["cooker", "planting", "season"]
    cookers: list[str] = Field(default_factory=list)
    felling: list[Literal["own", "hired", "bought"]] = Field(default_factory=list)
    place: Literal["lab", "yard", "other"]
    ahead: Figure
    """Days before the first work of its kind."""
    minutes: Figure
    why: str
    steps: list[str]
    cautions: list[str]
    """Keys of ``profiles/cautions.toml``."""


class Preseason(Shape):
    """The whole file."""

    check: list[CheckAhead]
