"""The shape of ``figures.toml``: a grower's own record of losses and days, as ``learn --keep`` writes it.

Each table says how the grower's figure differs from the catalogue's; `lines.own_record` lays it over that.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from scheduler.errors import Fault, ProfileError
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.reading import read
from scheduler.trade.shapes import Shape

Workspace = Literal["still-air box", "flow hood", "clean room"]
MadeStage = Literal["plate", "liquid culture", "grain", "sawdust", "pellet", "dowels"]

Rate = Annotated[float, Field(gt=0, lt=1)]
LARGEST = 100_000
"""Bytes; the file is a page long."""
_AWAY = "put it right, or move the file away: the trade's figures then count again"


class OwnLoss(Shape):
    """The share that is lost, with the band in which it lies nine times of ten."""

    low: Rate
    rate: Rate
    high: Rate
    worth: Annotated[float, Field(gt=0, le=1e6)]
    """How many units (or loads) of experience that is, the trade's own included."""
    made: Annotated[int, Field(ge=0)] = 0
    """Units (or loads) that the grower's books tell of."""
    lost: Annotated[int, Field(ge=0)] = 0

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if not self.low <= self.rate <= self.high:
            raise ValueError(f"low {self.low} <= rate {self.rate} <= high {self.high} does not hold")
        return self


class OwnDays(Shape):
    """Days against the trade's: so many times as long, and spread so much less on the log scale."""

    factor: Annotated[float, Field(ge=0.1, le=10)]
    spread: Annotated[float, Field(gt=0, le=2)]
    batches: Annotated[int, Field(ge=0)] = 0
    """Batches that the grower's books tell of."""


class OwnFrom(Shape):
    """What the record was learned from."""

    seasons: list[str]
    """Names of the seasons whose books were read."""
    entries: int
    prior: str
    """Whose figures were the prior."""


class OwnRecord(Shape):
    """The whole file."""

    learned: OwnFrom | None = None
    losses: dict[Workspace, dict[MadeStage, OwnLoss]] = Field(default_factory=dict)
    loads: OwnLoss | None = None
    """Loads that are lost as a whole, whatever the workspace."""
    days: dict[str, dict[MadeStage, OwnDays]] = Field(default_factory=dict)
    """By canonical name of the species."""


def read_own(path: Path, catalogue: Catalogue) -> OwnRecord:
    """The record in a file. Raises ProfileError with every fault of it, each with its key."""
    where = str(path)
    try:
        size = path.stat().st_size
    except OSError:
        size = 0  # reading it says why
    if size > LARGEST:
        raise ProfileError([Fault(where, "more than 100 kB", "a page of own figures", "is it another file?")])
    try:
        found = read(path, where).shaped(OwnRecord)
    except ProfileError as error:
        raise ProfileError([replace(fault, hint=fault.hint or _AWAY) for fault in error.faults]) from None
    allowed = "a species by the name that `budswell profiles` gives it"
    unknown = [
        Fault(f"{where} days", f"{name!r}", allowed, _AWAY)
        for name in found.days
        if name not in catalogue.species
    ]
    if unknown:
        raise ProfileError(unknown)
    return found
