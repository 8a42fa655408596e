"""What the pages of a season under way are made from: its kept plan, its entries, and what they add up to."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from scheduler.book.store import Book, book_path
from scheduler.errors import Fault, UsageError
from scheduler.journal.due import due
from scheduler.journal.find import batch_or_none
from scheduler.plan import Batch, Leftover, Plan, PlantingDay
from scheduler.present.pages import Today, page_of
from scheduler.progress import Progress, Recorded
from scheduler.season.wrong import Wrong, listed, meant, shown
from scheduler.service.under_way import UnderWay, plans, under_way

_ORDER = "--running-order"
_PLANTED = "nothing is left to plant"


@dataclass(frozen=True)
class Story:
    """One batch, and all that is known about it."""

    batch: Batch
    plan: Plan
    recorded: tuple[Recorded, ...]
    progress: Progress
    day: date


def today_page(path: Path, clock: date, today: date | None) -> Today:
    """The page of a day; raises as `under_way`."""
    return today_of(under_way(path, clock, today), shlex.quote(str(path)))


def today_of(state: UnderWay, path_typed: str = "SEASON") -> Today:
    """The page of the day of a season under way."""
    progress = state.progress
    tasks = due(state.plan, progress, state.today)
    return page_of(state.plan, progress, state.today, tasks, path_typed, left_over(state))


def left_over(state: UnderWay) -> tuple[Leftover, ...]:
    """Finished spawn that is left, by the entries, of plantings that are done."""
    if not any(planting.planted for planting in state.progress.plantings.values()):
        return ()
    from scheduler.present.leftover import left_now

    return left_now(plans(state), state.progress, state.today)


def story(path: Path, name: str, clock: date, today: date | None) -> Story:
    """One batch's whole story, from the newest plan that knows it. UsageError for a batch no plan knew."""
    state = under_way(path, clock, today)
    known = batches(state)
    try:
        found = batch_or_none(name, known)
    except Wrong as wrong:
        raise UsageError(Fault("--batch", wrong.found, wrong.allowed, wrong.hint)) from None
    if found is None:
        raise UsageError(
            Fault(
                "--batch", f"{shown(name)} is no batch of this season", f"one of: {', '.join(sorted(known))}"
            )
        )
    plan = known[found]
    batch = next(batch for batch in plan.batches if batch.id == found)
    return Story(batch, plan, state.recorded, state.progress, state.today)


def batches(state: UnderWay) -> dict[str, Plan]:
    """The newest plan that knows each batch, by the batch's id."""
    return {batch.id: plan for plan in reversed(plans(state)) for batch in plan.batches}


def running_order(state: UnderWay, words: Sequence[str]) -> tuple[PlantingDay, ...]:
    """Days of planting that are meant: those of a planting, the one of a date, or else the next.

    Raises UsageError where there is no such day, or the plan is of a version that knew none.
    """
    days, text = state.plan.planting_days, " ".join(words)
    if not days:
        old = any(task.kind == "plant" for task in state.plan.tasks)
        found = "the kept plan knows no running order: an older budswell made it" if old else _PLANTED
        raise UsageError(
            Fault(_ORDER, found, "a plan with a day of planting", "plan the season once more" if old else "")
        )
    if not text:
        return (next((day for day in days if day.on >= state.today), days[-1]),)
    names = list(dict.fromkeys(work.planting for day in days for work in day.works))
    meant_by = [name for name in names if name.casefold() == text.casefold()] or [
        name for name in names if name.casefold().startswith(text.casefold())
    ]
    chosen = [
        day
        for day in days
        if day.on.isoformat() == text or any(work.planting in meant_by for work in day.works)
    ]
    if len(meant_by) > 1 or not chosen:
        said = f"{shown(text)} may mean {len(meant_by)} plantings" if meant_by else f"{shown(text)} is none"
        on = ", ".join(day.on.isoformat() for day in days)
        allowed = f"a planting, or a day of planting: {listed(names)}; {on}"
        raise UsageError(Fault(_ORDER, said, allowed, meant(text, names)))
    return tuple(chosen)


def pieces_wished(state: UnderWay) -> dict[str, int]:
    """Pieces of each planting before anything was planted, by the oldest plan that knows it."""
    from scheduler.journal.pieces import pieces

    wished: dict[str, int] = {}
    for plan in plans(state):
        wished |= {planting.name: pieces(planting) for planting in plan.plantings}
    return wished


def before(state: UnderWay) -> Plan | None:
    """The plan before the kept one; None where that is the first."""
    with Book.open(book_path(state.file), create=False) as book:
        kept = book.plan(state.kept.plan_no - 1)
    return kept.plan if kept else None
