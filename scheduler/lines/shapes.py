"""What has to be made: demand of each planting, strain lines, batches and their units, before any date.

Masses are grams (liquid culture: millilitres), volumes litres, times minutes, growth in days.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from scheduler.plan import Spares, Supply, Unit

LoadClass = Literal["media", "grain", "bags"]


@dataclass(frozen=True)
class YardPart:
    """One station of a yard step: minutes a piece, unrounded."""

    station: str
    what: str
    low: float
    likely: float
    high: float
    holds: str = ""
    """What each person there has in hand, where there is not one for everybody: ``drill``, ``saw``."""
    ahead: str = ""
    """What has to be begun `ahead_minutes` before the work at this station."""
    ahead_minutes: int = 0


@dataclass(frozen=True)
class YardStep:
    """One kind of yard work of a planting: so many minutes a piece, setting up shared out."""

    kind: str
    minutes_per_piece: int
    drill_per_piece: int
    parts: tuple[YardPart, ...] = ()
    """The same by station, without setting up."""
    set_up: tuple[float, float, float] = (0.0, 0.0, 0.0)
    """Low, likely and high minutes of setting up."""
    set_up_what: str = ""


@dataclass(frozen=True)
class Begun:
    """What is done already of a planting whose amounts are those of what is left."""

    to_fell: int
    """Pieces still to be felled; 0 where all wood is down."""
    first_felled: date | None
    """First day of the felling that is done: that wood is the driest."""
    last_felled: date | None
    chips_on: date | None
    """First day on which chips were prepared; None before any were."""
    chips_left: int = 0
    """Pieces whose chips are still to be prepared, once some are."""


@dataclass(frozen=True)
class Demand:
    """What one planting takes."""

    planting: str
    pieces: int
    size: str
    pattern: str
    spawn_g: float
    """Finished spawn to be put in, handling waste included."""
    steps: tuple[YardStep, ...]
    supplies: tuple[Supply, ...]
    chips_l: float
    wood_kg: float
    heaviest_piece_kg: float
    notes: tuple[str, ...] = ()
    layout: tuple[str, ...] = ()
    """Where holes are drilled or cuts are sawn, in sentences for the planting task."""
    begun: Begun | None = None
    """What was done already; all amounts above are those of what is left. None before anything was."""
    spare_pieces: int = 0
    """Logs that are felled beyond the need; they are no pieces."""
    trips: int = 0
    """Trips of a cart that bring all wood, spares included; 0 where none is hauled."""

    @property
    def felled_kg(self) -> float:
        """Green mass of all wood that is felled, spares included."""
        return self.wood_kg * (self.pieces + self.spare_pieces) / self.pieces

    def step(self, kind: str) -> YardStep | None:
        """The step of that kind; None where the method has none."""
        return next((step for step in self.steps if step.kind == kind), None)


@dataclass(frozen=True)
class Growth:
    """Days from inoculation to fully run at the reference temperature, the part that temperature does
    not scale, and the days of consolidation after it."""

    low: float
    likely: float
    high: float
    lag: float
    consolidation: float


@dataclass(frozen=True)
class BatchSpec:
    """A batch before it has days."""

    id: str
    line: str
    species: str
    strain: str
    stage: str
    generation: int | None
    container: str
    needed: int
    started: int
    """Keep-backs included."""
    keep_back: int
    units: tuple[Unit, ...]
    """Every unit with the unit it is made from; kept-back units come last."""
    unit_mass_g: float
    usable: float
    """Share of a unit's mass that can be passed on."""
    unit_volume_l: float
    feed_g: float
    """Mass of its parent that one unit takes (mL of liquid; 0 where that is not measured)."""
    parents: tuple[str, ...]
    """Ids of the batches its units are made from."""
    plantings: tuple[str, ...]
    """Names of the plantings it serves."""
    treatment: str | None
    load_class: LoadClass | None
    """None where no cooker takes it: bought media, a tub, or a batch that is there already."""
    rest_days: int
    """Days from heat treatment to inoculation, at least."""
    growth: Growth | None
    """None where it is there already or bought ready."""
    fresh_days: int
    keeps_days: int
    waits_in: Literal["fridge", "shelf"]
    state: Literal["planned", "in hand", "bought"]
    there_on: date | None
    """Day a batch in hand or bought is there (and its age starts to count)."""
    aged_days: int
    """Days of its keeping time used up when it is there."""
    minutes: int
    """Hands-on minutes of the inoculation session."""
    is_test: bool = False
    cooked_on: date | None = None
    """Day on which it was heat-treated; None before that."""
    begun_on: date | None = None
    """Day on which it was inoculated; None before that."""
    passed_on: Mapping[str, float] = field(default_factory=dict)
    """What its units gave to units that are gone by now, in grams (mL, plates), by unit id."""
    ordered_on: date | None = None
    """Day on which it was ordered, where it is bought; None before that."""
    found_ready_on: date | None = None
    """Day on which it was found fully run, whatever its growth says; None where nobody has."""
    transfers: int | None = None
    """Transfers since the master, as `lines.transfers` counts them; None where nobody knows."""

    @property
    def is_to_make(self) -> bool:
        """Whether it is still to be inoculated."""
        return self.growth is not None and self.begun_on is None


@dataclass(frozen=True)
class Line:
    """The descent from one culture to the finished spawn of one strain, parents before children."""

    code: str
    species: str
    strain: str
    plantings: tuple[str, ...]
    batches: tuple[BatchSpec, ...]
    spares: tuple[Spares, ...]
    buffer_days: int
    """Days between ready and planting that the wished certainty asks for, before *fresh for* caps it."""
    notes: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()
    """Ids of batches that were in the line once: they are not given out again."""

    @property
    def chance(self) -> float:
        """Chance that enough survives losses."""
        return math.prod(spares.chance for spares in self.spares)


@dataclass(frozen=True)
class Lost:
    """Units of one batch that went mouldy and are still closed."""

    batch: str
    units: tuple[str, ...]
    species: str
    container: str
    stage: str
    load_class: LoadClass | None
    """Time class of the load that kills them; None where no cooker of the season takes them."""
    found_on: date


@dataclass(frozen=True)
class Sizing:
    """Everything that has to be made for a season."""

    demands: tuple[Demand, ...]
    lines: tuple[Line, ...]
    level: Literal["wished", "halfway", "bare"]
    supplied: frozenset[str] = frozenset()
    """Works whose goods are taken to be ordered or there: no lead time holds them back."""
    lost: tuple[Lost, ...] = ()
    """Units to be heat-killed before they are emptied."""

    @property
    def since(self) -> date | None:
        """First day of which it tells something that was done; None where nothing was."""
        days = [
            day
            for line in self.lines
            for batch in line.batches
            for day in (batch.there_on, batch.cooked_on, batch.begun_on)
            if day is not None
        ]
        days += [d.begun.chips_on for d in self.demands if d.begun and d.begun.chips_on]
        return min(days, default=None)

    def batches(self) -> Iterator[BatchSpec]:
        """All batches, line by line, parents first."""
        for line in self.lines:
            yield from line.batches

    def batch(self, batch_id: str) -> BatchSpec:
        """The batch of that id; KeyError if there is none."""
        for batch in self.batches():
            if batch.id == batch_id:
                return batch
        raise KeyError(batch_id)

    def demand(self, planting: str) -> Demand:
        """The demand of that planting; KeyError if there is none."""
        for demand in self.demands:
            if demand.planting == planting:
                return demand
        raise KeyError(planting)


@dataclass(frozen=True)
class Basis:
    """What a kept plan was written from, so that the next one can keep to it."""

    sizing: Sizing
    days: Mapping[str, Mapping[date, int]]
    """Days of every work, with pieces."""
    cooker: Mapping[str, str] = field(default_factory=dict)
    seen: tuple[int, ...] = ()
    """Numbers of the book's entries that stood when it was made."""
    ahead: Mapping[str, date] = field(default_factory=dict)
    """Days of its checks ahead, by their tasks' ids."""
    certainty: float | None = None
    """The chance that was asked for when it was planned; None where the season file's wish counts."""
