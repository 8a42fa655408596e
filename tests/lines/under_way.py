"""Seasons under way for tests of the onward sizing: what was planned, a few facts, and what is sized from them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from scheduler.lines.demand import demand
from scheduler.lines.line_onward import LineOnward
from scheduler.lines.living import Living, living
from scheduler.lines.onward import Onward, onward
from scheduler.lines.remaining import remaining
from scheduler.lines.rescue import WAYS
from scheduler.lines.shapes import Basis, BatchSpec, Demand, Line, Sizing
from scheduler.lines.sizing import size
from scheduler.lines.spares import Level
from scheduler.lines.stages import Stages
from scheduler.progress import BatchProgress, Entry, PlantingProgress, Progress
from scheduler.season.season import Season
from tests.grower import CULTURE, OAK, catalogue, season

Facts = Mapping[str, BatchProgress]

GRAIN_ON, GRAIN_READY, BAGS_ON = "2027-01-24", "2027-02-10", "2027-02-14"
"""Days on which the grain of the oak stack is inoculated, found fully run, and shared out among its bags."""


def oak(*more: str, **tables: object) -> Season:
    """The oak stack and more plantings, from 60 mL of tested culture: seven jars, six bags from six of them."""
    return season(OAK, *more, **{"stock": (CULTURE,), **tables})  # type: ignore[arg-type]


def day(text: str) -> date:
    """A day."""
    return date.fromisoformat(text)


def batch(
    name: str,
    *,
    cooked: str | None = None,
    inoculated: str | None = None,
    ready: str | None = None,
    lost: Iterable[int] = (),
    watch: Iterable[int] = (),
    used: Iterable[int] = (),
    lost_on: str = "2027-02-01",
    **more: object,
) -> dict[str, BatchProgress]:
    """What happened to one batch; units by their numbers."""
    one = BatchProgress(
        cooked_on=day(cooked) if cooked else None,
        inoculated_on=day(inoculated) if inoculated else None,
        ready_on=day(ready) if ready else None,
        lost={f"{name}/{number}": day(lost_on) for number in lost},
        watch={f"{name}/{number}": day(lost_on) for number in watch},
        used=frozenset(f"{name}/{number}" for number in used),
    )
    return {name: replace(one, **more)}  # type: ignore[arg-type]


def grain(name: str = "SHI-G1a", *, ready: str | None = GRAIN_READY, **more: object) -> Facts:
    """Grain that was inoculated on its day, and is ready unless said otherwise."""
    return batch(name, inoculated=GRAIN_ON, ready=ready, **more)  # type: ignore[arg-type]


def bags(*names: str, **more: object) -> Facts:
    """Bags that were inoculated on their day."""
    found: dict[str, BatchProgress] = {}
    for name in names:
        found |= batch(name, inoculated=BAGS_ON, **more)  # type: ignore[arg-type]
    return found


@dataclass(frozen=True)
class Story:
    """A season that was sized, and what happened in it until a day."""

    of: Season
    on: str
    facts: Facts = field(default_factory=dict)
    plantings: Mapping[str, PlantingProgress] = field(default_factory=dict)
    found: tuple[Entry, ...] = ()
    done: Mapping[str, date] = field(default_factory=dict)
    basis: Basis | None = None
    days: Mapping[str, Mapping[date, int]] = field(default_factory=dict)

    @property
    def progress(self) -> Progress:
        """What happened, as the journal adds it up."""
        return Progress(dict(self.facts), dict(self.plantings), dict(self.done), found=self.found)

    @property
    def whole(self) -> Season:
        """The season as it was wished, on the day that has come."""
        return replace(self.of, today=day(self.on))

    @property
    def left(self) -> Season:
        """What is left of it."""
        return remaining(self.whole, catalogue(), self.progress)

    @property
    def planned(self) -> Sizing:
        """What was sized before anything happened, or the time before."""
        return self.basis.sizing if self.basis else size(self.of, catalogue(), "wished", {})

    def lives(self, code: str | None = None) -> Living:
        """What lives of a line (the first, or the one named)."""
        line = next(one for one in self.planned.lines if code in (None, one.code))
        arrives = {name.removesuffix(":there"): min(on) for name, on in self.days.items()}
        return living(line, self.left, catalogue(), self.progress, arrives)

    def sized(self, way: int = 0, level: Level = "wished") -> Onward:
        """The season sized onward."""
        basis = self.basis or Basis(self.planned, self.days)
        return onward(self.left, self.whole, catalogue(), basis, self.progress, level=level, way=way)

    def line(self, way: int = 0, level: Level = "wished") -> Line:
        """Its (first) strain line sized onward."""
        return self.sized(way, level).sizing.lines[0]

    @property
    def demands(self) -> dict[str, Demand]:
        """What each planting that is left takes."""
        return {one.name: demand(one, self.left, catalogue()) for one in self.left.plantings}

    def stages(self, level: Level = "wished") -> Stages:
        """What makes new batches of its first line."""
        made = LineOnward(self.left, catalogue(), self.lives(), self.left.plantings, self.demands, level, 0)
        return made.stages

    def then(self, on: str, facts: Facts | None = None, **more: object) -> Story:
        """The same season later, replanned in between: more facts, and the new basis."""
        basis = Basis(self.sized().sizing, self.days)
        return replace(self, on=on, facts={**self.facts, **(facts or {})}, basis=basis, **more)  # type: ignore[arg-type]


def story(of: Season, on: str, *facts: Facts, **more: object) -> Story:
    """A season of which so much happened until a day."""
    together: dict[str, BatchProgress] = {}
    for one in facts:
        together |= one
    return Story(of, on, together, **more)  # type: ignore[arg-type]


def by_id(line: Line) -> dict[str, BatchSpec]:
    """Batches of a line by their ids."""
    return {one.id: one for one in line.batches}


def parents(*batches: BatchSpec) -> list[str | None]:
    """The parent of every unit, in order."""
    return [unit.parent for one in batches for unit in one.units]


def units(one: BatchSpec) -> list[str]:
    """Unit ids of a batch, in order."""
    return [unit.id for unit in one.units]


def way_of(found: Onward) -> str | None:
    """The name of the way in which something is made again."""
    return None if found.way is None else list(WAYS)[found.way]


def wrong(line: Line) -> list[str]:
    """What can never be so in a line: parents that are not there, units twice, more passed on than there is."""
    known = {unit.id: one for one in line.batches for unit in one.units}
    found = [f"{name} twice" for name, n in _counted(u.id for b in line.batches for u in b.units) if n > 1]
    found += [f"{b.id} is gone and there" for b in line.batches if b.id in line.gone]
    given: dict[str, float] = {}
    for one in line.batches:
        if one.started != len(one.units) or one.needed + one.keep_back > one.started:
            found.append(f"{one.id}: {one.needed} + {one.keep_back} of {one.started}, {len(one.units)} units")
        if not one.is_to_make:
            continue
        if not one.parents:
            found.append(f"{one.id} is made from nothing")
        for unit in one.units:
            if unit.parent not in known:
                found.append(f"{unit.id} is made from {unit.parent}, which is not there")
            elif not one.is_test:
                given[unit.parent] = given.get(unit.parent, 0.0) + one.feed_g
    for name, grams in given.items():
        if grams > known[name].unit_mass_g * known[name].usable + 1e-6:
            found.append(f"{name} gives {grams}")
    return found


def _counted(names: Iterable[str]) -> Sequence[tuple[str, int]]:
    found: dict[str, int] = {}
    for name in names:
        found[name] = found.get(name, 0) + 1
    return list(found.items())
