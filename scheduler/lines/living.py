"""What lives of the batches that were planned: each as it is now, by what was recorded of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from scheduler.lines import timing
from scheduler.lines.culture import CULTURES
from scheduler.lines.names import kind_of
from scheduler.lines.shapes import BatchSpec, Line, Lost
from scheduler.lines.vessels import CLASS_OF_STAGE
from scheduler.plan import Unit
from scheduler.progress import BatchProgress, Progress
from scheduler.season.season import Season
from scheduler.trade.catalogue import Catalogue

TUB = "tub"


@dataclass
class Living:
    """The batches of one line that are alive or still to be made, parents first."""

    line: Line
    batches: dict[str, BatchSpec] = field(default_factory=dict)
    watch: set[str] = field(default_factory=set)
    """Units in doubt: nothing is made from them while anything else will do."""
    read: set[str] = field(default_factory=set)
    """Tests that have been read: what becomes of their plates no longer matters."""
    lost: list[Lost] = field(default_factory=list)
    """Units that nobody has yet recorded as heat-killed."""

    def open(self) -> list[BatchSpec]:
        """Batches that are still to be made, parents first."""
        return [batch for batch in self.batches.values() if batch.is_to_make]

    def children(self, batch_id: str) -> list[BatchSpec]:
        """Batches made, or to be made, from a batch."""
        return [batch for batch in self.batches.values() if batch_id in batch.parents]

    def given(self) -> dict[str, float]:
        """Grams (mL, plates) that each unit has passed on already."""
        passed: dict[str, float] = {}
        for batch in self.batches.values():
            passed |= batch.passed_on
        for batch in self.batches.values():
            if batch.growth is not None and not batch.is_to_make:
                for unit in batch.units:
                    if unit.parent:
                        passed[unit.parent] = passed.get(unit.parent, 0.0) + batch.feed_g
        return passed


def living(
    line: Line, season: Season, catalogue: Catalogue, progress: Progress, arrives: dict[str, date]
) -> Living:
    """What lives of a line; `arrives` holds the day on which each bought batch was promised to be there."""
    found, spent = Living(line), dict[str, float]()
    for batch in (*line.batches, *_own(line, progress)):
        happened = progress.batch(batch.id)
        found.watch |= set(happened.watch)
        dead = tuple(unit.id for unit in _started(batch, happened) if unit.id in happened.lost)
        if dead and not is_killed(batch.id, progress):
            found.lost.append(_lost(batch, dead, max(happened.lost[unit] for unit in dead)))
        if batch.is_test and happened.ready_on is not None:
            found.read.add(batch.id)
        _spend(spent, batch, happened)
        now = _now(batch, happened, season, catalogue, arrives.get(batch.id))
        if now.units:
            found.batches[batch.id] = now
    for name, batch in found.batches.items():
        mine = {unit.id for unit in batch.units} & spent.keys()
        more = {unit: batch.passed_on.get(unit, 0.0) + spent[unit] for unit in sorted(mine)}
        found.batches[name] = replace(batch, passed_on={**batch.passed_on, **more})
    return found


def _spend(spent: dict[str, float], batch: BatchSpec, happened: BatchProgress) -> None:
    """Adds what was passed on to those units of a batch that were begun and are gone."""
    if batch.growth is None or happened.inoculated_on is None:
        return
    for unit in _started(batch, happened):
        if unit.parent and not _is_left(unit, happened):
            spent[unit.parent] = spent.get(unit.parent, 0.0) + batch.feed_g


def _own(line: Line, progress: Progress) -> Iterator[BatchSpec]:
    """Batches that no plan knows: made by the grower from a batch of this line, like others of their kind."""
    known = {batch.id: batch for batch in line.batches}
    for name, happened in progress.batches.items():
        parent = known.get(happened.parent or "")
        like = next((b for b in known.values() if kind_of(b.id) == kind_of(name) and not b.is_test), None)
        if name in known or parent is None or like is None or not parent.units:
            continue
        units = tuple(
            Unit(f"{name}/{number + 1}", parent.units[number % len(parent.units)].id)
            for number in range(happened.started or 1)
        )
        yield replace(
            like,
            id=name,
            units=units,
            started=len(units),
            needed=0,
            keep_back=0,
            parents=(parent.id,),
            cooked_on=None,
        )


def is_killed(batch_id: str, progress: Progress) -> bool:
    """Whether the lost units of a batch were heated through, in a load of their own or along with others."""
    return any(
        task == f"{batch_id}:kill-lost" or (task.startswith("cook:") and f"{batch_id}/lost" in task)
        for task in progress.done
    )


def _lost(batch: BatchSpec, units: tuple[str, ...], found_on: date) -> Lost:
    return Lost(
        batch.id,
        units,
        batch.species,
        batch.container,
        batch.stage,
        batch.load_class or CLASS_OF_STAGE.get(batch.stage),
        found_on,
    )


def _now(
    batch: BatchSpec, happened: BatchProgress, season: Season, catalogue: Catalogue, arrives: date | None
) -> BatchSpec:
    """A batch as it is now; without units where none is left."""
    kept = {unit.id for unit in batch.units[batch.started - batch.keep_back :]}
    left = (unit for unit in _started(batch, happened) if _is_left(unit, happened))
    units = tuple(sorted(left, key=lambda unit: unit.id in kept))  # kept-back units come last
    keep_back = sum(unit.id in kept for unit in units)
    batch = replace(
        batch,
        units=units,
        started=len(units),
        keep_back=keep_back,
        needed=min(batch.needed, len(units) - keep_back),
        begun_on=happened.inoculated_on if batch.growth is not None else None,
        found_ready_on=happened.ready_on,
    )
    if batch.growth is None:
        return _arriving(batch, happened, season, arrives)
    lab = catalogue.lab
    keeps = timedelta(days=round((lab.tub_days if batch.treatment == TUB else lab.sealed_days).likely))
    sealed = happened.cooked_on is not None and happened.cooked_on + keeps >= season.today
    return replace(batch, cooked_on=happened.cooked_on if sealed or batch.begun_on else None)


def _is_left(unit: Unit, happened: BatchProgress) -> bool:
    return unit.id not in happened.lost and unit.id not in happened.used


def _started(batch: BatchSpec, happened: BatchProgress) -> tuple[Unit, ...]:
    """The units that were really started: the first by their numbers, and more of the same descent."""
    count = happened.started
    if happened.inoculated_on is None or count is None:
        return batch.units
    numbered = {int(unit.id.rpartition("/")[2]): unit for unit in batch.units}
    last = max(numbered, default=0)
    parents = [unit.parent for unit in batch.units] or [None]
    more = [
        Unit(f"{batch.id}/{number}", parents[number % len(parents)]) for number in range(last + 1, count + 1)
    ]
    return (*(unit for number, unit in sorted(numbered.items()) if number <= count), *more)


def _arriving(batch: BatchSpec, happened: BatchProgress, season: Season, arrives: date | None) -> BatchSpec:
    """When something bought is there: as recorded, else as promised where it had to be ordered by now."""
    if batch.state == "in hand":
        return batch
    if happened.received_on is not None:
        on = happened.received_on
        return replace(batch, there_on=on, found_ready_on=on, ordered_on=happened.ordered_on or on)
    lead = timedelta(days=lead_days(season, batch))
    if happened.ordered_on is not None:
        there_on = max(season.today, happened.ordered_on + lead)
        return replace(batch, there_on=there_on, ordered_on=happened.ordered_on)
    if arrives is not None and arrives - lead < season.today:
        return replace(batch, there_on=max(season.today, arrives))
    return replace(batch, there_on=max(batch.there_on or season.today, season.today + lead))


def keeps_until(batch: BatchSpec, season: Season, catalogue: Catalogue) -> date | None:
    """The last day on which a batch that lives is likely to be of use; None where it is still to be made."""
    ready = batch.found_ready_on or batch.there_on
    if batch.growth is not None and ready is None:
        if batch.begun_on is None:
            return None
        grows = timing.likely_days(season, catalogue, batch.species, batch.growth)
        ready = batch.begun_on + timedelta(days=round(grows))
    return ready and ready + timedelta(days=batch.keeps_days - batch.aged_days)


def lead_days(season: Season, batch: BatchSpec) -> int:
    """Days from ordering a batch that is bought to having it."""
    if batch.stage in CULTURES:
        return season.lead.culture
    return season.lead.grain if batch.stage == "grain" else season.lead.spawn
