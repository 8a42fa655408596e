"""The words of a rehearsal: what becomes of a season when a batch is lost, before it happens.

Frozen plain data, as `plan` is; its field names are the keys of the document ``budswell.rehearsal/1``. Dates
are `datetime.date`, chances shares from 0 to 1 (of losses alone, as in a plan), times minutes.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Literal

REHEARSAL_SCHEMA = "budswell.rehearsal/1"

Saved = Literal["lost", "remedy", "redo", "spares"]
OUTCOMES: tuple[Saved, ...] = ("lost", "remedy", "redo", "spares")
"""The worst first: nothing but giving up, or waiting for another season, is left; the season has to be
changed; what was lost is made again; what there is is enough."""


@dataclass(frozen=True)
class LostBatch:
    """A batch that is lost in a rehearsal, all of it."""

    id: str
    line: str
    stage: str
    generation: int | None
    units: int
    """Units of it that live until then."""
    plantings: tuple[str, ...]
    redo_by: date | None
    """As the plan has it: a loss that is noticed by then can be made good."""


@dataclass(frozen=True)
class Replanted:
    """A planting before and after the replan; nothing of it after, where it has no plan any more."""

    name: str
    was_on: tuple[date, ...]
    now_on: tuple[date, ...]
    chance_was: float
    chance_now: float | None


@dataclass(frozen=True)
class WayOut:
    """The cheapest remedy of a replan that does not fit, as `replan` lists it."""

    kind: str
    text: str
    cost: str


@dataclass(frozen=True)
class Better:
    """What would have helped beforehand, the cheapest first; it is worked out, and no plan of it is made."""

    what: Literal["earlier", "in two batches"]
    """All work of the line earlier by so many days, so that the loss is seen by its redo-by; or a second
    batch of so many units, from other units and cooked on another day."""
    days: int = 0
    units: int = 0
    minutes: int = 0
    """Lab work that it takes beside that of the plan, about: that of the batch once more."""


@dataclass(frozen=True)
class Rehearsed:
    """One loss, or two at once, and what a replan of that day makes of it."""

    batches: tuple[LostBatch, ...]
    on: date
    """Day on which the loss is seen and the season replanned."""
    outcome: Saved
    way: str | None
    """How it is made again (a name of `lines.rescue.WAYS`); None where it is not, or is but a test."""
    plantings: tuple[Replanted, ...]
    chance_was: float
    """Chance of all plantings before."""
    chance_now: float | None
    """And after; None where no plan fits."""
    new: tuple[str, ...]
    """Ids of batches that are made beside those of the plan."""
    minutes: int
    """Minutes of lab work that this adds to the plan; less than nothing where work falls away."""
    moved: int
    """Promised tasks that move."""
    remedy: WayOut | None
    """The cheapest one, where the season no longer fits."""
    better: tuple[Better, ...]
    """What would have helped; empty where no day is lost, nor the chance below the wish by it."""

    @property
    def names(self) -> tuple[str, ...]:
        """Ids of the batches."""
        return tuple(batch.id for batch in self.batches)

    @property
    def days_later(self) -> int:
        """Days by which the planting that suffers most is planted later."""
        late = [
            (max(planting.now_on) - max(planting.was_on)).days
            for planting in self.plantings
            if planting.now_on and planting.was_on
        ]
        return max(late, default=0)


@dataclass(frozen=True)
class LeftOut:
    """What could not be rehearsed, and why."""

    batches: tuple[str, ...]
    why: str


@dataclass(frozen=True)
class Rehearsal:
    """Every loss of a season that was rehearsed, the worst first."""

    plan_no: int | None
    season: str
    today: date
    wished: float
    late: bool
    """Whether losses are seen when a batch should be ready, else at the last look before that."""
    single: tuple[Rehearsed, ...]
    pairs: tuple[Rehearsed, ...] = ()
    pairs_there: int = 0
    """Pairs that two losses at once could take; those that were rehearsed may be fewer."""
    left_out: tuple[LeftOut, ...] = ()
    notes: tuple[str, ...] = ()
    schema: str = field(default=REHEARSAL_SCHEMA)
