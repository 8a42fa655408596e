"""The days of a season as letters: what each batch and planting is doing from when to when.

The picture in plain letters and the drawn one are both made from these.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from scheduler.plan import Batch, Period, Plan, PlantingPlan

COOK, INOCULATE, GROWS, READY, WAITS, USE = "CI=R-U"
FELL, SOAK, PLANT, FALLBACK, OPEN = "FSPB."
SPAWN = {
    COOK: "cook",
    INOCULATE: "inoculate",
    GROWS: "grows",
    READY: "ready",
    WAITS: "waits",
    USE: "use",
}
"""What each letter of a batch says."""
PLANTINGS = {
    FELL: "fell",
    SOAK: "soak",
    PLANT: "plant",
    FALLBACK: "fallback day",
    WAITS: "wood waits",
    OPEN: "window open",
}
"""What each letter of a planting says."""
SPANS = (GROWS, WAITS, OPEN)
"""Letters that go on for days; the others are what is done, or found, on one."""

Stroke = tuple[date, date, str]
"""A letter from a first to a last day."""


def days_shown(plan: Plan) -> Period | None:
    """First and last day of the picture; None where nothing has a day.

    Days of work only: stock in hand may have been ready for a year, and a window be open for one.
    """
    days = [*_batch_days(plan.batches), *_planting_days(plan.plantings)]
    return (min(days), max(days)) if days else None


def _batch_days(batches: Iterable[Batch]) -> list[date]:
    days = []
    for batch in batches:
        days += [day for day in (batch.cook_on, batch.inoculate_on, *batch.use_on) if day is not None]
        if batch.inoculate_on is not None:
            days.append(batch.ready_on)
    return days


def _planting_days(plantings: Iterable[PlantingPlan]) -> list[date]:
    days = []
    for planting in plantings:
        days += [*planting.fell_on, *planting.plant_on]
        days += [day for day in (planting.fallback_on, planting.soak_on) if day is not None]
    return days


def of_batch(batch: Batch) -> list[Stroke]:
    """From the first day of a batch to its last, so that later days cover earlier ones."""
    strokes: list[Stroke] = []
    if batch.inoculate_on is not None:
        strokes.append((batch.inoculate_on, batch.ready_on, GROWS))
    if batch.use_on:
        strokes.append((batch.ready_on, max(batch.use_on), WAITS))
    strokes += _once([batch.cook_on], COOK) + _once([batch.inoculate_on], INOCULATE)
    return strokes + _once([batch.ready_on], READY) + _once(batch.use_on, USE)


def of_planting(planting: PlantingPlan) -> list[Stroke]:
    """The same for a planting; its planting days cover even the fallback day."""
    strokes: list[Stroke] = [(*planting.window, OPEN)]
    if planting.fell_on and planting.plant_on:
        strokes.append((min(planting.fell_on), max(planting.plant_on), WAITS))
    strokes += _once(planting.fell_on, FELL) + _once([planting.soak_on], SOAK)
    return strokes + _once([planting.fallback_on], FALLBACK) + _once(planting.plant_on, PLANT)


def _once(days: Iterable[date | None], letter: str) -> list[Stroke]:
    return [(day, day, letter) for day in days if day is not None]
