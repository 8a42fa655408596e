"""The words of the outlook: how likely a planned season is to work out, and what that hangs on.

Frozen plain data, as `plan` is; its field names are the keys of the document ``budswell.outlook/1``. A chance
is a share (0 to 1) of the seasons that were played, `stderr` its standard error. Dates are `datetime.date`,
masses grams.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Literal

OUTLOOK_SCHEMA = "budswell.outlook/1"

USUAL_SEASONS = 20_000
"""Played where nothing else is said: a chance of 90 % is then known to two tenths of a point."""
USUAL_SEED = 1

LEAST_WISH, MOST_WISH = 0.5, 0.999
"""Chances that may be wished for."""

LEVELS = (0.95, 0.9, 0.8, 0.5)
"""Chances for which the last start is looked for."""


@dataclass(frozen=True)
class StartPoint:
    """The chance where nothing is begun before a day."""

    start: date
    chance: float
    stderr: float


@dataclass(frozen=True)
class LastStart:
    """Last day on which the first work may be done so that the chance is not below `chance`."""

    chance: float
    start: date | None
    """None where no start of those looked at reaches it."""


@dataclass(frozen=True)
class Hang:
    """One thing that a planting came to nothing through."""

    why: Literal["too few", "late", "late after a redo"]
    """Too few good units of a stage; or enough of everything, but not in the window."""
    stage: str
    """The stage that was short: ``grain G1, Oak stack``; empty where it was late."""
    batches: tuple[str, ...]
    share: float
    """Share of all seasons."""


@dataclass(frozen=True)
class LeftOver:
    """Good finished spawn beyond what a planting takes, in the seasons in which it is made."""

    low_g: float
    """In one season of ten there is less."""
    middle_g: float
    high_g: float
    """In one season of ten there is more."""


@dataclass(frozen=True)
class PlantingOutlook:
    """One planting, over all seasons that were played."""

    name: str
    line: str
    chance: float
    """Chance that it is planted in its window with enough spawn."""
    stderr: float
    losses_only: float
    """Chance as the plan has it: that no stage is short by losses, without any redo."""
    planned_on: date
    later: float
    """Share of seasons in which it is planted on a later day than planned."""
    hangs_on: tuple[Hang, ...]
    """Largest share first."""
    left_over: LeftOver | None
    """None where it is made in no season."""
    starts: tuple[StartPoint, ...] = ()
    last_starts: tuple[LastStart, ...] = ()


@dataclass(frozen=True)
class Gain:
    """What one change would add to the chance of all plantings, in the very same seasons."""

    change: Literal["one more unit", "a week earlier"]
    line: str
    stage: str
    """The stage of the unit; empty where the whole line is begun earlier."""
    batches: tuple[str, ...]
    plantings: tuple[str, ...]
    gain: float
    stderr: float


@dataclass(frozen=True)
class SeasonOutlook:
    """How likely a season is to work out."""

    plan_no: int | None
    season: str
    today: date
    units: Literal["metric", "imperial"]
    seasons: int
    """Seasons played for the chances; those of the starts rest on `start_seasons`."""
    start_seasons: int
    seed: int
    wished: float
    chance: float
    """Chance that all plantings are planted in their windows with enough spawn."""
    stderr: float
    losses_only: float
    plantings: tuple[PlantingOutlook, ...]
    gains: tuple[Gain, ...] = ()
    """Largest gain first."""
    starts: tuple[StartPoint, ...] = ()
    """Empty where everything has begun."""
    last_starts: tuple[LastStart, ...] = ()
    notes: tuple[str, ...] = ()
    schema: str = field(default=OUTLOOK_SCHEMA)
