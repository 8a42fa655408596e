"""Finished spawn that a plan leaves over: how much, what it would still plant, and by when."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Literal

from scheduler import measures
from scheduler.assemble.frame import Frame
from scheduler.lines.pieces import OnePiece, ways
from scheduler.lines.shapes import BatchSpec, Line
from scheduler.lines.stages import Stages
from scheduler.lines.surplus import surplus
from scheduler.plan import Leftover, WouldPlant
from scheduler.problem import yard
from scheduler.season.permissions import SAWDUST_SPAWN
from scheduler.season.season import Planting
from scheduler.workdays import ONE_DAY

A_TRIFLE_G = 1.0
"""Less than this is rounding and not spawn."""

Until = Literal["keeps", "window", "opened"]


def leftover(frame: Frame) -> tuple[Leftover, ...]:
    """What is left of each strain and kind of finished spawn, in the order of the lines."""
    return tuple(_lines(frame))


def _lines(frame: Frame) -> Iterator[Leftover]:
    for line in frame.sizing.lines:
        kinds: dict[str, list[Planting]] = {}
        for name in line.plantings:
            planting = frame.plantings[name]
            kinds.setdefault(_kind(planting), []).append(planting)
        for plantings in kinds.values():
            found = _of(frame, line, plantings)
            if found:
                yield found


def _kind(planting: Planting) -> str:
    """Kinds of finished spawn that stand in for each other go by one name."""
    last = planting.route[-1]
    return "sawdust" if last in SAWDUST_SPAWN else last


def _of(frame: Frame, line: Line, plantings: list[Planting]) -> Leftover | None:
    batches = {b.id: b for p in plantings for b in frame.finished(p.name)}
    made = [b for b in batches.values() if b.stage != "chips"]
    if not made:
        return None
    heaps_g = sum(b.started * b.unit_mass_g * b.usable for b in batches.values() if b not in made)
    need_g = sum(frame.sizing.demand(p.name).spawn_g for p in plantings) - heaps_g
    need_g += _gone_g(frame, plantings, made)
    found = surplus(_stages(frame, line), made, {b.id: b for b in line.batches}, max(0.0, need_g))
    if found.grams < A_TRIFLE_G:
        return None
    since = max(frame.last(yard.plant(p.name)) for p in plantings)
    lab, first = frame.catalogue.lab, plantings[0]
    keeps_until = min(_good_until(frame, b) for b in _left_closed(made))
    opened_until = since + timedelta(days=round(lab.opened_most.likely))
    would = (
        _way(frame, plantings, way, found.grams, keeps_until, None if found.closed else opened_until)
        for way in ways(frame.season, frame.catalogue, first)
    )
    return Leftover(
        line=line.code,
        species=line.species,
        strain=line.strain,
        stage=made[0].stage,
        plantings=tuple(p.name for p in plantings),
        batches=tuple(b.id for b in made),
        usable=made[0].usable,
        grams=round(found.grams, 1),
        likely_g=round(found.likely_g, 1),
        closed=found.closed,
        since=since,
        keeps_until=keeps_until,
        opened_until=opened_until,
        would_plant=tuple(way for way in would if way.amount),
    )


def _gone_g(frame: Frame, plantings: list[Planting], batches: list[BatchSpec]) -> float:
    """What went into the pieces that are planted already, out of units that still count as there.

    Units that are recorded as used are taken to be those that were planted.
    """
    planted_g = used_g = 0.0
    for planting in plantings:
        demand = frame.sizing.demand(planting.name)
        pieces = sum(frame.progress.planting(planting.name).planted.values())
        planted_g += demand.spawn_g / demand.pieces * pieces
    for batch in batches:
        used_g += len(frame.progress.batch(batch.id).used) * batch.unit_mass_g * batch.usable
    return max(0.0, planted_g - used_g)


def _stages(frame: Frame, line: Line) -> Stages:
    """What knows the losses of a line's stages."""
    season = frame.season
    return Stages(
        season,
        frame.catalogue,
        line.code,
        line.species,
        line.strain,
        frame.sizing.level,
        {},
        season.certainty,
    )


def _left_closed(batches: list[BatchSpec]) -> list[BatchSpec]:
    """Batches of which more is started than needed; all of them where none is."""
    return [b for b in batches if b.started - b.keep_back > b.needed] or batches


def _good_until(frame: Frame, batch: BatchSpec) -> date:
    return frame.ready_on(batch) + timedelta(days=batch.keeps_days - batch.aged_days)


def _way(
    frame: Frame,
    plantings: list[Planting],
    way: OnePiece,
    grams: float,
    keeps_until: date,
    opened_until: date | None,
) -> WouldPlant:
    """One way of planting so many grams; by when goes by the window of the same method, if there is one."""
    windows = [p.window[1] for p in plantings if p.method == way.method.name] or [
        p.window[1] for p in plantings
    ]
    ends: list[tuple[date, Until]] = [(keeps_until, "keeps"), (max(windows), "window")]
    if opened_until:
        ends.append((opened_until, "opened"))
    plant_by, until = min(ends)
    swell = frame.season.site.bud_swell if way.method.wood == "logs" else None
    return WouldPlant(
        method=way.method.name,
        piece=way.piece,
        size=way.size,
        takes_g=round(way.takes_g, 1),
        amount=measures.pieces(grams, round(way.takes_g, 1), way.piece),
        plant_by=plant_by,
        until=until,
        fell_by=swell and swell - ONE_DAY,
        own=way.own,
        mind=way.permission.why if way.permission.verdict == "warned" else "",
    )
