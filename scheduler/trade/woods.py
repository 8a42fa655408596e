"""The shapes of woods: how heavy and moist they are, how logs dry, and how mycelium runs through them."""

from __future__ import annotations

from pydantic import Field

from scheduler.trade.shapes import Figure, Shape


class Wood(Shape):
    """One wood: green density and fresh moisture. File: ``profiles/wood.toml``, table ``[wood."<name>"]``."""

    botanical: str
    aliases: list[str] = Field(default_factory=list)
    green_density: Figure
    """kg per m3 with bark."""
    fresh_moisture: Figure
    """Percent of wet mass when felled."""


class WoodRules(Shape):
    """Drying and moisture. File: ``profiles/wood.toml``, table ``[rules]``."""

    loss_winter: Figure
    loss_spring: Figure
    loss_summer: Figure
    small_log_factor: Figure
    small_log_diameter: Figure
    moisture_ideal: Figure
    moisture_floor: Figure
    moisture_danger: Figure
    moisture_lethal: Figure
    moisture_wetted: Figure
    """What logs are taken for that were soaked or watered, or lay in a week of enough rain."""
    moisture_left_alone: Figure
    """So far down logs are reckoned to dry where no weight says more."""
    loss_to_water: Figure
    """Percent of its starting weight that a log loses before it is watered."""
    enough_rain: Figure
    weigh_in_heat: Figure
    weigh_else: Figure
    first_weight_within: Figure
    size_play: Figure
    """Share of its diameter by which a log may differ from the size the season names."""
    wood_substance: Figure
    oldest: Figure
    two_person_mass: Figure
    cart_load: Figure
    """kg of green wood that one person moves in one trip."""
    trip: Figure
    """Minutes of one such trip: loading, the way there and back, unloading."""
    spare_from: Figure
    """Pieces from which at least one is felled beyond the need, where a method has spares at all."""


class DrillPattern(Shape):
    """A hole pattern in use, in cm, as growers of either unit system write it."""

    metric: str
    imperial: str
    along: Figure
    around: Figure


class Run(Shape):
    """How mycelium runs through logs. File: ``profiles/run.toml``."""

    along: Figure
    """mm a day of the growing season along the grain."""
    across: Figure
    """mm a day across it."""
    sapwood: Figure
    """cm from the bark that have to be run."""
    growing_days: Figure
    """Days of the growing season in a year."""
    warmest_day: Figure
    """The middle of that season, a day of the year in the north."""
    pattern: list[DrillPattern]
