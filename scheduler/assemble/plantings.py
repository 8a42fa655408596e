"""Dates the plantings: planting and fallback days, felling, moisture of the wood, first flush."""

from __future__ import annotations

from datetime import date, timedelta

from scheduler.assemble import gates
from scheduler.assemble.frame import Frame
from scheduler.assemble.planting_days import hands_on
from scheduler.assemble.yard_tasks import soak_on
from scheduler.lines import run
from scheduler.lines.shapes import Begun, Demand
from scheduler.plan import Moisture, Period, PlantingPlan
from scheduler.problem import drying, yard
from scheduler.problem.draft import Draft
from scheduler.problem.shapes import Point
from scheduler.science import wood
from scheduler.season.season import Planting
from scheduler.workdays import DAYS_A_MONTH


def moisture(frame: Frame, planting: Planting) -> Moisture | None:
    """Moisture of a planting's logs on its last planting day, in percent; None where it has no logs.

    Likely by the likely drying rates; low and high by wood felled as wet and as dry as the catalogue says.
    """
    if frame.catalogue.methods[planting.method].wood != "logs":
        return None
    lost, fresh = drying.drying(Draft(frame.season, frame.catalogue, frame.calendar), planting)
    name = yard.fell(planting.name)
    begun = frame.sizing.demand(planting.name).begun
    felled = planting.felled or (begun and begun.first_felled) or frame.first(name)
    start = frame.calendar.count.number(felled)
    shift = -min(0, frame.calendar.count.number(planting.felled)) if planting.felled else 0
    end = frame.days.last(yard.plant(planting.name))
    share = lost[end + shift] - lost[start + shift]
    shape = frame.catalogue.woods.get(planting.wood or "")
    low = shape.fresh_moisture.lowest if shape else fresh
    high = shape.fresh_moisture.highest if shape else fresh
    return Moisture(*(round(wood.moisture_after(m, share), 1) for m in (low, fresh, high)))


def spawn_until(frame: Frame, planting: str) -> date | None:
    """Last day on which all finished spawn of a planting is usable; None where it has none."""
    days = [
        frame.ready_on(batch) + timedelta(days=batch.keeps_days - batch.aged_days)
        for batch in frame.finished(planting)
    ]
    return min(days, default=None)


def wood_until(frame: Frame, planting: str) -> date | None:
    """Last day on which the wood of a planting is moist enough; None where it has none that dries."""
    fell = yard.fell(planting)
    return frame.at(Point(fell, "dry")) if frame.has(fell) else None


def dated(frame: Frame, planting: Planting, redo: dict[str, date | None], chance: float) -> PlantingPlan:
    """A planting with all its days."""
    name = yard.plant(planting.name)
    fell = yard.fell(planting.name)
    demand = frame.sizing.demand(planting.name)
    species = frame.catalogue.species[planting.species]
    fallback = frame.at(Point(name, "fallback"))
    last = frame.last(name)
    wet = moisture(frame, planting)
    felled = not yard.is_down(planting, frame.season.today) and frame.has(fell)
    rain_day = fallback if fallback > last and _still_good(frame, planting, fallback) else None
    return PlantingPlan(
        name=planting.name,
        species=planting.species,
        strain=planting.strain,
        method=planting.method,
        size=demand.size,
        window=planting.window,
        best=planting.best,
        plant_on=tuple(frame.on(name)),
        fallback_on=rain_day,
        fell_on=tuple(frame.on(fell)) if felled else (),
        fell_between=_fell_between(frame, planting) if felled else None,
        soak_on=soak_on(frame, planting, wet),
        spawn_needed_g=round(demand.spawn_g, 1),
        spawn_planned_g=round(
            sum(b.started * b.unit_mass_g * b.usable for b in frame.finished(planting.name)), 1
        ),
        wood_moisture=wet,
        first_flush=(
            last + timedelta(days=round(species.first_flush.lowest * DAYS_A_MONTH)),
            last + timedelta(days=round(species.first_flush.highest * DAYS_A_MONTH)),
        ),
        years=(species.years.lowest, species.years.highest),
        chance=round(chance, 4),
        redo_by=gates.planting_redo_by(frame, planting.name, redo),
        buy_by=gates.buy_by(frame, planting.name),
        pattern=demand.pattern,
        notes=demand.notes,
        run_months=run.run_months(planting, frame.season, frame.catalogue, last),
        other_pattern=run.other_pattern(planting, frame.season, frame.catalogue, last),
        spare_pieces=demand.spare_pieces,
        wood_kg=round(demand.felled_kg, 1),
        heaviest_piece_kg=round(demand.heaviest_piece_kg, 1),
        spawn_until=spawn_until(frame, planting.name),
        wood_until=wood_until(frame, planting.name),
        fallback_minutes=hands_on(frame, rain_day) if rain_day else 0,
        haul_trips=demand.trips if demand.begun is None else _trips_left(demand, demand.begun),
    )


def _trips_left(demand: Demand, begun: Begun) -> int:
    """Trips for the wood that is not down yet."""
    return -(-demand.trips * begun.to_fell // demand.pieces)


def _still_good(frame: Frame, planting: Planting, day: date) -> bool:
    """Whether spawn still keeps and wood is still moist enough on a later day."""
    ends = (spawn_until(frame, planting.name), wood_until(frame, planting.name))
    return all(day <= end for end in ends if end)


def _fell_between(frame: Frame, planting: Planting) -> Period:
    """The days between which this wood may be felled for the planned planting days."""
    work = frame.problem.work(yard.fell(planting.name))
    first, last = frame.days.first(yard.plant(planting.name)), frame.days.last(yard.plant(planting.name))
    rest = round(frame.catalogue.species[planting.species].rest.lowest)
    allowed = frozenset.intersection(*(limit.days for limit in work.limits))
    good = [day for day in allowed if day + rest <= first and work.tables["dry"].get(day, -1) >= last]
    return frame.calendar.date(min(good)), frame.calendar.date(max(good))
