"""The figures a plan rests on, and how sure the season is."""

from __future__ import annotations

import math
from collections.abc import Iterator

from scheduler.assemble.frame import Frame
from scheduler.plan import FigureUsed, Spares
from scheduler.problem import bench
from scheduler.trade.shapes import Figure


def figures(frame: Frame) -> tuple[FigureUsed, ...]:
    """Every figure of the catalogue that this plan rests on; the grower's own ones first."""
    own = [
        _used(f"{species}.{name}", figure)
        for species, table in sorted(frame.season.figures.items())
        for name, figure in sorted(table.items())
    ]
    prefixes = tuple(_prefixes(frame))
    rest = [_used(name, figure) for name, figure in frame.catalogue.figures() if name.startswith(prefixes)]
    return (*own, *rest)


def _prefixes(frame: Frame) -> Iterator[str]:
    """Dotted names (or their beginnings) of what this plan uses."""
    for batch in frame.batches.values():
        head = f"species.{batch.species}"
        yield f"{head}.temperature"
        yield f"{head}.losses"
        yield f"{head}.days.lag"
        yield f"{head}.days.{batch.stage}"
        yield f"{head}.consolidation.{batch.stage}"
        yield f"{head}.keeping.{batch.stage}"
        yield f"lab.keeping.{batch.stage}"
        yield f"lab.container.{batch.container}"
        yield f"lab.losses.{frame.season.lab.workspace}.{batch.stage}"
        yield f"lab.inoculation_rate.{batch.stage}"
        if batch.treatment:
            yield f"lab.treatment.{batch.treatment} {batch.load_class or 'bags'} {batch.container}"
        if batch.treatment == bench.TUB:
            yield "lab.tub_days"
    for planting in frame.season.plantings:
        yield f"species.{planting.species}.rest"
        yield f"species.{planting.species}.first_flush"
        yield f"species.{planting.species}.years"
        yield f"methods.{planting.method}."
        if frame.season.climate:
            yield f"species.{planting.species}.planting"
        if frame.catalogue.methods[planting.method].wood == "logs":
            yield f"species.{planting.species}.run_speed"
            for name in ("along", "across", "sapwood", "growing_days", "warmest_day"):
                yield f"run.{name}"
        if planting.method == "drilled logs":
            yield "run.pattern."
        if planting.wood:
            yield f"woods.{planting.wood}."
    if frame.season.climate:
        yield "weather."
    for name in [
        "loss_",
        "small_log_",
        "moisture_ideal",
        "moisture_floor",
        "oldest",
        "two_person_mass",
    ]:
        yield f"wood_rules.{name}"
    yield "preseason."
    for name in [
        "load_loss",
        "hidden_infection",
        "culture",
        "check",
        "usable",
        "handling",
        "grain_usable",
        "grain_water",
        "grain_dry",
        "pellet_moisture",
        "substrate_moisture",
        "sealed_days",
        "opened_bag",
        "opened_most",
        "core_warmer",
        "shake_at",
        "max_generation",
        "head_start",
    ]:
        yield f"lab.{name}"


def _used(name: str, figure: Figure) -> FigureUsed:
    return FigureUsed(name, figure.low, figure.likely, figure.high, figure.unit, figure.basis, figure.source)


def chance_of(spares: tuple[Spares, ...], planting: str) -> float:
    """Chance that enough spawn for a planting survives: every stage that serves it has to."""
    chance = 1.0
    for spare in spares:
        if planting in spare.plantings:
            chance *= spare.chance
    return chance


def chance_of_all(spares: tuple[Spares, ...]) -> float:
    """Chance that enough survives at every stage of every line."""
    return math.prod(spare.chance for spare in spares)
