"""Who feeds what is still to be made: its planned parents as far as they live, else others like them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field, replace

from scheduler.lines.culture import CULTURES
from scheduler.lines.living import Living, keeps_until
from scheduler.lines.shapes import BatchSpec
from scheduler.plan import Unit
from scheduler.season.season import Season
from scheduler.trade.catalogue import Catalogue

_A_HAIR = 1e-6


@dataclass
class Larder:
    """What every living unit can still pass on, in grams (mL, plates)."""

    left: dict[str, float]
    batch_of: dict[str, str]
    watch: set[str]
    kept: set[str] = field(default_factory=set)
    opened: set[str] = field(default_factory=set)
    """Units of grain from which something was made: they feed only what was planned from them."""

    def feeds(self, unit: str, amount: float) -> bool:
        """Whether a unit has so much to give."""
        return self.left.get(unit, 0.0) >= amount - _A_HAIR

    def take(self, unit: str, amount: float) -> None:
        """Passes so much of a unit on."""
        self.left[unit] -= amount

    def forget(self, units: Iterable[Unit]) -> None:
        """Units that are not made after all feed nobody."""
        for unit in units:
            self.left.pop(unit.id, None)
            self.batch_of.pop(unit.id, None)
            self.kept.discard(unit.id)

    def copy(self) -> Larder:
        """The same larder, to try something out."""
        return Larder(dict(self.left), dict(self.batch_of), self.watch, set(self.kept), self.opened)

    def best(
        self, batches: Collection[str], amount: float, used: Counter[str], *, own: Collection[str], kept: bool
    ) -> str | None:
        """The unit that gives so much best: of one of its `own` batches, the least `used`, with most left.

        One in doubt only where no other can. What is kept back is given only where `kept` says so, and last.
        """
        wanted = set(batches)
        able = [
            unit
            for unit, batch in self.batch_of.items()
            if batch in wanted
            and self.feeds(unit, amount)
            and unit not in self.opened
            and (kept or unit not in self.kept)
        ]
        order = {unit: place for place, unit in enumerate(able)}

        def rank(unit: str) -> tuple[object, ...]:
            doubtful = (unit in self.kept, unit in self.watch)
            return (*doubtful, self.batch_of[unit] not in own, used[unit], -self.left[unit], order[unit])

        return min(able, key=rank, default=None)


def larder(living: Living, season: Season, catalogue: Catalogue) -> Larder:
    """What the living units of a line can pass on beyond what they have passed on already.

    What no longer keeps today passes nothing on.
    """
    given = living.given()
    lab = catalogue.lab.culture
    found = Larder({}, {}, living.watch)
    for batch in living.batches.values():
        until = keeps_until(batch, season, catalogue)
        if batch.is_test or (until is not None and until < season.today):
            continue
        each = batch.unit_mass_g * batch.usable
        if batch.stage == "liquid culture":
            each -= lab.keep_back_volume.likely
        kept = {unit.id for unit in batch.units[batch.started - batch.keep_back :]}
        for unit in batch.units:
            found.left[unit.id] = each - given.get(unit.id, 0.0)
            found.batch_of[unit.id] = batch.id
            if batch.stage == "grain" and unit.id in given:
                found.opened.add(unit.id)
        found.kept |= kept
    return found


def feed(living: Living, larder: Larder) -> list[BatchSpec]:
    """Fills in the parents of all that is still to be made, parents first.

    A batch of which only some units find a parent is made of those alone; one that nothing feeds is taken out
    and returned.
    """
    hungry = []
    for batch in living.open():
        if not any(unit.parent for unit in batch.units):
            continue  # grown from nothing in the house: what is bought or in hand
        fed = fed_by(batch, larder, _like_parents(living, batch))
        if fed is None:
            hungry.append(living.batches.pop(batch.id))
            larder.forget(batch.units)
            continue
        living.batches[batch.id] = fed
        _forget_missing(larder, batch, fed)
    return hungry


def fed_by(batch: BatchSpec, larder: Larder, batches: list[str], *, kept: bool = False) -> BatchSpec | None:
    """The batch with a living parent for each unit, less the units that find none; None where none does.

    A test keeps to its own culture, which it hardly touches.
    """
    if batch.is_test:
        alive = [unit for unit in batch.units if unit.parent in larder.left]
        return _with_units(batch, alive, larder) if alive else None
    parents: dict[str, str] = {}
    used = Counter[str]()

    def give(unit: Unit, parent: str) -> None:
        larder.take(parent, batch.feed_g)
        used[parent] += 1
        parents[unit.id] = parent

    for unit in batch.units:  # those that can keep their parent do so first
        parent = unit.parent
        if parent is None or parent in larder.watch or parent in larder.kept:
            continue
        if larder.feeds(parent, batch.feed_g):
            give(unit, parent)
    for unit in batch.units:
        if unit.id not in parents:
            other = larder.best(batches, batch.feed_g, used, own=batch.parents, kept=kept)
            if other is not None:
                give(unit, other)
    units = [Unit(unit.id, parents[unit.id]) for unit in batch.units if unit.id in parents]
    return _with_units(batch, units, larder) if units else None


def _with_units(batch: BatchSpec, units: list[Unit], larder: Larder) -> BatchSpec:
    """The batch with these units: what is needed goes before what is kept back."""
    keep_back = min(batch.keep_back, max(0, len(units) - batch.needed))
    return replace(
        batch,
        units=tuple(units),
        started=len(units),
        keep_back=keep_back,
        needed=min(batch.needed, len(units) - keep_back),
        parents=tuple(dict.fromkeys(larder.batch_of[unit.parent] for unit in units if unit.parent)),
    )


def _forget_missing(larder: Larder, before: BatchSpec, after: BatchSpec) -> None:
    there = {unit.id for unit in after.units}
    larder.forget(unit for unit in before.units if unit.id not in there)
    larder.kept -= {unit.id for unit in after.units[: after.started - after.keep_back]}


def _like_parents(living: Living, batch: BatchSpec) -> list[str]:
    """Batches that could feed one as its parents do, its own parents first."""
    own = [name for name in batch.parents if name in living.batches]
    return own + [other.id for other in _kin(living, batch) if other.id not in own]


def _kin(living: Living, batch: BatchSpec) -> Iterator[BatchSpec]:
    grown_from_grain = batch.stage not in CULTURES and (batch.stage != "grain" or (batch.generation or 1) > 1)
    for other in living.batches.values():
        if other.id == batch.id or other.is_test:
            continue
        if grown_from_grain:
            follows = batch.stage != "grain" or (other.generation or 1) + 1 == batch.generation
            if other.stage == "grain" and follows:
                yield other
        elif other.stage in CULTURES and any(
            other.stage == living.batches[name].stage for name in batch.parents if name in living.batches
        ):
            yield other
