"""Dates the batches: cooked, inoculated, looked at, ready, used."""

from __future__ import annotations

import math
from datetime import date, timedelta

from scheduler.assemble.frame import Frame
from scheduler.lines.shapes import BatchSpec
from scheduler.plan import Batch
from scheduler.problem import bench, yard
from scheduler.workdays import ONE_DAY


def uses(frame: Frame, batch: BatchSpec) -> list[date]:
    """Days on which a batch is still to be used: its children's inoculation, or the planting days."""
    children = frame.children.get(batch.id, ())
    made = sorted({frame.first(bench.inoculate(child)) for child in children if child.is_to_make})
    if made or not frame.is_finished(batch):
        return made
    return sorted({day for name in batch.plantings for day in frame.on(yard.plant(name))})


def looks(frame: Frame, batch: BatchSpec) -> list[tuple[str, date]]:
    """When a growing batch is looked at, and for what: in the first and second band, and for release.

    Each lies on the day of its band nearest to the usual one on which somebody is there; a band that would
    end after the release falls away.
    """
    if batch.growth is None or batch.found_ready_on is not None:
        return []
    start, ready = frame.first(bench.inoculate(batch)), frame.ready_on(batch)
    looked = frame.progress.batch(batch.id).clean_on
    found: list[tuple[str, date]] = []
    for check in frame.catalogue.lab.check:
        low, usual, high = (round(x) for x in (check.day.lowest, check.day.likely, check.day.highest))
        if start + timedelta(days=low) >= ready or (looked and looked >= start + timedelta(days=low)):
            continue
        day = frame.near(
            start + timedelta(days=low),
            min(start + timedelta(days=high), ready - ONE_DAY),
            start + timedelta(days=usual),
        )
        if day:
            found.append((check.name, day))
    release = release_check(frame, batch)
    if release:
        found = [(name, day) for name, day in found if day != release]
        found.append(("release", release))
    return found


def release_check(frame: Frame, batch: BatchSpec) -> date | None:
    """The look before use: on the ready day or as soon after it as somebody is there, by the first use."""
    ready = frame.ready_on(batch)
    looked = frame.progress.batch(batch.id).clean_on
    if batch.found_ready_on is not None or (looked and looked >= ready):
        return None
    used = _released(frame, batch) if batch.is_test else uses(frame, batch)
    return frame.near(ready, used[0] if used else ready + timedelta(days=7), ready)


def _released(frame: Frame, test: BatchSpec) -> list[date]:
    """Days on which something is made from the culture that a test is for."""
    made = [child for parent in test.parents for child in frame.children[parent] if not child.is_test]
    return sorted({frame.first(bench.inoculate(child)) for child in made if child.is_to_make})


def use_from(frame: Frame, batch: BatchSpec) -> date:
    """The day from which a batch may be used if it looks fully run: low days, consolidation left out."""
    ready = frame.ready_on(batch)
    if batch.growth is None or batch.is_test:
        return ready
    start = frame.first(bench.inoculate(batch))
    planned = (ready - start).days - batch.growth.consolidation
    share = batch.growth.low / batch.growth.likely
    return min(ready, start + timedelta(days=math.ceil(planned * share + batch.growth.consolidation)))


def dated(frame: Frame, batch: BatchSpec, redo_by: date | None, attended: int) -> Batch:
    """A batch with all its days."""
    made = batch.growth is not None
    ready = frame.ready_on(batch)
    used = uses(frame, batch)
    start = frame.first(bench.inoculate(batch)) if made else None
    return Batch(
        id=batch.id,
        line=batch.line,
        species=batch.species,
        strain=batch.strain,
        stage=batch.stage,
        generation=batch.generation,
        container=batch.container,
        needed=batch.needed,
        started=batch.started,
        units=batch.units,
        waits_in=batch.waits_in,
        cook_on=frame.first(bench.cook(batch)) if bench.is_to_cook(batch) else batch.cooked_on,
        inoculate_on=start,
        check_on=tuple(day for _, day in looks(frame, batch)),
        ready_on=ready,
        use_from=use_from(frame, batch),
        use_on=tuple(used),
        plantings=batch.plantings,
        minutes=batch.minutes,
        attended_minutes=attended + batch.minutes,
        volume_l=round(batch.unit_volume_l * batch.started, 2),
        grows_days=(ready - start).days if start else 0,
        keeps_days=batch.keeps_days - batch.aged_days,
        fresh_days=max(0, batch.fresh_days - batch.aged_days),
        margin_days=(used[0] - ready).days if used else 0,
        redo_by=redo_by,
        keep_back=batch.keep_back,
        state=batch.state,
        unit_mass_g=batch.unit_mass_g,
        transfers=batch.transfers,
    )
