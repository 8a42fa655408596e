"""Batches in words, what goes into their units, and what cautions ask of them."""

from __future__ import annotations

import math

from scheduler import measures
from scheduler.assemble.frame import Frame
from scheduler.lines.shapes import BatchSpec
from scheduler.plan import Supply
from scheduler.science.quantities import pellets_for, water_to_add
from scheduler.science.rounding import whole_up


def container_words(batch: BatchSpec, count: int) -> str:
    """A number of units in words: ``7 quart jars``, ``3 x 2.3 kg bag``."""
    name = batch.container
    if name[:1].isdigit():
        return f"{count} x {name}"
    return measures.counted(count, name)


def facts(batch: BatchSpec) -> list[str]:
    """What cautions may ask for: species, time class and treatment of a batch."""
    found = [f"species:{batch.species}"]
    if batch.load_class:
        found.append(f"class:{batch.load_class}")
    if batch.treatment:
        found.append(f"treatment:{batch.treatment}")
    return found


def spawn_words(stage: str) -> str:
    """Finished spawn as it is sold; spawn grown on pellets is sawdust spawn."""
    return {"grain": "grain spawn", "dowels": "dowel spawn"}.get(stage, "sawdust spawn")


def substrate(frame: Frame, batch: BatchSpec) -> list[Supply]:
    """What goes into the units of a batch: dry grain or pellets and the water for them; dowels by count."""
    lab = frame.catalogue.lab
    mass_kg = batch.started * batch.unit_mass_g / 1000.0
    if batch.stage == "grain":
        dry = mass_kg * lab.grain_dry.likely
        return [
            Supply("dry grain", _up(dry), "kg"),
            Supply("water", _up(dry * lab.grain_water.likely), "L"),
        ]
    if batch.stage in ("sawdust", "pellet"):
        now, wanted = lab.pellet_moisture.likely, lab.substrate_moisture.likely
        dry = pellets_for(mass_kg, now, wanted)
        item = "hardwood fuel pellets" if batch.stage == "pellet" else "dry hardwood sawdust"
        return [
            Supply(item, _up(dry), "kg"),
            Supply("water", _up(water_to_add(dry, now, wanted)), "L"),
        ]
    if batch.stage == "dowels":
        each_g = frame.catalogue.methods["drilled logs"].figures["dowel_mass_g"].likely
        return [Supply("dry hardwood dowels", whole_up(mass_kg * 1000.0 / each_g), "pieces")]
    return [Supply(f"dry medium for a {batch.container}", batch.started, "portions")]


def amount_words(frame: Frame, supply: Supply) -> str:
    """A supply in words: ``1.4 kg dry grain``, ``2000 dry hardwood dowels``."""
    if supply.unit == "pieces":
        return f"{supply.quantity:.0f} {supply.item}"
    return f"{measures.quantity(supply.quantity, supply.unit, frame.season.units)} {supply.item}"


def _up(amount: float) -> float:
    """Rounded up to a tenth: a little more is bought rather than a little too little."""
    return math.ceil(amount * 10 - 1e-6) / 10
