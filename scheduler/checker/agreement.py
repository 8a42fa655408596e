"""Whether a plan says the same as what it was made from: season, sizes and days."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from datetime import date, timedelta

from scheduler.checker.case import INOCULATIONS, Case, Check

_IN_FIELDS = ("cook", "inoculate", "there", "plant", "fell")
"""Works whose days batches and plantings carry themselves."""

_NO_WORK = ("kept", "emptied", "down")
"""Works of a problem that stand for the end of a span of time: nobody does anything."""


def same_things(case: Case) -> Iterator[str]:
    """Every planting and every batch of the season is in the plan, once, and no other."""
    for what, planned, wanted in (
        ("planting", [p.name for p in case.plan.plantings], [p.name for p in case.season.plantings]),
        ("demand", [d.planting for d in case.sizing.demands], [p.name for p in case.season.plantings]),
        ("batch", [b.id for b in case.plan.batches], list(case.specs)),
    ):
        if sorted(planned) != sorted(wanted):
            odd = sorted(set(planned) ^ set(wanted)) or ["one of them twice"]
            yield f"{what}: {', '.join(odd)}"


def same_days(case: Case) -> Iterator[str]:
    """Batches, plantings and tasks lie on the days that were found, and on no others."""
    found = {name: {case.count.date(day) for day in days} for name, days in case.days.pieces.items()}
    from_fields, from_tasks = _fields(case), _tasks(case)
    already_down = {wish.name for wish in case.season.plantings if case.is_down(wish)}
    delivered = case.season.people.felling == "bought"
    for name, days in found.items():
        owner, _, kind = name.rpartition(":")
        if kind in _NO_WORK or (kind == "fell" and owner in already_down) or _is_done(case, owner, kind):
            continue
        if kind in _IN_FIELDS and from_fields.get(name) != days:
            yield f"{name}: the plan says {_say(from_fields.get(name))}, found were {_say(days)}"
        # A load's task may serve several batches, so cook days are judged with the loads.
        by_task = f"{owner}:haul" if kind == "fell" and delivered else name
        if kind not in ("cook", "there", "kill-lost") and from_tasks.get(by_task) != days:
            yield f"{name}: tasks on {_say(from_tasks.get(by_task))}, found were {_say(days)}"
    for name, days in from_fields.items():
        owner, _, kind = name.rpartition(":")
        if name not in found and not _is_done(case, owner, kind):
            yield f"{name}: on {_say(days)}, but no day was found for it"
    sessions = Counter(task.batch for kind in INOCULATIONS for task in case.tasks(kind))
    for batch in case.plan.batches:
        if sessions[batch.id] != (batch.inoculate_on is not None and batch.id not in case.begun):
            yield f"{batch.id}: {sessions[batch.id]} inoculation tasks, inoculated on {batch.inoculate_on}"


def _is_done(case: Case, owner: str, kind: str) -> bool:
    """Whether a work was done before this plan; a rule of its own asks for the recorded day."""
    if kind == "prepare-chips":
        demand = case.demands.get(owner)
        begun = demand.begun if demand else None
        return begun is not None and begun.chips_on is not None and not begun.chips_left
    return owner in case.begun and kind in ("cook", "inoculate")


def _fields(case: Case) -> Mapping[str, set[date]]:
    """Days by work, as batches and plantings give them."""
    days: dict[str, set[date]] = {}
    for batch in case.plan.batches:
        there = batch.ready_on if batch.inoculate_on is None else None
        for kind, on in (("cook", batch.cook_on), ("inoculate", batch.inoculate_on), ("there", there)):
            if on is not None:
                days[f"{batch.id}:{kind}"] = {on}
    for planting, wish in case.plantings:
        days[f"{planting.name}:plant"] = set(planting.plant_on)
        if planting.fell_on and not case.is_down(wish):
            days[f"{planting.name}:fell"] = set(planting.fell_on)
    return days


def _tasks(case: Case) -> Mapping[str, set[date]]:
    """Days by work, as tasks give them."""
    days: dict[str, set[date]] = defaultdict(set)
    for task in case.plan.tasks:
        kind = "inoculate" if task.kind in INOCULATIONS else task.kind
        for owner in (task.batch, task.planting):
            if owner is not None:
                days[f"{owner}:{kind}"].add(task.on)
        days[task.id].add(task.on)  # care of what stands is a work of its own name
    return days


def _say(days: set[date] | None) -> str:
    return ", ".join(day.isoformat() for day in sorted(days)) if days else "no day"


def growth(case: Case) -> Iterator[str]:
    """A batch is ready when its growth table says so, and never before the days that no warmth can save."""
    works = {work.name: work for work in case.problem.works}
    for batch, spec in case.pairs:
        if batch.inoculate_on is None:
            if spec.there_on is not None and batch.ready_on < spec.there_on:
                yield f"{batch.id}: ready on {batch.ready_on}, but there on {spec.there_on}"
            continue
        grown = (batch.ready_on - batch.inoculate_on).days
        if batch.grows_days != grown:
            yield f"{batch.id}: grows {batch.grows_days} days, but {grown} lie between its dates"
        work = works.get(f"{batch.id}:inoculate")
        table = work.tables.get("ready", {}) if work else {}
        ready = table.get(case.count.number(batch.inoculate_on))
        if ready is not None and batch.ready_on != case.count.date(ready):
            yield f"{batch.id}: ready on {batch.ready_on}, its table says {case.count.date(ready)}"
        if (
            spec.growth is not None
            and spec.found_ready_on is None
            and grown < math.floor(spec.growth.lag + spec.growth.consolidation)
        ):
            yield f"{batch.id}: {grown} days are less than lag and consolidation"


def margin(case: Case) -> Iterator[str]:
    """The margin that is printed is the days between ready and first use."""
    for batch in case.plan.batches:
        if batch.use_on and batch.margin_days != (min(batch.use_on) - batch.ready_on).days:
            yield f"{batch.id}: margin of {batch.margin_days} days, first used on {min(batch.use_on)}"


def buy_by(case: Case) -> Iterator[str]:
    """Spawn ordered on the buy-by day is there before the window closes."""
    lead = timedelta(days=case.season.lead.spawn)
    for planting in case.plan.plantings:
        if planting.buy_by is not None and planting.buy_by + lead > planting.window[1]:
            yield f"{planting.name}: ordered on {planting.buy_by} it comes after {planting.window[1]}"


CHECKS: Mapping[str, Check] = {
    "same-things": same_things,
    "same-days": same_days,
    "growth-days": growth,
    "margin": margin,
    "buy-by": buy_by,
}
