"""What holds a unit and how it is heat-treated: containers, cookers, tubs, loads."""

from __future__ import annotations

import math
from dataclasses import dataclass

from scheduler.errors import Fault, SeasonError
from scheduler.lines.shapes import LoadClass
from scheduler.science.rounding import whole_up
from scheduler.season.season import VESSEL_TREATMENT, Room, Season
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.lab import Treatment

CLASS_OF_STAGE: dict[str, LoadClass] = {
    "plate": "media",
    "liquid culture": "media",
    "grain": "grain",
    "sawdust": "bags",
    "pellet": "bags",
    "dowels": "bags",
}


@dataclass(frozen=True)
class Vessel:
    """A container as this season uses it: litres of room, and grams (mL) in one unit by what fills it."""

    name: str
    volume_l: float
    grain_g: float | None
    sawdust_g: float | None
    liquid_ml: float | None
    rest_days: int

    def mass_g(self, stage: str) -> float:
        """Mass of one unit at a stage (mL of liquid culture; a plate counts as one)."""
        masses = {"grain": self.grain_g, "liquid culture": self.liquid_ml, "plate": 1.0, "slant": 1.0}
        return masses.get(stage, self.sawdust_g) or 0.0


def vessel(season: Season, catalogue: Catalogue, name: str) -> Vessel:
    """The grower's own container of that name, else the catalogue's."""
    own = season.lab.containers.get(name)
    if own:
        return Vessel(name, own.volume_l, own.grain_g, own.sawdust_g, own.liquid_ml, 1)
    shape = catalogue.lab.container[name]
    return Vessel(
        name,
        shape.volume.likely,
        shape.grain.likely if shape.grain else None,
        shape.sawdust.likely if shape.sawdust else None,
        shape.liquid.likely if shape.liquid else None,
        round(shape.rest_days.likely),
    )


@dataclass(frozen=True)
class Cooking:
    """How a batch of one container is heat-treated: by cookers, in a tub, or (bought media) not at all."""

    treatment: str | None
    load_class: LoadClass | None
    load_holds: int
    """Units in one load of the vessel that holds most; a batch is never larger."""


NOT_COOKED = Cooking(None, None, 10_000)


def cooking(season: Season, catalogue: Catalogue, species: str, stage: str, container: str) -> Cooking:
    """The treatment of one stage in one container.

    Raises SeasonError where no cooker holds the container and no tub will do.
    """
    load_class = CLASS_OF_STAGE[stage]
    if load_class == "media" and season.lab.media == "bought":
        return NOT_COOKED
    allowed = treatments(catalogue, species, stage)
    fits = [c for c in season.lab.cookers if c.treats(container, allowed)]
    if fits:
        first = VESSEL_TREATMENT[fits[0].kind]
        return Cooking(first, load_class, max(c.holds[container] for c in fits))
    shape = catalogue.lab.container.get(container)
    if "tub" in allowed and shape and shape.tub_holds:
        return Cooking("tub", None, round(shape.tub_holds.likely))
    raise SeasonError(
        [
            Fault(
                where=f"{season.path.name} [lab]",
                found=f"no cooker holds a {container}, and {species} {stage} has to be treated",
                allowed="a [[lab.cooker]] whose `holds` names that container (" + ", ".join(allowed) + ")",
                hint=f'holds = {{ "{container}" = 3 }} under [[lab.cooker]]',
            )
        ]
    )


def treatments(catalogue: Catalogue, species: str, stage: str) -> tuple[str, ...]:
    """Heat treatments that a stage tolerates, best first; media are only ever treated under pressure."""
    named = catalogue.species[species].treatments.get(stage)  # type: ignore[call-overload]
    usual = ("pressure",) if CLASS_OF_STAGE[stage] == "media" else ("pressure", "steam")
    return tuple(named or usual)


def treatment(catalogue: Catalogue, name: str, load_class: str, container: str) -> Treatment:
    """The catalogue's times for a treatment, class and container; the class's longest if it names none."""
    same = [t for t in catalogue.lab.treatment if t.name == name and t.class_ == load_class]
    named = [t for t in same if container in t.containers]
    return max(named or same, key=lambda t: t.hold.likely)


def room_share(season: Season, catalogue: Catalogue, room: Room, container: str) -> tuple[int, int]:
    """(capacity, what one unit takes) of a room, in whole parts.

    By volume in decilitres. Where a room is given by `holds`, each unit takes 1/n of it; a container that
    `holds` does not name (plates, as a rule) is measured by volume against the largest one it names.
    """
    size = vessel(season, catalogue, container).volume_l
    if room.holds is None:
        return round((room.volume_l or 0.0) * 10), max(1, whole_up(size * 10))
    capacity = 10 * math.lcm(*room.holds.values())
    if container in room.holds:
        return capacity, capacity // room.holds[container]
    named = max(room.holds, key=lambda name: vessel(season, catalogue, name).volume_l)
    part = capacity / room.holds[named] * size / vessel(season, catalogue, named).volume_l
    return capacity, max(1, whole_up(part))
