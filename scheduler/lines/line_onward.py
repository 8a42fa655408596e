"""One strain line sized onward: what lives of it, fed anew where it has to be, and what is made again."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from scheduler.lines import culture, rescue, spawn, transfers
from scheduler.lines.descent import even
from scheduler.lines.feeding import Larder, feed, larder
from scheduler.lines.living import Living, keeps_until
from scheduler.lines.prospects import prospects
from scheduler.lines.shapes import BatchSpec, Demand, Line
from scheduler.lines.shares import drop_unwanted, is_finished, share_out
from scheduler.lines.spares import Level
from scheduler.lines.stages import Stages
from scheduler.lines.stock import InHand, left_over, ready_day
from scheduler.lines.vessels import cooking
from scheduler.plan import Unit
from scheduler.season.season import Planting, Season
from scheduler.trade.catalogue import Catalogue

_A_GRAM = 1.0


class LineOnward:
    """One strain line, sized onward."""

    def __init__(
        self,
        season: Season,
        catalogue: Catalogue,
        lives: Living,
        plantings: Sequence[Planting],
        demands: Mapping[str, Demand],
        level: Level,
        way: int,
    ) -> None:
        self.season, self.catalogue, self.lives = season, catalogue, lives
        self.plantings = {p.name: p for p in sorted(plantings, key=lambda p: (p.best[0], p.index))}
        self.demands, self.way = demands, way
        self.ways: list[int] = []
        self.unfed = False
        old, head = lives.line, plantings[0]
        stages = max(1, len({b.stage for b in old.batches if b.growth is not None and not b.is_test}))
        taken = {batch.id for batch in old.batches} | set(old.gone)
        wish = season.certainty ** (1.0 / stages)
        self.stages = Stages(
            season, catalogue, old.code, head.species, head.strain, level, {}, wish, taken=taken
        )

    def line(self) -> Line:
        """The line: what lives of it, and what is made again."""
        self._drop_stale()
        drop_unwanted(self.lives, self.plantings, self.demands)
        self._test_again()
        store = larder(self.lives, self.season, self.catalogue)
        hungry = feed(self.lives, store)
        roots = [batch for batch in hungry if self._is_finished(batch)]
        for batch in roots:
            self.lives.batches[batch.id] = replace(batch, parents=())
        missing = share_out(self.lives, self.plantings.values(), self.demands)
        for batch in roots:
            roots[roots.index(batch)] = self.lives.batches.pop(batch.id)
        new = self._begin_again(roots, missing, store)
        self.lives.batches.update((batch.id, batch) for batch in new)
        self._test_again()
        batches = self._needed(self._useful(_parents_first(list(self.lives.batches.values()))))
        batches = [_without_gone(batch, {b.id for b in batches}) for batch in batches]
        batches = [_as_treated_now(batch, self.season, self.catalogue) for batch in batches]
        old = self.lives.line
        names = tuple(name for name in self.plantings)
        gone = sorted(({b.id for b in old.batches} | set(old.gone)) - {b.id for b in batches})
        return replace(
            old,
            plantings=names,
            batches=tuple(transfers.counted(batches)),
            spares=tuple(prospects(self.stages, batches, self._is_finished)),
            notes=(),
            gone=tuple(gone),
        )

    def _drop_stale(self) -> None:
        """Leaves out finished spawn that does not keep until its planting may be planted."""
        for batch in list(self.lives.batches.values()):
            until = keeps_until(batch, self.season, self.catalogue)
            if until is None or not self._is_finished(batch):
                continue
            windows = [self.plantings[name].window for name in batch.plantings if name in self.plantings]
            if until < max(self.season.today, min(first for first, _ in windows)):
                del self.lives.batches[batch.id]

    def _is_finished(self, batch: BatchSpec) -> bool:
        return is_finished(batch, self.plantings.values())

    def _test_again(self) -> None:
        """A test of which every plate is lost is made anew while its culture is still to be used."""
        for test in self.lives.line.batches:
            waiting = [child for name in test.parents for child in self.lives.children(name)]
            is_read = test.id in self.lives.read or any(child.is_test for child in waiting)
            if test.is_test and not is_read and any(child.is_to_make for child in waiting):
                name = self.stages.next_name(test)
                units = tuple(
                    Unit(f"{name}/{place}", unit.parent) for place, unit in enumerate(test.units, start=1)
                )
                again = replace(
                    test, id=name, units=units, begun_on=None, cooked_on=None, found_ready_on=None
                )
                self.lives.batches[name] = again

    def _begin_again(
        self, roots: list[BatchSpec], missing: Mapping[str, float], store: Larder
    ) -> list[BatchSpec]:
        """New batches for what is missing, and for the hungry ones, from the nearest way that feeds them."""
        held, cultures = self._found()
        made: list[BatchSpec] = []
        for name, grams in missing.items():
            if grams > _A_GRAM:
                short = replace(self.demands[name], spawn_g=grams)
                made += spawn.finished(self.stages, held, self.plantings[name], "liquid culture", short)
        roots = [*roots, *(batch for batch in made if batch.state == "planned")]
        there = [batch for batch in made if batch.state != "planned"]
        grain, fed = spawn.from_grain_in_hand(self.stages, held, [b for b in roots if b.stage != "grain"])
        roots = [batch for batch in roots if batch.id not in {b.id for b in fed}]
        new = [*there, *grain, *fed]
        if not roots:
            return new
        need = rescue.Need(self.stages, self.lives, store, roots, self.plantings, cultures)
        found = rescue.rescue(need, self.way)
        if found is None:
            self.unfed = True
            return new
        self.ways.append(found[0])
        return [*new, *found[1]]

    def _found(self) -> tuple[list[InHand], list[culture.Source]]:
        """What turned up in hand and is in no batch yet: grain and spawn, and cultures."""
        season, catalogue = self.season, self.catalogue
        species, strain = self.stages.species, self.stages.strain
        batches = self.lives.line.batches
        used = left_over(season, catalogue, batches)
        held = []
        for stock, one, left in used:
            one.left = left
            if left and (stock.species, stock.strain) == (species, strain):
                held.append(one)
        known = {(b.stage, ready_day(b.there_on, b.aged_days)) for b in batches if b.state == "in hand"}
        cultures = [
            source
            for source in culture.in_hand(season, catalogue, species, strain)
            if (source.stage, ready_day(source.there_on, source.aged_days)) not in known
        ]
        return held, cultures

    def _needed(self, batches: Sequence[BatchSpec]) -> list[BatchSpec]:
        """Sets what is needed of grain, by what is still to be made from it."""
        users = {unit.parent for b in batches if b.is_to_make for unit in b.units}
        found = {batch.id: batch for batch in batches}
        for generation in sorted({b.generation for b in batches if b.stage == "grain" and b.generation}):
            grain = [b for b in batches if b.generation == generation and b.id in parents_of(batches)]
            fed = {b.id: b for b in batches for p in b.parents if b.is_to_make and p in {g.id for g in grain}}
            need = spawn.jars_for(self.stages, list(fed.values())) if fed else 0
            grain = [_kept_last(batch, users) for batch in grain]
            rooms = [batch.started - batch.keep_back for batch in grain]
            for batch, needed in zip(grain, even(min(need, sum(rooms)), rooms), strict=True):
                found[batch.id] = replace(batch, needed=needed)
        return list(found.values())

    def _useful(self, batches: Sequence[BatchSpec]) -> list[BatchSpec]:
        """Without what leads to nothing; what lives already stays, for a redo may need it."""
        left = list(batches)
        while True:
            parents = {parent for batch in left for parent in batch.parents}
            used = parents_of(left)
            kept = [
                b
                for b in left
                if self._is_finished(b)
                or (set(b.parents) & used if b.is_test else b.id in parents or _is_there(b))
            ]
            if len(kept) == len(left):
                return kept
            left = kept


def _as_treated_now(batch: BatchSpec, season: Season, catalogue: Catalogue) -> BatchSpec:
    """A batch that is still to be heat-treated, by the cookers that the lab has now."""
    if batch.treatment is None or not batch.is_to_make or batch.cooked_on is not None:
        return batch
    how = cooking(season, catalogue, batch.species, batch.stage, batch.container)
    return replace(batch, treatment=how.treatment, load_class=how.load_class)


def _without_gone(batch: BatchSpec, there: Collection[str]) -> BatchSpec:
    """A batch as made from those that are still there; what it was made from is told by its units."""
    return replace(batch, parents=tuple(name for name in batch.parents if name in there))


def _is_there(batch: BatchSpec) -> bool:
    """Whether a batch grows, waits, or has arrived."""
    if batch.growth is not None:
        return batch.begun_on is not None
    return batch.state == "in hand" or batch.found_ready_on is not None


def parents_of(batches: Sequence[BatchSpec]) -> set[str]:
    """Ids of batches from which something is made beside a test."""
    return {parent for batch in batches if not batch.is_test for parent in batch.parents}


def _parents_first(batches: Sequence[BatchSpec]) -> list[BatchSpec]:
    waiting, done = list(batches), list[BatchSpec]()
    while waiting:
        there = {batch.id for batch in done}
        later = {batch.id for batch in waiting}
        ready = [b for b in waiting if not any(p in later and p not in there for p in b.parents)]
        done += sorted(ready, key=lambda batch: not batch.is_test)  # read before anything else is made
        waiting = [b for b in waiting if b not in ready]
    return done


def _kept_last(batch: BatchSpec, users: Collection[str | None]) -> BatchSpec:
    """A batch without those kept back that something is made from after all."""
    first = batch.units[: batch.started - batch.keep_back]
    kept = [unit for unit in batch.units[len(first) :] if unit.id not in users]
    used = [unit for unit in batch.units[len(first) :] if unit.id in users]
    return replace(batch, units=(*first, *used, *kept), keep_back=len(kept))
