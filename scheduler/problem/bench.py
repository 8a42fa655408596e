"""The lab works: for every batch a cook day and an inoculation day, or the day it is there."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Literal

from scheduler.lines import timing
from scheduler.lines.culture import CULTURES
from scheduler.lines.shapes import BatchSpec, Line, Lost, Sizing
from scheduler.lines.vessels import treatment
from scheduler.problem import needs
from scheduler.problem.draft import Draft
from scheduler.problem.needs import Need
from scheduler.problem.shapes import Lag, Point, Work
from scheduler.progress import Progress
from scheduler.science.growth import ready_table

TUB = "tub"
"""Boiling water on dry pellets in a closed, insulated tub; no load of a cooker."""

EVE_KINDS = ("soak-grain", "wet-pellets", "soak-dowels", "prepare")
"""Kinds of task on the evening before a cook."""


def cook(batch: BatchSpec) -> str:
    """Name of the work that heat-treats a batch."""
    return f"{batch.id}:cook"


def inoculate(batch: BatchSpec) -> str:
    """Name of the work that inoculates a batch."""
    return f"{batch.id}:inoculate"


def kill(lost: Lost) -> str:
    """Name of the work that heat-kills lost units in a cooker."""
    return f"{lost.batch}:kill-lost"


def there(batch: BatchSpec) -> str:
    """Name of the work that stands for the day a batch in hand or bought is there."""
    return f"{batch.id}:there"


def ready(batch: BatchSpec) -> Point:
    """The point from which a batch may be used."""
    return Point(there(batch)) if batch.growth is None else Point(inoculate(batch), "ready")


def is_to_cook(batch: BatchSpec) -> bool:
    """Whether a batch is still to be heat-treated by the grower, in a cooker or a tub."""
    return batch.treatment is not None and batch.is_to_make and batch.cooked_on is None


def has_eve(batch: BatchSpec) -> bool:
    """Whether something is soaked or wetted on the evening before the cook; a tub takes its pellets dry."""
    return is_to_cook(batch) and batch.treatment != TUB


def eves(progress: Progress) -> dict[str, date]:
    """Day on which what a batch is made of was soaked or wetted, by batch id."""
    named = {task: task.rpartition(":") for task in progress.done}
    return {batch: progress.done[task] for task, (batch, _, kind) in named.items() if kind in EVE_KINDS}


def works(batch: BatchSpec) -> list[str]:
    """Names of the works that make a batch, last first."""
    return [inoculate(batch)] + ([cook(batch)] if is_to_cook(batch) else [])


def need(batch: BatchSpec) -> Need | None:
    """What a batch is made of: grain and the like on the evening before its cook, the rest on its own day.

    None for a batch that needs nothing more: it is in hand, bought, heat-treated, or grows already.
    """
    if not batch.is_to_make or batch.cooked_on is not None:
        return None
    if is_to_cook(batch):
        lead: Literal["grain", "supplies"] = "grain" if batch.stage == "grain" else "supplies"
        return Need(cook(batch), lead, days_before=int(has_eve(batch)))
    return Need(inoculate(batch), "supplies")


def children(sizing: Sizing) -> Mapping[str, tuple[BatchSpec, ...]]:
    """The batches made from each batch, by its id."""
    made: dict[str, tuple[BatchSpec, ...]] = {}
    for line in sizing.lines:
        for batch in line.batches:
            for parent in batch.parents:
                made[parent] = (*made.get(parent, ()), batch)
    return made


def write(draft: Draft, sizing: Sizing) -> None:
    """Write the lab works of all lines and the lags between them."""
    for line in sizing.lines:
        for batch in line.batches:
            if batch.growth is None:
                _there(draft, batch)
            elif batch.is_to_make:
                _made(draft, batch)
            else:
                _begun(draft, batch)
        _descent(draft, line)
    for lost in sizing.lost:
        if lost.load_class is not None:
            draft.add(Work(kill(lost), draft.limits(draft.hours(), draft.present(), draft.begun())))


def _there(draft: Draft, batch: BatchSpec) -> None:
    assert batch.there_on is not None
    calendar = draft.calendar
    day = max(0, calendar.count.number(batch.there_on))
    if batch.state == "in hand" or batch.found_ready_on is not None:
        rule = draft.nature("stock_age", "[[stock]]", f"stock:{batch.id}", batch=batch.id)
        days = frozenset({day})
    else:
        what = "culture" if batch.stage in CULTURES else "grain" if batch.stage == "grain" else "spawn"
        rule = draft.rule(
            f"lead:{what}",
            "culture_lead" if what == "culture" else "spawn_lead",
            f"[buying].lead.{what}",
            facts={
                "days": str(getattr(draft.season.lead, what)),
                "date": str(batch.there_on),
                "what": what,
            },
        )
        days = calendar.days(lambda d: d >= day)
    draft.add(Work(there(batch), draft.limits((rule, days))))


def _begun(draft: Draft, batch: BatchSpec) -> None:
    """A batch that grows already: its day is known, and so is its ready day, as found or as reckoned."""
    assert batch.begun_on is not None
    count = draft.calendar.count
    start = count.number(batch.begun_on)
    if batch.found_ready_on is not None:
        ready_day = count.number(batch.found_ready_on)
    else:
        ready_day = _ready_table(draft, batch).get(start, draft.calendar.horizon)
    draft.add(Work(inoculate(batch), draft.limits(draft.done(start)), tables={"ready": {start: ready_day}}))


def _made(draft: Draft, batch: BatchSpec) -> None:
    calendar, lab = draft.calendar, draft.catalogue.lab
    assert batch.growth is not None
    hours, (away, present), (start, begun) = draft.hours(), draft.present(), draft.begun()
    # Somebody is there for the first check: that follows from days away.
    first_check = next(check for check in lab.check if check.name == "first").day
    band = range(round(first_check.lowest), round(first_check.highest) + 1)
    checked = calendar.days(
        lambda d: any(d + step not in calendar.away for step in band)  # beyond the horizon nobody is away
    )
    bought = needs.limits(draft, need(batch))
    draft.add(
        Work(
            inoculate(batch),
            draft.limits(
                hours,
                (away, present & checked),
                (start, begun),
                *(() if is_to_cook(batch) else bought),
            ),
            tables={"ready": _ready_table(draft, batch)},
            table_rule=draft.nature(
                "growth",
                f"profiles/species/{batch.species}",
                f"growth:{batch.species}",
                species=batch.species,
            ),
        )
    )
    draft.inoculations.add(inoculate(batch))
    draft.lab_minutes[inoculate(batch)] = batch.minutes
    if is_to_cook(batch):
        _cooked(draft, batch, bought)
    elif batch.cooked_on is not None:
        _sealed(draft, batch, batch.cooked_on)


def _cooked(draft: Draft, batch: BatchSpec, bought: tuple[tuple[str, frozenset[int]], ...]) -> None:
    calendar = draft.calendar
    (away, present), (start, begun) = draft.present(), draft.begun()
    if has_eve(batch):  # Somebody is there then.
        present &= calendar.days(lambda d: d - 1 not in calendar.away)
        begun = calendar.days(lambda d: d - 1 in begun)
        if batch.id in draft.eves:
            begun |= draft.begun()[1] & {calendar.count.number(draft.eves[batch.id]) + 1}
    draft.add(Work(cook(batch), draft.limits(draft.hours(), (away, present), (start, begun), *bought)))
    if batch.treatment == TUB:
        draft.lab_minutes[cook(batch)] = round(
            treatment(draft.catalogue, TUB, "bags", batch.container).hands.likely
        )
    _cook_first(draft, batch)


def _sealed(draft: Draft, batch: BatchSpec, cooked_on: date) -> None:
    """What was heat-treated already waits closed, for as long as any that is still to be."""
    day = draft.calendar.count.number(cooked_on)
    draft.add(Work(cook(batch), draft.limits(draft.done(day))))
    _cook_first(draft, batch)


def _cook_first(draft: Draft, batch: BatchSpec) -> None:
    lab = draft.catalogue.lab
    rule, keeps = "cook_to_inoculate", lab.sealed_days
    if batch.treatment == TUB:
        rule, keeps = "cook_to_inoculate:tub", lab.tub_days
    days = round(keeps.likely)
    draft.lag(
        draft.nature("cook_to_inoculate", "profiles/lab", rule, days=str(days)),
        Point(cook(batch)),
        Point(inoculate(batch)),
        least=max(1, batch.rest_days),
        most=days,
    )


def _ready_table(draft: Draft, batch: BatchSpec) -> dict[int, int]:
    """Ready day by inoculation day, up to the horizon.

    A plate test is read by the calendar, whatever the room: its days are not scaled by temperature.
    """
    growth = batch.growth
    assert growth is not None
    calendar = draft.calendar
    if batch.is_test:
        days = round(growth.likely)
        return {day: day + days for day in range(calendar.horizon - days + 1)}
    room = draft.season.lab.shelf
    temperatures = [timing.room_on(room, calendar.date(day)) for day in range(calendar.horizon + 1)]
    species = draft.catalogue.species[batch.species]
    table = ready_table(
        temperatures,
        growth.likely,
        growth.lag,
        growth.consolidation,
        species.temperature.reference.likely,
        timing.cardinal(draft.catalogue, batch.species),
        draft.catalogue.lab.core_warmer.likely,
    )
    return {start: day for start, day in table.items() if day <= calendar.horizon}


def _descent(draft: Draft, line: Line) -> None:
    """A child is inoculated from the day its parent is ready until the parent no longer keeps."""
    by_id = {batch.id: batch for batch in line.batches}
    tests = [batch for batch in line.batches if batch.is_test]
    for child in line.batches:
        if child.begun_on is not None:
            continue  # what it was made from no longer matters
        for parent_id in child.parents:
            parent = by_id[parent_id]
            _use(draft, parent, Point(inoculate(child)), Point(inoculate(child)))
            for test in tests:
                # Nothing but the test itself is made from a culture before the test has been read.
                if test.parents == (parent_id,) and not child.is_test:
                    draft.lags.append(
                        Lag(
                            draft.nature("culture_test", "profiles/lab/culture.toml"),
                            ready(test),
                            Point(inoculate(child)),
                            0,
                        )
                    )


def _use(draft: Draft, batch: BatchSpec, first: Point, last: Point) -> None:
    """A batch is used from its ready day on, and while it keeps (its age when it came counts)."""
    keeps = draft.nature(
        "keeps",
        f"profiles/species/{batch.species}",
        f"keeps:{batch.stage}",
        stage=batch.stage,
        days=str(batch.keeps_days),
    )
    grown = draft.nature("grown", name=f"grown:{batch.stage}", stage=batch.stage)
    draft.lag(grown, ready(batch), first, 0)
    draft.lag(keeps, ready(batch), last, None, batch.keeps_days - batch.aged_days)


def plant_with(draft: Draft, batch: BatchSpec, plant: str) -> None:
    """Finished spawn is planted while it keeps; bought spawn is there the day before."""
    _use(draft, batch, Point(plant), Point(plant, "last"))
    if batch.state == "bought":
        draft.lag(draft.nature("grown", name=f"grown:{batch.stage}"), ready(batch), Point(plant), 1)
