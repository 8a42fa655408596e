"""The kinds of entry: what a grower may call each, what it is about, and what may follow.

Words that are left over at the end of any entry say what was seen.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from scheduler.progress import Kind

Subject = Literal["batch", "planting", "task", "order", "species", "entry"]
Part = Literal["units", "count", "parent", "pieces", "mass", "log", "until", "amount"]


@dataclass(frozen=True)
class KindOfEntry:
    """One kind of entry."""

    kind: Kind
    words: tuple[str, ...]
    """What may be typed for it; the first is the usual one."""
    subject: Subject
    takes: frozenset[Part]
    """What may follow the subject."""
    example: str


def _kind(kind: Kind, words: str, subject: Subject, takes: tuple[Part, ...], example: str) -> KindOfEntry:
    return KindOfEntry(kind, tuple(words.split()), subject, frozenset(takes), example)


KINDS = (
    _kind("cooked", "cooked sterilised sterilized steamed pasteurised", "batch", (), "cooked NAM-G1a"),
    _kind("inoculated", "inoculated started", "batch", ("count", "parent"), "inoculated NAM-G1a 11"),
    _kind("ready", "ready", "batch", (), "ready NAM-G1a"),
    _kind("clean", "clean ok", "batch", ("units",), "clean NAM-G1a"),
    _kind("watch", "watch doubt", "batch", ("units", "count"), "watch NAM-G1a/3"),
    _kind("lost", "lost dead green", "batch", ("units", "count"), "lost NAM-G1a 6"),
    _kind("used", "used", "batch", ("units", "count"), "used NAM-G1a 2"),
    _kind("fridge", "fridge moved", "batch", (), "fridge NAM-G1a"),
    _kind("felled", "felled", "planting", ("pieces",), "felled Oak stack 30"),
    _kind("soaked", "soaked", "planting", (), "soaked Oak stack"),
    _kind("planted", "planted", "planting", ("pieces",), "planted Oak stack 22"),
    _kind("turned", "turned", "planting", (), "turned Oak stack"),
    _kind("watered", "watered", "planting", (), "watered Oak stack"),
    _kind("weighed", "weighed", "planting", ("mass", "log"), "weighed Oak stack log 2 14.2 kg"),
    _kind("picked", "picked harvested", "planting", ("mass",), "picked Oak stack 1.2 kg"),
    _kind("bought", "bought ordered", "order", (), "bought grain"),
    _kind("received", "received arrived", "order", (), "received culture"),
    _kind("found", "found", "species", ("amount", "count"), "found nameko liquid culture 10 mL"),
    _kind("put-off", "put-off postponed", "planting", ("until",), "put-off Oak stack until 2027-05-20"),
    _kind("done", "done", "task", (), "done 2"),
    _kind("undo", "undo", "entry", (), "undo 12"),
)
"""Every kind of entry that is typed; a remedy is adopted by its number instead."""

KIND_OF_WORD = {word: kind for kind in KINDS for word in kind.words}

STAGES = {
    "liquid culture": ("liquid culture", "lc", "syringe", "syringes"),
    "plate": ("plate", "plates"),
    "slant": ("slant", "slants"),
    "grain": ("grain spawn", "grain"),
    "sawdust": ("sawdust spawn", "sawdust"),
    "pellet": ("pellet spawn", "pellet", "pellets"),
    "dowels": ("dowel spawn", "dowels", "dowel"),
    "chips": ("chips",),
}
"""What a grower may call the stage of what was found; longer names first."""

COUNTED = ("plate", "slant", "dowels")
"""Stages that come by the piece; liquid culture comes in millilitres too, everything else by mass."""
