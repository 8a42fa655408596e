"""The use case of `rehearse`: each batch in turn is lost on its check day, and the season is replanned.

What is recorded and replanned is what `record` and `replan` would make of it on that day, after everything
before it was done as planned; nothing of it is written down.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from itertools import combinations
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.errors import Fault, SeasonError, UsageError
from scheduler.journal.due import due
from scheduler.journal.units import living
from scheduler.plan import Batch, Plan
from scheduler.rehearsal import (
    OUTCOMES,
    LeftOut,
    LostBatch,
    Rehearsal,
    Rehearsed,
    Replanted,
    Saved,
    WayOut,
)
from scheduler.service import planning, replanning, reports, seasons
from scheduler.service.dormant_edits import PUT_OFF
from scheduler.service.helping import falls_short, would_have_helped
from scheduler.service.planting_edits import GIVE_UP
from scheduler.service.under_way import UnderWay, news, under_way

if TYPE_CHECKING:
    from scheduler.solve.look import Watch

MOST_PAIRS = 40
"""Pairs that are rehearsed; each takes as long as a replan, and a refusal as long as its remedies."""

NO_RESCUE = frozenset({GIVE_UP, PUT_OFF})
"""Remedies that do not save what was lost."""


@dataclass(frozen=True)
class Loss:
    """One rehearsal, as it can be handed to another process."""

    path: Path
    clock: seasons.Clock
    batches: tuple[str, ...]
    on: date


Told = Callable[[int, int], None]
"""Told after each rehearsal: how many are done, of how many."""
Player = Callable[[tuple[Loss, ...], Told], Iterable["Rehearsed | LeftOut"]]
"""Plays losses, on one processor or many, and gives what comes of them in their order."""


@dataclass(frozen=True)
class Asked:
    """What is to be rehearsed, and who plays it."""

    clock: seasons.Clock
    today: date | None
    pairs: bool
    late: bool
    """Whether losses are seen on the day on which a batch should be ready, else at the last look before."""
    player: Player
    told: Told = lambda done, total: None


def rehearse(path: Path, asked: Asked, *, kept_at: str, watch: Watch | None = None) -> Rehearsal:
    """Every single loss of the season at `path`, and of pairs the first `MOST_PAIRS`, the worst first.

    A season of which no plan holds is planned and kept first. Raises UsageError where no batch is left to
    lose, and else as `planning.plan_ahead`.
    """
    planning.plan_ahead(path, asked.clock, asked.today, kept_at=kept_at, watch=watch)
    state = under_way(path, asked.clock.today, asked.today)
    single = tuple(
        Loss(state.file, asked.clock, (batch.id,), day) for batch, day in _can_be_lost(state, late=asked.late)
    )
    if not single:
        raise UsageError(
            Fault(
                str(state.file),
                "no batch of the plan grows here, or is still to be made",
                "a season with a batch that can be lost",
                "budswell today SEASON shows what is left to do",
            )
        )
    played = list(asked.player(single, asked.told))
    found = [one for one in played if isinstance(one, Rehearsed)]
    there = _pairs(state.plan, single, found) if asked.pairs else []
    both = list(asked.player(tuple(there[:MOST_PAIRS]), asked.told)) if there else []
    order = {batch.id: place for place, batch in enumerate(state.plan.batches)}
    return Rehearsal(
        plan_no=state.kept.plan_no,
        season=state.plan.season.name,
        today=state.today,
        wished=state.plan.season.certainty,
        late=asked.late,
        single=worst_first(found, order),
        pairs=worst_first([one for one in both if isinstance(one, Rehearsed)], order),
        pairs_there=len(there),
        left_out=tuple(one for one in [*played, *both] if isinstance(one, LeftOut)),
        notes=tuple(_notes(state)),
    )


def worst_first(found: Iterable[Rehearsed], order: dict[str, int]) -> tuple[Rehearsed, ...]:
    """What no plan fits after, lost before saved by a remedy; then by days later, by the chance that is left,
    and by place in the plan."""

    def badness(one: Rehearsed) -> tuple[object, ...]:
        place = [order[name] for name in one.names]
        if one.chance_now is None:
            return 0, OUTCOMES.index(one.outcome), place
        return 1, -one.days_later, one.chance_now, place

    return tuple(sorted(found, key=badness))


def play(loss: Loss) -> Rehearsed | LeftOut:
    """What `replan` makes of a loss, on the day on which it is seen."""
    state = under_way(loss.path, loss.clock.today, loss.on)
    said = [["lost", name, "all"] for name in loss.batches]
    if due(state.plan, state.progress, loss.on):
        said.insert(0, ["done", "all"])
    plan = state.plan
    batches = tuple(_lost(plan, state, name) for name in loss.batches)
    asked = replanning.Asked(loss.clock, loss.on, undone=True)
    try:
        made = replanning.imagine(state, said, asked)
    except replanning.Impossible as refused:
        return _refused(batches, loss.on, plan, refused.plan)
    except UsageError as error:
        return LeftOut(loss.batches, error.fault.found)
    except SeasonError as error:
        return LeftOut(loss.batches, "; ".join(fault.found for fault in error.faults))
    if made.plan.status == "stopped":
        raise KeyboardInterrupt
    return _replanned(batches, loss.on, plan, made)


def _can_be_lost(state: UnderWay, *, late: bool) -> Iterator[tuple[Batch, date]]:
    """Batches that are made here and of which something can still be lost, with the day that shows it.

    That is the last look before a batch is ready, by which most losses show; where that is over, or `late`
    is asked for, the day on which it is ready; and for what is ready and waits today.
    """
    progress, today = state.progress, state.today
    wished = reports.pieces_wished(state)
    to_plant = {
        planting.name
        for planting in state.plan.plantings
        if sum(progress.planting(planting.name).planted.values()) < wished[planting.name]
    }
    for batch in state.plan.batches:
        happened = progress.batch(batch.id)
        if batch.inoculate_on is None or happened.ready_on is not None:
            continue
        if not to_plant & set(batch.plantings):
            continue  # spawn that nothing is planted with any more
        if not living(state.plan, progress, batch.id):
            continue
        if not batch.use_on and batch.ready_on < today:
            continue  # a test that was read
        before = [day for day in batch.check_on if batch.inoculate_on < day < batch.ready_on and not late]
        day = max(before, default=batch.ready_on)
        if day < today:
            day = max(batch.ready_on, today)
        yield batch, day


def _pairs(plan: Plan, single: tuple[Loss, ...], found: Iterable[Rehearsed]) -> list[Loss]:
    """Two losses seen on one day, the later of the two: both batches are to be used after it.

    Those of one line go first, and of these those that each by itself can be saved.
    """
    batches = {batch.id: batch for batch in plan.batches}
    saved = {one.batches[0].id: one.outcome for one in found}
    pairs = []
    for first, second in combinations(single, 2):
        one, other = batches[first.batches[0]], batches[second.batches[0]]
        day = max(first.on, second.on)
        begun = all(batch.inoculate_on and batch.inoculate_on < day for batch in (one, other))
        needed = all(batch.use_on and max(batch.use_on) > day for batch in (one, other))
        if begun and needed and one.id in saved and other.id in saved:
            hard = sum(saved[batch.id] in ("lost", "remedy") for batch in (one, other))
            pairs.append((one.line != other.line, hard, replace(first, batches=(one.id, other.id), on=day)))
    return [pair for _, _, pair in sorted(pairs, key=lambda row: row[:2])]


def _lost(plan: Plan, state: UnderWay, name: str) -> LostBatch:
    batch = next(batch for batch in plan.batches if batch.id == name)
    return LostBatch(
        id=name,
        line=batch.line,
        stage=batch.stage,
        generation=batch.generation,
        units=len(living(plan, state.progress, name)),
        plantings=batch.plantings,
        redo_by=batch.redo_by,
    )


def _replanned(batches: tuple[LostBatch, ...], on: date, before: Plan, made: replanning.Replan) -> Rehearsed:
    known = {batch.id for batch in before.batches}
    new = tuple(batch.id for batch in made.plan.batches if batch.id not in known)
    outcome: Saved = "spares" if made.way is None and not new else "redo"
    found = Rehearsed(
        batches=batches,
        on=on,
        outcome=outcome,
        way=made.way,
        plantings=tuple(_replanted(before, made.plan)),
        chance_was=_of_all(before),
        chance_now=_of_all(made.plan),
        new=new,
        minutes=_lab_minutes(made.plan, on) - _lab_minutes(before, on),
        moved=sum(change.kind == "moved" for change in made.plan.changes),
        remedy=None,
        better=(),
    )
    late = found.days_later
    if late > 0 or falls_short(found, before.season.certainty):
        found = replace(found, better=would_have_helped(batches, before, late or None))
    return found


def _refused(batches: tuple[LostBatch, ...], on: date, before: Plan, refusal: Plan) -> Rehearsed:
    first = refusal.remedies[0] if refusal.remedies else None
    saved = first is not None and first.kind not in NO_RESCUE
    past = [(on - batch.redo_by).days if batch.redo_by else 0 for batch in batches]
    return Rehearsed(
        batches=batches,
        on=on,
        outcome="remedy" if saved else "lost",
        way=None,
        plantings=tuple(
            Replanted(p.name, p.plant_on, (), p.chance, None)
            for p in before.plantings
            if any(p.name in batch.plantings for batch in batches)
        ),
        chance_was=_of_all(before),
        chance_now=None,
        new=(),
        minutes=0,
        moved=0,
        remedy=WayOut(first.kind, first.text, first.cost) if first else None,
        better=would_have_helped(batches, before, max(past) if min(past) > 0 else None),
    )


def _replanted(before: Plan, after: Plan) -> Iterator[Replanted]:
    now = {planting.name: planting for planting in after.plantings}
    for was in before.plantings:
        then = now.get(was.name)
        yield Replanted(
            was.name,
            was.plant_on,
            then.plant_on if then else (),
            was.chance,
            then.chance if then else None,
        )


def _of_all(plan: Plan) -> float:
    return plan.outlook.all if plan.outlook else 0.0


def _lab_minutes(plan: Plan, since: date) -> int:
    return sum(task.minutes for task in plan.tasks if task.place == "lab" and task.on > since)


def _notes(state: UnderWay) -> Iterator[str]:
    count = len(news(state.kept, state.recorded))
    if count:
        entries = "1 entry" if count == 1 else f"{count} entries"
        number = state.kept.plan_no
        yield f"Recorded since plan {number} was made: {entries}; every loss comes on top of that."
