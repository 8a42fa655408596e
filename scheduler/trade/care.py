"""The shape of ``profiles/care.toml``: what a planting is given once it stands, and how it is picked."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from scheduler.trade.shapes import Basis, Figure, MethodSupply, Shape
from scheduler.trade.species import PartOfYear

LifeStage = Literal["running", "fruiting", "always"]
"""Until it is run through; from then to the last picking; both."""


class CareRow(Shape):
    """One kind of care, due `after` so many days from planting or in `parts` of every year of a stage."""

    key: str
    """Tells the rows of one planting apart; part of the ids of its tasks."""
    kind: str
    """A task kind: look-after, weigh, water, turn, cover, uncover, top-up."""
    title: str
    why: str
    steps: list[str] = Field(default_factory=list)
    methods: list[str] = Field(default_factory=list)
    """Empty: all."""
    species: list[str] = Field(default_factory=list)
    """Empty: all."""
    planted_in: list[PartOfYear] = Field(default_factory=list)
    """Only where planted then; empty: whenever."""
    after: Figure | None = None
    stage: LifeStage = "always"
    parts: list[PartOfYear] = Field(default_factory=list)
    every: Figure | None = None
    """Days from one to the next inside a span; without it there is one in each."""
    ongoing: bool = False
    """Whether it is done again and again as its title says, until its span is over."""
    fixed: Figure
    """Minutes for going there and setting up."""
    piece: Figure | None = None
    """Minutes a log, totem, stump or square metre."""
    small: bool = False
    tank: bool = False
    """Whether a step of it may put the wood into water; its caution follows from that."""
    supplies: list[MethodSupply] = Field(default_factory=list)
    basis: Basis = "common practice"
    """Of when it is done, where no figure says it."""
    source: str = ""

    @model_validator(mode="after")
    def _has_its_time(self) -> Self:
        if (self.after is None) == (not self.parts):
            raise ValueError("either `after` or `parts` says when it is due")
        if self.basis == "published" and not self.source:
            raise ValueError("what is published needs a source key")
        return self

    def is_for(self, method: str, species: str) -> bool:
        """Whether a planting of this method and species is given this care."""
        return (not self.methods or method in self.methods) and (not self.species or species in self.species)


class Picking(Shape):
    """The time picking takes: a visit, each kilogram, and the days from one visit to the next."""

    visit: Figure
    mass: Figure
    every: Figure


class Soaking(Shape):
    """Flushes that are forced by a soak: how early, how long in water, and what lies between two of them."""

    methods: list[str]
    """Those whose pieces can be taken up and soaked."""
    not_before: Figure
    soak: Figure
    flush: Figure
    rest: Figure
    fixed: Figure
    piece: Figure


class Care(Shape):
    """The whole file."""

    picking: Picking
    soaking: Soaking
    row: list[CareRow]
