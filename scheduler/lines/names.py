"""Ids that are short enough to write on a jar: ``NAM-G1a`` for a batch, ``NAM-G1a/3`` for a unit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection

_LETTERS = "abcdefghjkmnpqrstuvwxyz"
"""No i, l, o: they are read as digits."""

_STAGE = {
    "plate": "A",
    "slant": "T",
    "liquid culture": "L",
    "sawdust": "S",
    "pellet": "S",
    "dowels": "D",
    "chips": "C",
}


def letter(index: int) -> str:
    """Batch letter of an index from 0: a to z without i, l, o, then aa, ab, ..."""
    size = len(_LETTERS)
    return _LETTERS[index] if index < size else letter(index // size - 1) + _LETTERS[index % size]


def kind_of(batch_id: str) -> str:
    """Line, stage and generation of a batch by its id: ``NAM-G1`` of ``NAM-G1a``."""
    return batch_id.rstrip("abcdefghijklmnopqrstuvwxyz")


class Namer:
    """Hands out batch ids of one strain line, none of them twice and none that is `taken`."""

    def __init__(self, code: str, taken: Collection[str] = ()) -> None:
        self._code = code
        self.taken = set(taken)
        self._given: Counter[str] = Counter()

    def batch(self, stage: str, generation: int | None = None) -> str:
        """Next id of a stage (of a generation, for grain)."""
        kind = f"G{generation}" if stage == "grain" else _STAGE[stage]
        while True:
            name = f"{self._code}-{kind}{letter(self._given[kind])}"
            self._given[kind] += 1
            if name not in self.taken:
                self.taken.add(name)
                return name
