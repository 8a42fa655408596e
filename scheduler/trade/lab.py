"""The shapes of the lab files: containers, heat treatments, losses, checks, bench work, culture work.

Files: ``profiles/lab/*.toml``, merged into one `Lab`.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from scheduler.trade.shapes import Figure, Keeping, Shape


class Container(Shape):
    """A jar, bag, plate or bottle. File: ``profiles/lab/containers.toml``, table ``[container."<name>"]``."""

    aliases: list[str] = Field(default_factory=list)
    volume: Figure
    """Litres of room one filled unit takes, handling gaps included."""
    grain: Figure | None = None
    """Grams of hydrated grain in one unit."""
    sawdust: Figure | None = None
    """Grams of wet sawdust or pellet substrate in one unit."""
    liquid: Figure | None = None
    """Millilitres of liquid culture in one unit."""
    pressure_holds: Figure | None = None
    """Units in one load of the default 22-litre pressure cooker; None where it does not fit."""
    tub_holds: Figure | None = None
    drum_holds: Figure | None = None
    """Units in one load of a steam drum, a barrel of 200 litres; None where it is not steamed there."""
    rest_days: Figure
    """Days from heat treatment to the first day it may be inoculated."""


class Treatment(Shape):
    """Heat treatment of one time class in one kind of vessel.

    File: ``profiles/lab/treatments.toml``, array ``[[treatment]]``.
    """

    name: Literal["pressure", "steam", "tub"]
    class_: Annotated[Literal["media", "grain", "bags"], Field(alias="class")]
    containers: list[str]
    heat_up: Figure
    """Minutes until the load is at temperature."""
    hold: Figure
    """Minutes at temperature at sea level and full gauge pressure."""
    cool: Figure
    """Minutes somebody stays on the premises while it falls to zero."""
    hands: Figure
    """Hands-on minutes a load: filling, closing, emptying."""
    extra_loss: Figure
    """Loss probability added for units treated this way."""


class Loss(Shape):
    """Loss probability of one unit at one stage in one workspace: a Beta prior by mean and weight."""

    stage: Literal["plate", "liquid culture", "grain", "sawdust", "pellet", "dowels"]
    rate: Figure
    weight: Figure
    """How many units of experience the prior is worth (a + b of the Beta law)."""


class Check(Shape):
    """When a batch is looked at. `likely` is the usual day after inoculation, low and high its band."""

    name: Literal["first", "second"]
    day: Figure
    what: str


class BenchWork(Shape):
    """Hands-on minutes of lab work: `fixed` for a session and `unit` for each unit."""

    kind: str
    fixed: Figure
    unit: Figure
    small: bool
    steps: list[str] = Field(default_factory=list)


class Culture(Shape):
    """Figures of culture work."""

    liquid_per_jar: Figure
    """mL of liquid culture for a quart jar of grain; scaled by grain mass."""
    jars_per_plate: Figure
    children_per_grain: Figure
    """Mass expansion grain to grain (1:10)."""
    test_days: Figure
    test_plates: Figure
    test_volume: Figure
    """mL used by a plate test."""
    keep_back_volume: Figure
    keep_back_plates: Figure
    syringe: Figure
    """mL in a bought culture."""
    most_syringes: Figure
    """Bought cultures that are ordered together for one line, at most."""
    enlarge: Figure
    """mL of liquid culture that 1 mL makes."""
    plate_age: Figure
    """Days after which a plate is refreshed before use."""
    transfers_warned: Figure
    """Transfers since the master culture from which on growth is watched."""
    transfers_most: Figure
    """Transfers at which a line is better begun anew."""
    plates_per_plate: Figure


class Lab(Shape):
    """Everything the lab files hold, merged. Files: ``profiles/lab/*.toml``."""

    container: dict[str, Container]
    treatment: list[Treatment]
    losses: dict[Literal["still-air box", "flow hood", "clean room"], list[Loss]]
    load_loss: Figure
    load_weight: Figure
    """How many loads of experience that is worth (a + b of the Beta law)."""
    hidden_infection: Figure
    shown_early: Figure
    """Share of losses that show by the second look; the others show at any time after it."""
    keeping: dict[Literal["liquid culture", "plate", "grain", "sawdust", "pellet", "dowels"], Keeping]
    check: list[Check]
    bench: list[BenchWork]
    culture: Culture
    inoculation_rate: dict[Literal["sawdust", "pellet", "dowels"], Figure]
    """Grain as percent of the wet mass of the finished spawn."""
    usable: Figure
    """Usable share of a finished spawn unit."""
    handling: Figure
    """Handling waste when planting, share."""
    grain_usable: Figure
    """Usable share of a grain unit when it is moved on."""
    grain_water: Figure
    """Litres of water taken up by 1 kg of dry grain."""
    grain_dry: Figure
    """kg of dry grain for 1 kg of hydrated grain."""
    pellet_moisture: Figure
    substrate_moisture: Figure
    sealed_days: Figure
    """Days a sealed, unopened, heat-treated load may wait before inoculation."""
    tub_days: Figure
    """Days pellets scalded in a tub may wait before inoculation: nothing seals them."""
    core_warmer: Figure
    """C by which the core of a growing bag lies above the room."""
    shake_at: Figure
    """Share of the run at which grain is shaken."""
    last_shake: Figure
    """Days before use of the last shake."""
    max_generation: Figure
    warn_generation: Figure
    opened_bag: Figure
    """Days within which an opened unit is best used; the safe side for grain."""
    opened_most: Figure
    """Days within which an opened bag of finished spawn is used at the latest."""
    together: Figure
    """How far the days of a line's batches go together: 0 not at all, 1 all slow or all fast."""
    head_start: Figure
    """Days between the recommended and the last safe start."""
    notes: list[str] = Field(default_factory=list)
