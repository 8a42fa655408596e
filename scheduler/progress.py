"""What really happened in a season: the entries of its book, and what they add up to.

An `Entry` is one thing that a grower said, and never changes. `Progress` is what all entries that still stand
say together about batches, plantings, tasks and orders. Plain frozen data: the book stores entries, the
journal folds them, planning reads the sum.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Literal

from scheduler.plan import Rewrite

Kind = Literal[
    "cooked",
    "inoculated",
    "ready",
    "clean",
    "watch",
    "lost",
    "used",
    "fridge",
    "felled",
    "soaked",
    "planted",
    "turned",
    "watered",
    "weighed",
    "picked",
    "bought",
    "received",
    "found",
    "put-off",
    "done",
    "undo",
    "remedy",
]


@dataclass(frozen=True)
class Entry:
    """One thing that happened, as it was recorded."""

    kind: Kind
    on: date
    """Day it happened."""
    subject: str
    """Batch id, name of a planting, task id, or what was bought or found; empty for `undo` and `remedy`."""
    units: tuple[str, ...] = ()
    """Ids of the units it is about; empty: the whole batch. Of felling and planting: the tasks it ends. Of
    weighing: the marked log (``log 2``), where one was named."""
    count: int | None = None
    """Units inoculated, pieces felled or planted, units found."""
    amount: float | None = None
    """Grams picked, grams that a log weighs; grams or millilitres found."""
    parent: str | None = None
    """Batch from which one was made that no plan knows."""
    until: date | None = None
    """Day before which a planting that was put off is not planted."""
    seen: str = ""
    """What was seen, in the grower's words."""
    stage: str | None = None
    """Stage of what was found."""
    strain: str | None = None
    """Strain of what was found."""
    forced: bool = False
    """Whether it was recorded although it is unusual, on the grower's word (``--force``)."""
    corrects: int | None = None
    """Number of the entry that this one takes back."""
    changes: tuple[Rewrite, ...] = ()
    """What a remedy that was adopted changes in the season file."""


@dataclass(frozen=True)
class Recorded:
    """An entry with its number in the book, from 1, and the moment at which it was written."""

    entry_no: int
    at: str
    entry: Entry


@dataclass(frozen=True)
class BatchProgress:
    """What has happened to one batch."""

    cooked_on: date | None = None
    inoculated_on: date | None = None
    started: int | None = None
    """Units really inoculated, where that was said; the first of the planned ones."""
    parent: str | None = None
    """Batch from which it was made, where no plan knows it."""
    ready_on: date | None = None
    """Day on which it was found fully run."""
    lost: Mapping[str, date] = field(default_factory=dict)
    """Day on which each lost unit was found lost."""
    watch: Mapping[str, date] = field(default_factory=dict)
    """Day from which each unit in doubt has been; a later `clean` or `lost` ends it."""
    used: frozenset[str] = frozenset()
    """Units that are used up beyond what was made from them by the plan."""
    clean_on: date | None = None
    """Day on which it was last looked at."""
    fridge_on: date | None = None
    ordered_on: date | None = None
    received_on: date | None = None


@dataclass(frozen=True)
class PlantingProgress:
    """What has happened to one planting."""

    felled: Mapping[date, int] = field(default_factory=dict)
    """Pieces felled, by day in rising order."""
    planted: Mapping[date, int] = field(default_factory=dict)
    """Pieces planted, by day in rising order."""
    soaked_on: date | None = None
    weights_g: Mapping[str, Mapping[date, float]] = field(default_factory=dict)
    """Weight of each marked log by day in rising order, by its name (``log 2``); empty for one of no name."""
    put_off_until: date | None = None
    picked_g: Mapping[date, float] = field(default_factory=dict)
    """Grams picked, by day."""
    cared: Mapping[str, tuple[date, ...]] = field(default_factory=dict)
    """Days on which it was turned, watered or soaked, by kind of entry, in the order they were recorded."""

    @property
    def wetted(self) -> tuple[date, ...]:
        """Days on which it was watered or soaked, in rising order."""
        return tuple(sorted({*self.cared.get("watered", ()), *self.cared.get("soaked", ())}))


@dataclass(frozen=True)
class Progress:
    """What all entries that still stand say together."""

    batches: Mapping[str, BatchProgress] = field(default_factory=dict)
    plantings: Mapping[str, PlantingProgress] = field(default_factory=dict)
    done: Mapping[str, date] = field(default_factory=dict)
    """Task ids that are done, with the day; tasks of what was cooked, inoculated, felled or planted too."""
    bought: Mapping[str, date] = field(default_factory=dict)
    """Items of orders that were placed, with the day."""
    received: Mapping[str, date] = field(default_factory=dict)
    """Items of orders that are there, with the day."""
    found: tuple[Entry, ...] = ()
    """Cultures and spawn found in hand."""
    changes: tuple[Rewrite, ...] = ()
    """What the remedies that were adopted change in the season file, in their order."""

    def batch(self, batch_id: str) -> BatchProgress:
        """What has happened to a batch; nothing where no entry speaks of it."""
        return self.batches.get(batch_id, NOTHING_YET)

    def planting(self, name: str) -> PlantingProgress:
        """What has happened to a planting; nothing where no entry speaks of it."""
        return self.plantings.get(name, NOT_BEGUN)


LOOK_AGAIN = timedelta(days=3)
"""After so long a unit in doubt is looked at again (common practice)."""

NOTHING_YET = BatchProgress()
NOT_BEGUN = PlantingProgress()
NOTHING = Progress()


def taken_back(recorded: Iterable[Recorded]) -> dict[int, int]:
    """By number of each entry that no longer stands, the number of the one that takes it back.

    One that takes back what takes back another lets that other stand again.
    """
    gone: dict[int, int] = {}
    for one in sorted(recorded, key=lambda one: one.entry_no, reverse=True):
        corrects = one.entry.corrects
        if one.entry.kind == "undo" and corrects is not None and one.entry_no not in gone:
            gone.setdefault(corrects, one.entry_no)
    return gone


def in_short(units: Iterable[str]) -> str:
    """Unit ids with runs drawn together: ``NAM-Sa/1-2, NAM-Sb/1``; an id without a number stays as it is."""
    runs: list[tuple[str, int, int] | str] = []
    for unit in units:
        batch, _, number = unit.rpartition("/")
        if not (batch and number.isdecimal()):
            runs.append(unit)
            continue
        count = int(number)
        before = runs[-1] if runs else ""
        if isinstance(before, tuple) and (before[0], before[2]) == (batch, count - 1):
            runs[-1] = (batch, before[1], count)
        else:
            runs.append((batch, count, count))
    return ", ".join(run if isinstance(run, str) else _run(*run) for run in runs)


def _run(batch: str, first: int, last: int) -> str:
    return f"{batch}/{first}-{last}" if last > first else f"{batch}/{first}"
