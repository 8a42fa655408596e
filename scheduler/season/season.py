"""A season as the planner reads it: every default filled in, every quantity in one unit, names canonical.

Frozen, so that a remedy or a what-if is `dataclasses.replace` of a part. The file's own shape is in
`season.shapes`; `season.load` turns one into the other and reports every fault at once.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, time
from pathlib import Path

from scheduler.measures import Units
from scheduler.plan import Assumption, DayStart, Period, Rewrite
from scheduler.season.climate import Climate
from scheduler.trade.own import OwnRecord
from scheduler.trade.shapes import Figure


@dataclass(frozen=True)
class Site:
    """Where it grows outdoors. Dates are None where the season file gives none."""

    latitude: float | None = None
    elevation_m: float = 0.0
    leaf_turn: date | None = None
    bud_swell: date | None = None
    ground_thaws: date | None = None
    last_frost: date | None = None


@dataclass(frozen=True)
class People:
    """Whose hands, and when. Minutes by weekday (mon..sun); a weekday left out has none."""

    minutes: Mapping[str, int]
    home_minutes: Mapping[str, int]
    small_minutes: int
    away: tuple[Period, ...] = ()
    prefer: tuple[str, ...] = ()
    felling: str = "own"
    at: Mapping[str, time] = field(default_factory=dict)
    """When work begins, by weekday; of a weekday left out no time is said."""

    def starts(self) -> tuple[DayStart, ...]:
        """When work begins, as plans carry it."""
        return tuple(DayStart(day, f"{at:%H:%M}") for day, at in self.at.items())


@dataclass(frozen=True)
class Help:
    """More hands on one day, for yard work: `people` persons for `minutes` each."""

    on: date
    people: int
    minutes: int


@dataclass(frozen=True)
class Tools:
    """Drills, and litres of soaking tank."""

    drills: int
    tank_l: float | None = None


VESSEL_TREATMENT = {"pressure cooker": "pressure", "steam drum": "steam"}
"""How each kind of cooker treats what it holds."""


@dataclass(frozen=True)
class Cooker:
    """One vessel; `holds` is units a load by container name."""

    kind: str
    loads_per_day: int
    gauge_psi: float | None
    rated_psi: float | None
    holds: Mapping[str, int]

    def treats(self, container: str, ways: Collection[str]) -> bool:
        """Whether it holds a container and heat-treats it in one of the allowed ways."""
        return container in self.holds and VESSEL_TREATMENT[self.kind] in ways


@dataclass(frozen=True)
class Room:
    """Shelf or fridge: temperature constant or by month (1..12), and `holds` (units) or `volume_l`."""

    temperature: float | Mapping[int, float]
    holds: Mapping[str, int] | None = None
    volume_l: float | None = None


@dataclass(frozen=True)
class OwnContainer:
    """A container the catalogue does not have."""

    volume_l: float
    grain_g: float | None = None
    sawdust_g: float | None = None
    liquid_ml: float | None = None


DOWEL_BAG = "bag of dowels"
"""What dowels are sold in, and grown in where the grower says nothing else."""


@dataclass(frozen=True)
class Lab:
    """Where and in what the spawn is made."""

    workspace: str
    grain_in: str
    spawn_in: str
    media: str
    cookers: tuple[Cooker, ...]
    shelf: Room
    fridge: Room
    containers: Mapping[str, OwnContainer] = field(default_factory=dict)
    dowels_in: str = DOWEL_BAG


@dataclass(frozen=True)
class Stock:
    """Something in hand: `amount` in mL (liquid culture) or g, or a number of `units`."""

    species: str
    strain: str
    code: str
    stage: str
    amount: float | None
    units: int | None
    since: date
    """Day it was received, or started where that is what is known."""
    started: bool
    tested: bool
    transfers: int | None
    container: str | None = None


@dataclass(frozen=True)
class LogGroup:
    """So many logs, totems or stumps of one size, in cm (length None for stumps)."""

    count: int
    diameter_cm: float
    length_cm: float | None = None


@dataclass(frozen=True)
class Pattern:
    """Hole spacing along the log and between rows, in cm."""

    along_cm: float
    around_cm: float


@dataclass(frozen=True)
class Standing:
    """Logs, totems, stumps or a bed that stand outdoors already, planted on `planted`."""

    name: str
    species: str
    strain: str
    method: str
    wood: str | None
    groups: tuple[LogGroup, ...]
    area_m2: float | None
    planted: date
    cared: frozenset[str] = frozenset()
    """Ids of tasks that are done, those of its care among them."""


@dataclass(frozen=True)
class Planting:
    """One outdoor project as wished."""

    name: str
    species: str
    strain: str
    code: str
    method: str
    wood: str | None
    groups: tuple[LogGroup, ...]
    """Logs, totems or stumps; empty for a bed."""
    area_m2: float | None
    depth_cm: float | None
    pattern: Pattern | None
    chips: str | None
    """wetted in place | soaked | fermented, or None where the method has no chips."""
    window: Period
    best: Period
    priority: int
    at_least: float | None
    """Fewest logs (or m2) still worth doing."""
    spawn: str
    route: tuple[str, ...]
    felled: date | None
    index: int
    """Position in the season file, from 0: messages say ``planting[index]``."""
    cut: str | None = None
    """wedge | kerf, or None where the method saws no cuts."""

    def standing(self, planted: date, pieces: int | None = None) -> Standing:
        """What stands there once it is planted: all of it, or the first `pieces` (m2 of a bed)."""
        groups, area = self.groups, self.area_m2
        if pieces is not None:
            area = area and min(area, float(pieces))
            groups = first_pieces(groups, pieces)
        return Standing(self.name, self.species, self.strain, self.method, self.wood, groups, area, planted)


def first_pieces(groups: tuple[LogGroup, ...], pieces: int) -> tuple[LogGroup, ...]:
    """The first so many pieces of groups of logs, totems or stumps."""
    found = []
    for group in groups:
        count = min(group.count, pieces)
        pieces -= count
        if count:
            found.append(replace(group, count=count))
    return tuple(found)


@dataclass(frozen=True)
class Lead:
    """Days from ordering to having."""

    culture: int
    spawn: int
    grain: int
    chips: int
    supplies: int


@dataclass(frozen=True)
class Season:
    """The whole season file, resolved."""

    path: Path
    text: str
    name: str
    id: str
    timezone: str
    units: Units
    certainty: float
    today: date
    no_work_before: date
    site: Site
    people: People
    help: tuple[Help, ...]
    tools: Tools
    lab: Lab
    stock: tuple[Stock, ...]
    plantings: tuple[Planting, ...]
    lead: Lead
    figures: Mapping[str, Mapping[str, Figure]]
    """Own figures: ``figures[species]["grain.days"]``; basis is ``own record``."""
    assumed: tuple[Assumption, ...]
    warnings: tuple[str, ...] = ()
    adopted: tuple[Rewrite, ...] = ()
    """What was changed of the file's own text by remedies that were adopted and by plantings put off."""
    standing: tuple[Standing, ...] = ()
    """What stands already: its care and picking compete for the same hours."""
    climate: Climate | None = None
    """What its weather file says, from which what the file leaves out was filled in."""
    own: OwnRecord | None = None
    """What the grower's own books have taught, where that was kept; the catalogue is read with it."""

    def asking_for(self, certainty: float) -> Season:
        """The same with another wished chance than its file says."""
        assumed = tuple(taken for taken in self.assumed if taken.key != "season.certainty")
        return replace(self, certainty=certainty, assumed=assumed)
