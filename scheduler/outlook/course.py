"""A season as the dice see it: batches, stages and plantings as frozen numbers, with the days open to each.

All days are day numbers from `Course.origin`; `NEVER` stands for a day that does not come. What is asked
about another season (more spares, more margin, a later start) is asked of a changed course, made with
`dataclasses.replace`.

What happens in a season that is played
- A batch is inoculated on its planned day, or where its parents are late on the next day that is open to it.
  What its parents have left by then feeds as many of its units as it can, those planned first.
- Its days to fully run follow a PERT law; those of one line go together as `Course.together` says.
- A unit is lost by itself (with a probability that is the same for a whole stage, and unknown: Beta), with
  its load, or because the parent unit it comes from carried a hidden infection: the law of the spares.
- A loss shows itself by the last look before the batch is ready as often as `Course.shown_early` says, else
  at any time after it; what goes wrong with a whole load shows in all of it at once. It is noticed at the
  next look, at the latest when the batch is ready.
- Once a stage has fewer units than it needs, one batch of it is made again from what was kept back, if that
  is noticed by its redo-by and what it is made from lives; once only. The new batch can fail like any other.
- Where nothing may be begun before a day, no line begins before it, nor is anything made again.
- A planting is planted on its planned day, or on the next open day of its window on which enough of its spawn
  is ready and still keeps.
Batches that are late are taken not to be in each other's way.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from scheduler.lines.spares import Odds

NEVER = 10**6
"""A day that does not come."""


@dataclass(frozen=True)
class Openings:
    """On which days a batch can be inoculated; both tables are indexed by day number."""

    begin: tuple[int, ...]
    """First day not before this one on which it can be inoculated."""
    anew: tuple[int, ...]
    """The same, where the work on it (its heat treatment, where it has one) cannot begin before this day."""


@dataclass(frozen=True)
class Run:
    """Days from inoculation to ready.

    Low, likely and high days at the reference temperature, of which the first `lag` are not scaled by
    temperature; each other one is worth `rate` optimum days, gathered day by day as `development` says.
    """

    low: float
    likely: float
    high: float
    lag: float
    rest: int
    """Whole days of consolidation."""
    rate: float
    development: tuple[float, ...]
    """Optimum days gathered before each day number (`science.growth.development`)."""


@dataclass(frozen=True)
class Grown:
    """One batch: something to be made, under way, or there."""

    id: str
    line: str
    stage: str
    """Key of its `Stage`."""
    planned: int
    """Day it is to be inoculated, was inoculated, or is there."""
    units: int
    keeps: int
    """Days from ready for which its units can be used."""
    feeds: float
    """Child units that one unit feeds; 0 where nothing is made from it."""
    grams: float
    """What one unit is worth where it is planted."""
    run: Run | None = None
    """None where it is there already or bought ready."""
    odds: Odds | None = None
    """None where nothing is lost any more."""
    loads: tuple[str, ...] = ()
    """The load that each unit is in; empty where it needs none."""
    looks: tuple[int, ...] = ()
    """Days after inoculation on which it is looked at, besides the day on which it is ready."""
    openings: Openings | None = None
    """None where it is there already or bought ready."""
    begun: bool = False
    """Whether it was inoculated already."""
    after: tuple[str, ...] = ()
    """Keys of the tests that have to be read before it is inoculated."""
    starts: bool = False
    """Whether its line begins with it: nothing of it is done, and but for tests nothing comes before it."""
    not_ready_before: int = 0


@dataclass(frozen=True)
class Again:
    """How a batch of a stage is made again, once."""

    by: int
    """Last day on which the loss may be noticed (redo-by)."""
    wait: int
    """Days from noticing it to the first work on it: what it is made of has to come."""
    units: int
    parent_wait: int | None = None
    """Where the jar that was kept back is too little, the parents are made once more first: their `wait`."""


@dataclass(frozen=True)
class Stage:
    """Batches of one line and stage that stand in for each other: what a row of the spares speaks of."""

    key: str
    line: str
    name: str
    """As among the spares: ``grain G1, Oak stack``."""
    need: int
    """Units that have to stay good."""
    parent: str | None
    """Key of the stage it is made from; None where nothing is, or not any more."""
    by_jar: bool
    """Whether a hidden infection takes all children of one jar; else each unit runs that risk for itself."""
    again: Again | None
    """None where it cannot be made again, or where nothing of it is needed any more."""
    is_test: bool = False


@dataclass(frozen=True)
class Planted:
    """One planting."""

    name: str
    line: str
    stage: str
    """Key of the stage that is its finished spawn."""
    need_g: float
    planned: int
    open: tuple[int, ...]
    """First day not before this one, up to the end of the window, on which it can be planted."""


@dataclass(frozen=True)
class Course:
    """A season, ready to be played; stages stand parents first, batches in the order they are planned."""

    origin: date
    today: int
    batches: tuple[Grown, ...]
    stages: tuple[Stage, ...]
    plantings: tuple[Planted, ...]
    together: float
    """Share (0 to 1) of what makes a batch fast or slow that it has in common with its whole line."""
    shown_early: float
    """Share (0 to 1) of losses that show by the last look before the batch is ready."""
    not_before: int = 0
    """No line begins before this day."""

    def lines(self) -> tuple[str, ...]:
        """Codes of the lines that end in a planting, in order."""
        return tuple(dict.fromkeys(planting.line for planting in self.plantings))

    def of(self, stage: str) -> Iterator[Grown]:
        """The batches of a stage."""
        return (batch for batch in self.batches if batch.stage == stage)

    def only(self, line: str) -> Course:
        """One line by itself; it plays as it does among the others."""
        return replace(
            self,
            batches=tuple(batch for batch in self.batches if batch.line == line),
            stages=tuple(stage for stage in self.stages if stage.line == line),
            plantings=tuple(planting for planting in self.plantings if planting.line == line),
        )
