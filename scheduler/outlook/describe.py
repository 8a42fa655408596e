"""Turns a kept plan, with what it was written from, into a course that can be played."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from scheduler.lines import timing
from scheduler.lines.descent import is_fed_by_one
from scheduler.lines.prospects import label
from scheduler.lines.shapes import BatchSpec, Line, Sizing
from scheduler.lines.shares import is_finished
from scheduler.lines.stages import odds
from scheduler.outlook.course import Again, Course, Grown, Openings, Planted, Run, Stage
from scheduler.outlook.grouping import parents_first, stage_keys
from scheduler.outlook.openings import LineDays
from scheduler.plan import Batch, Plan
from scheduler.problem import bench, yard
from scheduler.problem.shapes import Days, Problem
from scheduler.science.growth import development, optimum_days
from scheduler.science.quantities import units_fed
from scheduler.science.rounding import whole_up
from scheduler.season.season import Season
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import DayCount


def describe(
    season: Season,
    catalogue: Catalogue,
    plan: Plan,
    sizing: Sizing,
    anew: Sizing,
    problem: Problem,
    days: Days,
) -> Course:
    """The course of a plan and its `sizing`.

    `anew` is the same sizing as if nothing had been begun, and `days` its days in its `problem`: they tell
    when what grows already could be made again.
    """
    writer = _Writer(season, catalogue, plan, problem, days)
    for line, unbegun in zip(sizing.lines, anew.lines, strict=True):
        writer.line(line, unbegun)
    return Course(
        origin=problem.origin,
        today=max(0, writer.count.number(max(season.today, season.no_work_before))),
        batches=tuple(sorted(writer.batches, key=lambda batch: (batch.planned, batch.id))),
        stages=tuple(parents_first(writer.stages)),
        plantings=tuple(writer.plantings),
        together=catalogue.lab.together.likely,
        shown_early=catalogue.lab.shown_early.likely,
    )


class _Writer:
    """Collects batches, stages and plantings line by line."""

    def __init__(
        self, season: Season, catalogue: Catalogue, plan: Plan, problem: Problem, days: Days
    ) -> None:
        self.batches: list[Grown] = []
        self.stages: list[Stage] = []
        self.plantings: list[Planted] = []
        self.count = DayCount(problem.origin)
        self._season = season
        self._catalogue = catalogue
        self._problem = problem
        self._days = days
        self._dated = {batch.id: batch for batch in plan.batches}
        self._loads: dict[str, list[str]] = defaultdict(list)
        for number, load in enumerate(plan.loads):
            for share in load.holds:
                self._loads[share.batch] += [f"{load.on}:{load.cooker}:{number}"] * share.units
        self._planted = {planting.name: planting for planting in plan.plantings}
        self._gathered: dict[str, tuple[float, ...]] = {}

    def line(self, line: Line, anew: Line) -> None:
        """Adds all of a line; `anew` is the same as if nothing had been begun."""
        open_days = LineDays(self._problem, self._days, anew)
        unbegun = {batch.id: batch for batch in anew.batches}
        by_id = {batch.id: batch for batch in line.batches}
        stage_of = stage_keys(line, self._is_finished)
        keys = list(dict.fromkeys(stage_of[batch.id] for batch in line.batches))
        members = {key: [b for b in line.batches if stage_of[b.id] == key] for key in keys}
        children: dict[str, int] = Counter()
        for batch in line.batches:
            for parent in {stage_of[name] for name in batch.parents if name in by_id}:
                if batch.is_to_make and not batch.is_test:
                    children[parent] += batch.started
        for key in keys:
            first = members[key][0]
            parents = [by_id[name] for batch in members[key] for name in batch.parents if name in by_id]
            need = sum(batch.needed for batch in members[key])
            fed = next((b for b in line.batches if b.is_to_make and self._made_from(b, members[key])), None)
            for batch in members[key]:
                feeds = 0.0 if fed is None else _feeds(batch, fed, children[key], need)
                openings = None if batch.growth is None else open_days.batch(unbegun[batch.id])
                self.batches.append(self._grown(batch, key, feeds, parents, line, openings))
            self.stages.append(
                Stage(
                    key=key,
                    line=line.code,
                    name=f"test {first.id}"
                    if first.is_test
                    else label(first, finished=self._is_finished(first)),
                    need=need,
                    parent=None if first.is_test or not parents else stage_of[parents[0].id],
                    by_jar=any(parent.stage == "grain" for parent in parents),
                    # Where all that is made from it is made, there is nothing to make it again for.
                    again=self._again([unbegun[b.id] for b in members[key]], [unbegun[p.id] for p in parents])
                    if need
                    else None,
                    is_test=first.is_test,
                )
            )
        for name in line.plantings:
            self._planting(name, line, stage_of, open_days)

    def _is_finished(self, batch: BatchSpec) -> bool:
        return is_finished(batch, self._season.plantings)

    @staticmethod
    def _made_from(batch: BatchSpec, parents: Sequence[BatchSpec]) -> bool:
        return not batch.is_test and any(parent.id in batch.parents for parent in parents)

    def _grown(
        self,
        batch: BatchSpec,
        key: str,
        feeds: float,
        parents: Sequence[BatchSpec],
        line: Line,
        openings: Openings | None,
    ) -> Grown:
        made = batch.growth is not None
        planned = self._days.first(bench.inoculate(batch) if made else bench.there(batch))
        if not made and batch.state == "bought" and self._is_finished(batch):
            planned += 1  # bought spawn is there the day before it is planted
        dated = self._dated.get(batch.id)
        risky = batch.state == "planned" and batch.found_ready_on is None and not batch.is_test
        grown = Grown(
            id=batch.id,
            line=line.code,
            stage=key,
            planned=planned,
            units=batch.started,
            keeps=batch.keeps_days - batch.aged_days,
            feeds=feeds,
            grams=batch.unit_mass_g * batch.usable if self._is_finished(batch) else 0.0,
            run=self._run(batch),
            odds=odds(
                self._season, self._catalogue, batch.species, batch.stage, batch.treatment, batch.container
            )
            if risky
            else None,
            loads=self._in_loads(batch),
            looks=_looks(dated),
            openings=openings,
            begun=batch.begun_on is not None,
            after=tuple(
                f"{line.code}:{test.id}"
                for test in line.batches
                if test.is_test and not batch.is_test and set(test.parents) & set(batch.parents)
            ),
            starts=batch.is_to_make
            and batch.cooked_on is None
            and all(parent.growth is None for parent in parents),
            not_ready_before=self.count.number(self._season.today) if batch.begun_on else 0,
        )
        if batch.found_ready_on is not None:
            return replace(grown, run=None, planned=self.count.number(batch.found_ready_on))
        return grown

    def _in_loads(self, batch: BatchSpec) -> tuple[str, ...]:
        """The load of every unit; one of its own where the plan holds none (a tub, or cooked before)."""
        if batch.treatment is None:
            return ()
        loads = self._loads.get(batch.id, [])
        return (*loads, *[batch.id] * (batch.started - len(loads)))[: batch.started]

    def _run(self, batch: BatchSpec) -> Run | None:
        growth = batch.growth
        if growth is None:
            return None
        if batch.is_test:  # read by the calendar, whatever the room
            days = round(growth.likely)
            flat = (0.0,) * (self._problem.horizon + 1)
            return Run(days, days, days, days, 0, 0.0, flat)
        species = self._catalogue.species[batch.species]
        cardinal = timing.cardinal(self._catalogue, batch.species)
        return Run(
            growth.low,
            growth.likely,
            growth.high,
            min(growth.lag, growth.low),
            whole_up(growth.consolidation),
            optimum_days(1.0, 0.0, species.temperature.reference.likely, cardinal),
            self._development(batch.species),
        )

    def _development(self, species: str) -> tuple[float, ...]:
        if species not in self._gathered:
            shelf = self._season.lab.shelf
            temperatures = [
                timing.room_on(shelf, self.count.date(day)) for day in range(self._problem.horizon + 1)
            ]
            self._gathered[species] = tuple(
                development(
                    temperatures,
                    timing.cardinal(self._catalogue, species),
                    self._catalogue.lab.core_warmer.likely,
                )
            )
        return self._gathered[species]

    def _again(self, members: Sequence[BatchSpec], parents: Sequence[BatchSpec]) -> Again | None:
        """How one of equal batches is made again: until the last of their redo-by days."""
        made = [batch for batch in members if batch.is_to_make and not batch.is_test]
        last = [day for day in map(self._redo_by, made) if day is not None]
        if not last:
            return None
        batch = made[0]
        grain = next((parent for parent in parents if parent.stage == "grain"), None)
        units, parent_wait = batch.started, None
        if grain is not None and not is_fed_by_one(batch, grain):
            if grain.growth is None:
                return None
            parent_wait = self._wait(grain)
        elif grain is not None:
            units = min(units, units_fed(grain.unit_mass_g * grain.usable, batch.feed_g))
        return Again(self.count.number(max(last)), self._wait(batch), units, parent_wait)

    def _redo_by(self, batch: BatchSpec) -> date | None:
        dated = self._dated.get(batch.id)
        return dated.redo_by if dated else None

    def _wait(self, batch: BatchSpec) -> int:
        """Days from noticing a loss to the first work on the batch that replaces it."""
        need = bench.need(batch)
        return need.days(self._season.lead) + need.days_before if need else 0

    def _planting(self, name: str, line: Line, stage_of: Mapping[str, str], open_days: LineDays) -> None:
        batches = [b for b in line.batches if name in b.plantings and self._is_finished(b)]
        if not batches or yard.plant(name) not in self._days.pieces or name not in self._planted:
            return
        planted_g = math.fsum(batch.needed * batch.unit_mass_g * batch.usable for batch in batches)
        self.plantings.append(
            Planted(
                name=name,
                line=line.code,
                stage=stage_of[batches[0].id],
                need_g=min(self._planted[name].spawn_needed_g, planted_g),
                planned=self._days.first(yard.plant(name)),
                open=open_days.planting(name),
            )
        )


def _feeds(batch: BatchSpec, child: BatchSpec, children: int, need: int) -> float:
    """Child units that a unit feeds; what is needed of its stage feeds all of them, as it was sized."""
    by_mass = units_fed(batch.unit_mass_g * batch.usable, child.feed_g) if child.feed_g else 0
    return max(float(by_mass), children / need if need else 0.0)


def _looks(dated: Batch | None) -> tuple[int, ...]:
    if dated is None or dated.inoculate_on is None:
        return ()
    start = dated.inoculate_on
    return tuple((day - start).days for day in dated.check_on if day < dated.ready_on)
