"""Plays a course one season after the other, thing by thing, in plain Python: slow, and written by itself.

It follows the sentences at the head of `scheduler.outlook.course` and shares with the simulation nothing but the
course. Its random numbers are its own, so that only shares of seasons can be compared.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, field
from random import Random

import numpy as np
from scipy import stats

from scheduler.outlook.course import NEVER, Course, Grown, Run, Stage


@dataclass
class Unit:
    """One jar or bag, once it was inoculated."""

    good: bool
    noticed: int | None = None


@dataclass
class Batch:
    """A batch that was inoculated."""

    spec: Grown
    ready: int
    units: list[Unit] = field(default_factory=list)

    def living(self, day: int) -> int:
        """Good units that may be used on a day."""
        if not self.ready <= day <= self.ready + self.spec.keeps:
            return 0
        return sum(unit.good for unit in self.units)


def play(course: Course, seasons: int, seed: int) -> list[dict[str, int | None]]:
    """For each season the day on which each planting is planted, or None."""
    days = _drawn_days(course, seasons, seed)
    return [Season(course, Random(f"{seed}:{number}"), days, number).play() for number in range(seasons)]


def _drawn_days(course: Course, seasons: int, seed: int) -> dict[str, np.ndarray]:
    """Days to fully run at the reference temperature, for every way a batch can be begun; by scipy's Beta law."""
    dice = np.random.default_rng(seed)
    shared = {line: dice.standard_normal(seasons) for line in course.lines()}
    drawn = {}
    for batch in course.batches:
        if batch.run is None or batch.line not in shared:
            continue
        low, likely, high = batch.run.low, batch.run.likely, batch.run.high
        for way in ("", "again ", "for another "):
            own = dice.standard_normal(seasons)
            normal = math.sqrt(course.together) * shared[batch.line] + math.sqrt(1 - course.together) * own
            if low == high:
                drawn[way + batch.id] = np.full(seasons, likely)
            else:
                a, b = 1 + 4 * (likely - low) / (high - low), 1 + 4 * (high - likely) / (high - low)
                drawn[way + batch.id] = low + (high - low) * stats.beta(a, b).ppf(stats.norm.cdf(normal))
    return drawn


class Season:
    """One season while it is played."""

    def __init__(self, course: Course, dice: Random, days: dict[str, np.ndarray], number: int) -> None:
        self.course = course
        self.dice = dice
        self.days = days
        self.number = number
        self.floor = max(course.today, course.not_before)
        self.shares: dict[str, float] = {}
        self.lost_loads: dict[str, float | None] = {}
        self.sick_jars: dict[tuple[str, int], bool] = {}
        self.made: dict[str, list[Batch]] = {}
        self.fed: Counter[str] = Counter()

    def play(self) -> dict[str, int | None]:
        for stage in self.course.stages:
            self.made[stage.key] = []
        # Parents come before their children, and children in the order in which they are planned.
        for stage in self.course.stages:
            self.made[stage.key] = [
                begun
                for spec in self.course.batches
                if spec.stage == stage.key and (begun := self.begin(stage, spec)) is not None
            ]
            self.make_again(stage)
        return {planting.name: self.plant(planting) for planting in self.course.plantings}

    # --- inoculating ---------------------------------------------------------------------------------

    def begin(self, stage: Stage, spec: Grown) -> Batch | None:
        if spec.openings is None or spec.begun:
            return self.grow(stage, spec, spec.planned, spec.units, "", self.own_risk(spec))
        day = spec.planned
        for test in spec.after:
            day = max(day, self.made[test][0].ready if self.made[test] else NEVER)
        if spec.starts:
            day = max(day, _look_up(spec.openings.anew, self.floor))
        if stage.parent is None:
            day = _look_up(spec.openings.begin, day)
            return self.grow(stage, spec, day, spec.units, "", self.own_risk(spec)) if day < NEVER else None
        parents = self.made[stage.parent]
        earlier = sum(
            other.units
            for other in self.course.batches
            if other.openings is not None
            and not other.begun
            and self.parent_of(other) == stage.parent
            and (other.planned, other.id) < (spec.planned, spec.id)
        )
        wanted = earlier + spec.units
        begun = [parent for parent in parents if parent.ready < NEVER]
        if not begun:
            return None
        known = max(parent.ready for parent in begun)
        waits = day
        while waits < known:
            there = [parent for parent in begun if parent.ready <= waits]
            if sum(sum(u.good for u in p.units) * p.spec.feeds for p in there) + 1e-6 >= wanted:
                break
            waits += 1
        day = _look_up(spec.openings.begin, waits)
        if day >= NEVER:
            return None
        jars = sum(parent.living(day) for parent in parents)
        room = sum(parent.living(day) * parent.spec.feeds for parent in parents) - earlier
        count = max(0, min(spec.units, math.floor(room + 1e-6)))
        if count == 0:
            return None
        if stage.by_jar:
            sick = [self.jar_is_sick(spec, stage.parent, (earlier + unit) % jars) for unit in range(count)]
        else:
            sick = self.own_risk(spec)
        return self.grow(stage, spec, day, count, "", sick)

    def parent_of(self, spec: Grown) -> str | None:
        return next(stage.parent for stage in self.course.stages if stage.key == spec.stage)

    def own_risk(self, spec: Grown) -> list[bool]:
        hidden = spec.odds.hidden if spec.odds else 0.0
        return [self.dice.random() < hidden for _ in range(spec.units)]

    def jar_is_sick(self, spec: Grown, stage: str, jar: int) -> bool:
        if spec.odds is None:
            return False
        if (stage, jar) not in self.sick_jars:
            self.sick_jars[stage, jar] = self.dice.random() < spec.odds.hidden
        return self.sick_jars[stage, jar]

    # --- growing -------------------------------------------------------------------------------------

    def grow(self, stage: Stage, spec: Grown, start: int, count: int, way: str, sick: list[bool]) -> Batch:
        ready = start
        if spec.run is not None:
            ready = self.ready(spec.run, start, float(self.days[way + spec.id][self.number]))
            if way == "" and ready < NEVER:
                ready = max(ready, spec.not_ready_before)
        batch = Batch(spec, ready)
        for place in range(spec.units):
            if place >= count:
                batch.units.append(Unit(False, spec.planned))
                continue
            good, noticed = True, None
            if spec.odds is not None:
                shows = self.dice.random()
                good = self.dice.random() < self.share_good(stage, spec) and not sick[place]
                if spec.loads:
                    load_shows = self.load(way + spec.id if way else spec.loads[place], spec.odds.load_loss)
                    if load_shows is not None:
                        good, shows = False, load_shows
                if not good:
                    noticed = self.noticed(spec, start, ready, shows)
            batch.units.append(Unit(good, noticed))
        return batch

    def ready(self, run: Run, start: int, days: float) -> int:
        """Development is gathered day by day, after the lag, until there is enough of it."""
        gathered = run.development
        lag_days = math.ceil(run.lag - 1e-9)
        day = start + lag_days
        if day >= len(gathered):
            return NEVER
        need = max(0.0, days - run.lag) * run.rate
        have = 0.0
        if lag_days:
            have = (lag_days - run.lag) * (gathered[day] - gathered[day - 1])
        while have < need - 1e-9:
            day += 1
            if day >= len(gathered):
                return NEVER
            have += gathered[day] - gathered[day - 1]
        return day + run.rest

    def share_good(self, stage: Stage, spec: Grown) -> float:
        assert spec.odds is not None
        if stage.key not in self.shares:
            a, b = spec.odds.good_a, spec.odds.good_b
            self.shares[stage.key] = 1.0 if b <= 0 else 0.0 if a <= 0 else self.dice.betavariate(a, b)
        return self.shares[stage.key]

    def load(self, name: str, loss: float) -> float | None:
        """When the loss of a load shows, as a number from 0 to 1; None where it is not lost."""
        if name not in self.lost_loads:
            self.lost_loads[name] = self.dice.random() if self.dice.random() < loss else None
        return self.lost_loads[name]

    def noticed(self, spec: Grown, start: int, ready: int, chance: float) -> int:
        """The first look on or after the day on which a loss shows."""
        early, last_look = self.course.shown_early, max(spec.looks, default=0)
        if not last_look:
            after = chance * (ready - start)
        elif chance < early:
            after = chance / early * last_look
        else:
            after = last_look + (chance - early) / (1 - early) * max(0, ready - start - last_look)
        looks = [start + look for look in spec.looks if start + look < ready]
        return min((day for day in looks if day >= start + after), default=ready)

    # --- making again --------------------------------------------------------------------------------

    def make_again(self, stage: Stage) -> None:
        if stage.again is None:
            return
        specs = [spec for spec in self.course.batches if spec.stage == stage.key]
        begun = {batch.spec.id: batch for batch in self.made[stage.key]}
        lost = []
        for spec in specs:
            if spec.id in begun:
                lost += [unit.noticed for unit in begun[spec.id].units if not unit.good]
            else:
                lost += [spec.planned] * spec.units
        units = sum(spec.units for spec in specs)
        living = units
        known = None
        for day in sorted(day for day in lost if day is not None):
            living -= 1
            if living < stage.need:
                known = max(day, self.floor)
                break
        if known is None or known > stage.again.by:
            return
        spec = specs[0]
        assert spec.openings is not None
        count = stage.again.units
        start = _look_up(spec.openings.anew, known + stage.again.wait)
        parent = next((other for other in self.course.stages if other.key == stage.parent), None)
        jars = [0] * count
        if parent is not None and stage.again.parent_wait is not None:
            jar = next(other for other in self.course.batches if other.stage == parent.key)
            assert jar.openings is not None
            from_day = _look_up(jar.openings.anew, known + stage.again.parent_wait)
            if from_day >= NEVER:
                return
            parents = self.grow(parent, jar, from_day, jar.units, "for another ", self.own_risk(jar))
            if sum(unit.good for unit in parents.units) * jar.feeds + 1e-6 < count:
                return
            start = _look_up(spec.openings.begin, max(start, parents.ready))
            jars = [unit // max(1, int(jar.feeds)) for unit in range(count)]
        elif parent is not None:
            alive = sum(unit.good for batch in self.made[parent.key] for unit in batch.units)
            if alive < 1 + (parent.need if stage.by_jar else 0):
                return
        if start >= NEVER:
            return
        if stage.by_jar:
            sick = [self.jar_is_sick(spec, f"kept for {stage.key}", jar) for jar in jars]
        else:
            sick = self.own_risk(spec)[:count] + [False] * max(0, count - spec.units)
        grown = self.grow(stage, spec, start, count, "again ", sick + [False] * spec.units)
        grown.units = grown.units[:count]
        self.made[stage.key].append(grown)

    # --- planting ------------------------------------------------------------------------------------

    def plant(self, planting: object) -> int | None:
        batches = self.made[planting.stage]
        days = sorted({batch.ready for batch in batches if batch.ready < NEVER})
        have = 0.0
        there = None
        for day in days:
            have = sum(
                sum(unit.good for unit in batch.units) * batch.spec.grams
                for batch in batches
                if batch.ready <= day
            )
            if have + 1e-6 >= planting.need_g:
                there = day
                break
        if there is None:
            return None
        day = _look_up(planting.open, max(there, planting.planned))
        if day >= NEVER:
            return None
        spawn = sum(batch.living(day) * batch.spec.grams for batch in batches)
        return day if spawn + 1e-6 >= planting.need_g else None


def _look_up(table: tuple[int, ...], day: int) -> int:
    return table[day] if day < len(table) else NEVER
