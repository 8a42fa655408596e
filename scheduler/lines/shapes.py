"""What has to be made: demand of each planting, strain lines, batches and their units, before any date.

Masses are grams (liquid culture: millilitres), volumes litres, times minutes, growth in days.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from typing import Literal

from scheduler.plan import Spares, Supply, Unit

LoadClass = Literal["media", "grain", "bags"]


@dataclass(frozen=True)
class YardStep:
    """One kind of yard work of a planting: so many minutes a piece."""

    kind: str
    minutes_per_piece: int
    drill_per_piece: int


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

    @property
    def chance(self) -> float:
        """Chance that enough survives losses."""
        return math.prod(spares.chance for spares in self.spares)


@dataclass(frozen=True)
class Sizing:
    """Everything that has to be made for a season."""

    demands: tuple[Demand, ...]
    lines: tuple[Line, ...]
    level: Literal["wished", "halfway", "bare"]

    def batch(self, batch_id: str) -> BatchSpec:
        """The batch of that id; KeyError if there is none."""
        for line in self.lines:
            for batch in line.batches:
                if batch.id == batch_id:
                    return batch
        raise KeyError(batch_id)

    def demand(self, planting: str) -> Demand:
        """The demand of that planting; KeyError if there is none."""
        for demand in self.demands:
            if demand.planting == planting:
                return demand
        raise KeyError(planting)
