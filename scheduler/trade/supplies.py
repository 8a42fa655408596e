"""The shape of ``profiles/supplies.toml``: who sells what, in which packs, and how long a rest keeps."""

from __future__ import annotations

from fnmatch import fnmatchcase
from typing import Annotated, Literal

from pydantic import Field

from scheduler.trade.shapes import Figure, Shape

Supplier = Literal[
    "culture and spawn seller",
    "laboratory supplies",
    "grain and feed",
    "fuel pellets and bedding",
    "wood and tree service",
    "hardware and garden",
]
"""Kinds of shops, one shopping list each."""
UNKNOWN: Supplier = "hardware and garden"
"""Where a thing that no entry names is looked for."""


class Packs(Shape):
    """Pack sizes by what they are called, at most three each; empty where a thing is sold by the piece."""

    metric: Annotated[dict[str, Figure], Field(max_length=3)] = Field(default_factory=dict)
    imperial: Annotated[dict[str, Figure], Field(max_length=3)] = Field(default_factory=dict)


class Sold(Shape):
    """One kind of thing that is bought. Table ``[item."<name>"]``; a ``*`` in it stands for anything."""

    supplier: Supplier
    packs: Packs = Packs()
    keeps: Figure
    """Days in which what is left of a pack may still be used."""


class Supplies(Shape):
    """The whole file."""

    item: dict[str, Sold]

    def find(self, item: str) -> Sold | None:
        """How a thing is sold: the entry of its own name, else the first one whose name stands for it."""
        if item in self.item:
            return self.item[item]
        return next((sold for name, sold in self.item.items() if fnmatchcase(item, name)), None)
