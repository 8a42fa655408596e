"""Plays a course season by season, all seasons at once: what `course` says happens, stage by stage."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from scheduler.outlook.course import NEVER, Again, Course, Grown, Planted, Stage
from scheduler.outlook.dice import Dice, Flags, Floats, Ints
from scheduler.outlook.grow import Outcome, grow

ENOUGH = 1e-6
"""Amounts that differ by less are the same."""


@dataclass(frozen=True)
class Lot:
    """Units of one batch that are there from a day on, in each season."""

    ready: Ints
    count: Ints
    keeps: int
    feeds: float
    grams: float

    def keep_on(self, day: Ints) -> Flags:
        """Whether they are ready on a day, and still keep."""
        return (self.ready <= day) & (day <= self.ready + self.keeps)


@dataclass(frozen=True)
class Played:
    """What became of a course; every array has a value for each season."""

    planted_on: dict[str, Ints]
    """Day on which each planting began; NEVER where it came to nothing in its window."""
    spawn_g: dict[str, Ints]
    """Good spawn on that day, in whole grams."""
    short: dict[str, Flags]
    """Whether a stage had too few good units in the end."""
    remade: dict[str, Flags]
    """Whether a batch of a stage was made again."""

    def made(self, planting: str) -> Flags:
        """In which seasons a planting is made."""
        return self.planted_on[planting] < NEVER

    def all_made(self) -> Flags:
        """In which seasons all plantings are made."""
        last = np.stack(list(self.planted_on.values())).max(axis=0)
        made: Flags = last < NEVER
        return made


def simulate(course: Course, seasons: int, seed: int) -> Played:
    """Plays so many seasons; the same course, number and seed give the same ones."""
    played = Played({}, {}, {}, {})
    for line in course.lines():
        _Line(course.only(line), Dice(seasons, seed), played).play()
    return played


class _Line:
    """One line while it is played."""

    def __init__(self, course: Course, dice: Dice, played: Played) -> None:
        self._course = course
        self._dice = dice
        self._played = played
        self._stages = {stage.key: stage for stage in course.stages}
        self._lots: dict[str, list[Lot]] = {}
        self._fed_before = _fed_before(course)

    def play(self) -> None:
        for stage in self._course.stages:
            self._stage(stage)
        for planting in self._course.plantings:
            self._plant(planting)

    # --- stages ---------------------------------------------------------------------------------------

    def _stage(self, stage: Stage) -> None:
        members = list(self._course.of(stage.key))
        grown = [self._first(stage, batch) for batch in members]
        lots = [_lot(batch, found) for batch, found in zip(members, grown, strict=True)]
        remade = np.zeros(self._dice.seasons, dtype=bool)
        if stage.again is not None:
            lost = np.maximum(self._short_on(stage, grown), self._floor())
            remade = lost <= stage.again.by
            if remade.any():
                lots.append(self._made_again(stage, stage.again, members[0], lost, remade))
        self._lots[stage.key] = lots
        self._played.short[stage.key] = _total(lot.count for lot in lots) < stage.need
        self._played.remade[stage.key] = remade

    def _first(self, stage: Stage, batch: Grown) -> Outcome:
        """A batch as it was planned."""
        everything = np.full(self._dice.seasons, batch.units)
        planned = np.full(self._dice.seasons, batch.planned)
        alone = replace(stage, by_jar=False)
        infected = self._infected(alone, batch, batch.id, "", np.zeros((1, 1), dtype=np.int64))
        if batch.openings is None or batch.begun:
            return self._grow(stage, batch, planned, everything, infected)
        earliest = planned
        for test in batch.after:
            earliest = np.maximum(earliest, self._lots[test][0].ready)
        if batch.starts:
            earliest = np.maximum(earliest, _on(batch.openings.anew, np.full_like(planned, self._floor())))
        if stage.parent is None:
            return self._grow(stage, batch, _on(batch.openings.begin, earliest), everything, infected)
        lots = self._lots[stage.parent]
        before = self._fed_before[batch.id]
        there = _there_on([(lot.ready, _amount(lot.count, lot.feeds)) for lot in lots], before + batch.units)
        start = _on(batch.openings.begin, np.maximum(earliest, there))
        living = [np.where(lot.keep_on(start), lot.count, 0) for lot in lots]
        room = np.stack([_amount(count, lot.feeds) for count, lot in zip(living, lots, strict=True)])
        fed = np.clip(np.floor(room.sum(axis=0) - before + ENOUGH).astype(np.int64), 0, batch.units)
        jars = _total(living)
        turns = before + np.arange(batch.units)[:, None]
        infected = self._infected(stage, batch, batch.id, stage.parent, turns % np.maximum(jars, 1))
        return self._grow(stage, batch, np.where(fed > 0, start, NEVER), fed, infected)

    def _floor(self) -> int:
        return max(self._course.not_before, self._course.today)

    def _infected(self, stage: Stage, batch: Grown, name: str, jars: str, jar: Ints) -> Flags | None:
        """Which units come from an infected parent; `jar` is the place of their parent among those alive."""
        if batch.odds is None:
            return None
        if not stage.by_jar:
            return self._dice.uniform(f"hidden:{name}", batch.units) < batch.odds.hidden
        flags = self._dice.uniform(f"jars:{jars}", int(jar.max(initial=0)) + 1) < batch.odds.hidden
        return np.take_along_axis(flags, np.broadcast_to(jar, (batch.units, self._dice.seasons)), axis=0)

    def _grow(
        self,
        stage: Stage,
        batch: Grown,
        start: Ints,
        fed: Ints,
        infected: Flags | None,
        again: str = "",
    ) -> Outcome:
        odds, loads = batch.odds, batch.loads
        if again and loads:
            loads = (f"{again}{batch.id}",) * batch.units
        return grow(
            batch,
            start,
            fed,
            infected,
            self._dice,
            name=f"{again}{batch.id}",
            loads=loads,
            share_good=self._dice.beta(f"stage:{stage.key}", odds.good_a, odds.good_b)
            if odds
            else np.ones(self._dice.seasons),
            together=self._course.together,
            early=self._course.shown_early,
        )

    def _short_on(self, stage: Stage, grown: Sequence[Outcome]) -> Ints:
        """Day on which it is known that fewer units live than the stage needs; it needs some."""
        noticed = np.concatenate([found.noticed for found in grown])
        spare = max(0, len(noticed) - stage.need)
        known: Ints = np.partition(noticed, spare, axis=0)[spare]
        return known

    # --- made again -----------------------------------------------------------------------------------

    def _made_again(self, stage: Stage, again: Again, like: Grown, lost: Ints, remade: Flags) -> Lot:
        batch = replace(like, units=again.units)
        assert batch.openings is not None
        parent = self._stages.get(stage.parent or "")
        start = _on(batch.openings.anew, lost + again.wait)
        fed = np.where(remade, again.units, 0)
        turns = np.zeros((batch.units, 1), dtype=np.int64)
        jars = f"kept:{stage.key}"
        if parent is not None and again.parent_wait is not None:
            jar = next(self._course.of(parent.key))
            first = self._parents_again(stage, parent, jar, lost + again.parent_wait, remade)
            start = _on(batch.openings.begin, np.maximum(start, first.ready))
            fed = np.where(first.good.sum(axis=0) * jar.feeds + ENOUGH >= again.units, fed, 0)
            turns = (np.arange(batch.units) // max(1, int(jar.feeds)))[:, None]
        elif parent is not None:
            # A jar has to be left beside those that the others are made from: the one kept back, or a spare.
            # Of a culture a little of any unit that lives is kept back.
            used = parent.need if stage.by_jar else 0
            fed = np.where(_total(lot.count for lot in self._lots[parent.key]) - used >= 1, fed, 0)
        infected = self._infected(stage, batch, f"again:{batch.id}", jars, turns)
        start = np.where(fed > 0, start, NEVER)
        return _lot(batch, self._grow(stage, batch, start, fed, infected, again="again:"))

    def _parents_again(self, stage: Stage, parent: Stage, jar: Grown, begin: Ints, remade: Flags) -> Outcome:
        """The parents made once more from the culture, for a batch that is made again."""
        assert jar.openings is not None
        name = f"for {stage.key}:"
        start = np.where(remade, _on(jar.openings.anew, begin), NEVER)
        infected = self._infected(
            replace(parent, by_jar=False), jar, f"{name}{jar.id}", "", np.zeros((1, 1), dtype=np.int64)
        )
        return self._grow(parent, jar, start, np.where(start < NEVER, jar.units, 0), infected, again=name)

    # --- plantings ------------------------------------------------------------------------------------

    def _plant(self, planting: Planted) -> None:
        lots = self._lots[planting.stage]
        there = _there_on([(lot.ready, _amount(lot.count, lot.grams)) for lot in lots], planting.need_g)
        on = _on(planting.open, np.maximum(there, planting.planned))
        spawn = np.zeros(self._dice.seasons)
        for lot in lots:
            spawn += np.where(lot.keep_on(on), _amount(lot.count, lot.grams), 0.0)
        self._played.planted_on[planting.name] = np.where(spawn + ENOUGH >= planting.need_g, on, NEVER)
        self._played.spawn_g[planting.name] = np.floor(spawn + ENOUGH).astype(np.int64)


def _fed_before(course: Course) -> dict[str, int]:
    """Units made from the same parents before each batch, in the order in which batches are planned."""
    parents = {stage.key: stage.parent for stage in course.stages}
    total: dict[str | None, int] = {}
    before = {}
    for batch in course.batches:
        parent = parents[batch.stage]
        before[batch.id] = total.get(parent, 0)
        if batch.openings is not None and not batch.begun:
            total[parent] = before[batch.id] + batch.units
    return before


def _lot(batch: Grown, found: Outcome) -> Lot:
    return Lot(found.ready, found.good.sum(axis=0), batch.keeps, batch.feeds, batch.grams)


def _on(table: Sequence[int], days: Ints) -> Ints:
    """What a table of days says of each day; NEVER beyond its end."""
    open_: Ints = np.asarray([*table, NEVER], dtype=np.int64)
    return open_[np.clip(days, 0, len(table))]


def _amount(count: Ints, each: float) -> Floats:
    return np.multiply(count, each, dtype=np.float64)


def _total(parts: Iterable[Ints]) -> Ints:
    total: Ints = np.stack(list(parts)).sum(axis=0, dtype=np.int64)
    return total


def _there_on(lots: Sequence[tuple[Ints, Floats]], amount: float) -> Ints:
    """First day on which so much is there, of lots that come on days of their own.

    Where it never is, the day on which all that was begun is ready: then it is known.
    """
    ready = np.stack([day for day, _ in lots])
    order = np.argsort(ready, axis=0, kind="stable")
    ready = np.take_along_axis(ready, order, axis=0)
    gathered = np.cumsum(np.take_along_axis(np.stack([have for _, have in lots]), order, axis=0), axis=0)
    comes = ready < NEVER
    enough = comes & (gathered + ENOUGH >= amount)
    # The lots stand in the order in which they come, so those that never do stand last.
    place = np.where(enough.any(axis=0), enough.argmax(axis=0), np.maximum(comes.sum(axis=0) - 1, 0))
    day: Ints = np.take_along_axis(ready, place[None], axis=0)[0]
    return day
