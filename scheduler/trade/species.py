"""The shape of a species profile: how it grows in the lab, what it suits, how it is planted and picked."""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import Field

from scheduler.trade.shapes import Basis, Figure, Keeping, Permission, Piece, Shape, StageName

KeptStage = Literal["liquid culture", "plate", "grain", "sawdust", "pellet", "dowels"]
PartOfYear = Literal[
    "early spring", "late spring", "early summer", "late summer",
    "early autumn", "late autumn", "early winter", "late winter",
]  # fmt: skip
"""Halves of the seasons, of six weeks and a half; spring begins with March, in the south with September."""


class Temperature(Shape):
    """Cardinal temperatures of mycelial growth and the temperature the day figures are for, in C."""

    min: Figure
    optimum: Figure
    max: Figure
    reference: Figure


class Days(Shape):
    """Days from inoculation to fully run at the reference temperature, by stage and parent.

    `lag` is the part that temperature does not scale. `grain` is keyed by its parent stage
    (plate, liquid culture, grain); other stages do not depend on their parent.
    """

    lag: Figure
    plate: Figure
    liquid_culture: Annotated[Figure, Field(alias="liquid culture")]
    grain: dict[Literal["plate", "liquid culture", "grain"], Figure]
    sawdust: Figure
    pellet: Figure
    dowels: Figure


class PlantingWeather(Shape):
    """The weather that fresh spawn of a species is brought into, in C; a method may ask for more."""

    day: Figure
    """Daily highs that planting waits for."""
    hottest: Figure
    """Daily highs beyond which other fungi are the faster ones."""


class Fruiting(Shape):
    """When a species, or a group of its strains, fruits outdoors."""

    temperature: Figure
    """Daily means at which it fruits: the band, and the best of it, in C."""
    seasons: Annotated[list[PartOfYear], Field(min_length=1)]
    """In calendar order, spring first."""
    trigger: Literal["cooling", "rain", "warmth"]
    """What brings a flush in season."""
    soaking: bool = False
    """Whether a soak forces a flush out of season."""
    basis: Basis
    """Of seasons, trigger and soaking."""
    source: str = ""


class Strains(Shape):
    """A group of strains that fruit alike, told by a word in the strain's name."""

    words: Annotated[list[str], Field(min_length=1)]
    fruiting: Fruiting


class Harvest(Shape):
    """What is picked, fresh. Beds and logs that fail are in `low`."""

    per: dict[Piece, Figure]
    """Over the whole life of one piece: kg from a log of 12.5 cm x 1 m, a totem of 25 cm x 75 cm, a stump of
    30 cm across; kg/m2 from a bed."""
    by_year: Annotated[dict[int, Figure], Field(min_length=1)]
    """Share of that in the first year of picking, the second, and so on."""


class LookAlike(Shape):
    """A wild fungus that may stand where the planted one does, and how it differs."""

    danger: Literal["deadly", "poisonous", "upsets the stomach", "harmless"]
    tell: str
    """How it differs; for kinds that can kill, told by a person who knows them and not by this line alone."""
    basis: Basis
    """Of the danger; how it differs is recalled."""
    source: str = ""


class Conflict(Shape):
    """A figure on which sources disagree: what others say, and why it is planned as it is."""

    says: Annotated[dict[str, Figure], Field(min_length=1)]
    """By who says it."""
    why: str


class Species(Shape):
    """What the trade knows of one species. File: ``profiles/species/<name>.toml``."""

    name: str
    botanical: str
    aliases: list[str] = Field(default_factory=list)
    code: Annotated[str, Field(pattern="^[A-Z]{3}$")]
    """Strain code written on jars unless the grower gives another."""
    group: Literal["wood", "litter"]
    route: list[StageName]
    """Usual stages from culture to finished spawn."""
    fridge: bool = True
    """False where finished spawn must not be refrigerated."""
    temperature: Temperature
    days: Days
    consolidation: dict[Literal["grain", "sawdust", "pellet", "dowels"], Figure]
    """Days added after fully run before a batch is called ready."""
    keeping: dict[KeptStage, Keeping] = Field(default_factory=dict)
    """Overrides of the lab's general storage lives, by stage."""
    treatments: dict[Literal["grain", "sawdust", "pellet"], list[Literal["pressure", "steam", "tub"]]]
    """Heat treatments this species' spawn tolerates, best first."""
    methods: dict[str, Permission]
    """By method name; a method that is missing is refused."""
    wood: dict[str, Permission]
    """By wood name of ``profiles/wood.toml``; a known wood that is missing is warned about."""
    rest: Figure
    """Days of rest between felling and planting; `low` is the shortest allowed."""
    grain_planting: Permission
    """Whether grain may be the planting spawn (totems, chips) at all."""
    losses: Figure
    """Losses of this species' units relative to the lab's, in times."""
    planting: PlantingWeather
    fruiting: Fruiting
    """Of strains of which nothing more is known."""
    strains: dict[str, Strains] = Field(default_factory=dict)
    """Groups of strains that fruit otherwise, where a species has such."""
    first_flush: Figure
    """Months from planting to the first flush."""
    run_speed: Figure | None = None
    """Growth in logs relative to shiitake, in times; None for species that do not live in logs."""
    years: Figure
    """Years of picking."""
    harvest: Harvest
    look_alikes: dict[str, LookAlike]
    """By botanical name."""
    cautions: list[str] = Field(default_factory=list)
    """Keys of ``profiles/cautions.toml`` that every picking or planting of this species carries."""
    conflicts: dict[str, Conflict] = Field(default_factory=dict)
    """By the name of the figure: one of this species (``days.sawdust``), or a full one of the catalogue."""

    def fruiting_of(self, strain: str) -> Fruiting:
        """When a strain fruits, as far as its name says: ``WR46`` is a wide-range strain of shiitake."""
        words = set(re.findall(r"[^\W\d_]+", strain.casefold()))
        for group in self.strains.values():
            if words & set(group.words):
                return group.fruiting
        return self.fruiting
