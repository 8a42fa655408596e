"""Finished spawn that is left over: what it would still plant, and by when; planned, or really there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date

from scheduler import measures
from scheduler.measures import Units, counted
from scheduler.plan import Batch, Leftover, Plan, WouldPlant
from scheduler.present.dates import Dates, dates_of
from scheduler.present.layout import Column, Lines, paragraph, table
from scheduler.present.states import living, planted
from scheduler.present.words import stage
from scheduler.progress import Progress

BECAUSE = {
    "keeps": "it keeps no longer",
    "window": "the window ends",
    "opened": "it is open",
}
TOO_LITTLE = "too little for any piece that is planted"
A_TRIFLE_G = 50.0
"""Less than a handful is swept up and not planted."""


def leftover(plan: Plan, width: int) -> Lines:
    """What is planned beyond the need of every strain."""
    words, units = dates_of(plan), plan.season.units
    lines: Lines = []
    for one in plan.leftover:
        amount = measures.mass(one.grams, units)
        if one.likely_g < one.grams:
            likely = measures.mass(one.likely_g, units)
            amount += f" if nothing is lost, {likely} on average: spares are there to be lost"
        lines += paragraph(f"{_of(one)}: {amount}", width)
        lines += _ways(one, words, units, width)
    return lines


def left(rows: Iterable[Leftover], words: Dates, units: Units, width: int) -> Lines:
    """What is really left of spawn whose plantings are done."""
    lines: Lines = []
    for one in rows:
        lines += paragraph(there(one, words, units), width)
        lines += _ways(one, words, units, width)
    return lines


def there(one: Leftover, words: Dates, units: Units) -> str:
    """What is really left, in a sentence."""
    amount, since = measures.mass(one.grams, units), words.day(one.since)
    return f"{_of(one)}: about {amount} of {', '.join(one.batches)} since {since}, by the entries"


def _of(one: Leftover) -> str:
    return f"{one.species} ({one.strain}), {stage(one.stage)}"


def _ways(one: Leftover, words: Dates, units: Units, width: int) -> Lines:
    if not one.would_plant:
        return paragraph(TOO_LITTLE, width, indent=4)
    return table((Column(), Column(soft=True)), ways(one, words, units), width, indent=4)


def ways(one: Leftover, words: Dates, units: Units) -> list[tuple[str, str]]:
    """What it would still plant, by when, and how long it is of use; empty where it is too little."""
    if not one.would_plant:
        return []
    suited = [way for way in one.would_plant if way.own or not way.mind]
    others = [way for way in one.would_plant if way not in suited]
    closed = f"{counted(one.closed, 'unit')} of it, good until {words.day(one.keeps_until)}"
    facts = (
        ("plants", _either(suited, units)),
        ("less suited", _either(others, units)),
        ("plant by", _by(one.would_plant, words)),
        ("fell by", _felled(one.would_plant, words)),
        ("closed", closed if one.closed else ""),
        ("opened", f"on {words.day(one.since)}, used by {words.day(one.opened_until)}"),
    )
    return [fact for fact in facts if fact[1]]


def _either(ways: Iterable[WouldPlant], units: Units) -> str:
    return ", or ".join(_amount(way, units) for way in ways)


def _amount(way: WouldPlant, units: Units) -> str:
    if way.piece == "m2":
        return f"{measures.area(way.amount, units)} of {way.method}"
    pieces = f"{counted(round(way.amount), way.piece)} of {way.size}"
    return pieces if way.method == way.piece else f"{pieces} ({way.method})"


def _by(ways: Sequence[WouldPlant], words: Dates) -> str:
    """The last days, one for all ways or each with its methods."""
    ends: dict[str, list[str]] = {}
    for way in ways:
        ends.setdefault(f"{words.day(way.plant_by)}, {BECAUSE[way.until]}", []).append(way.method)
    if len(ends) == 1:
        return next(iter(ends))
    return "; ".join(f"{end} ({', '.join(methods)})" for end, methods in ends.items())


def _felled(ways: Sequence[WouldPlant], words: Dates) -> str:
    """The last day for felling; where it has passed, what is left to do."""
    days = {way.fell_by for way in ways if way.fell_by is not None}
    if not days:
        return ""
    last = max(days)
    if last < words.today:
        return "the buds have swollen: logs only from wood that is down"
    return f"{words.day(last)}, before the buds swell, where it takes logs"


def left_now(plans: Sequence[Plan], progress: Progress, day: date) -> tuple[Leftover, ...]:
    """What is left on a day of spawn of which a planting is done, by all kept plans, the newest first.

    A unit counts as there once it was begun or has come, and until it is recorded as lost or used; those used
    are taken to be the ones that were planted. What else the plantings take, as they were first wished, is
    taken off; of one that was given up nothing is.
    """
    found = (_really(rows, plans, progress, day) for rows in _by_kind(plans).values())
    return tuple(one for one in found if one is not None)


def _by_kind(plans: Sequence[Plan]) -> dict[tuple[str, str], list[Leftover]]:
    """All rows of one strain and stage, the newest first."""
    rows: dict[tuple[str, str], list[Leftover]] = {}
    for plan in plans:
        for one in plan.leftover:
            rows.setdefault((one.line, one.stage), []).append(one)
    return rows


def _really(
    rows: Sequence[Leftover], plans: Sequence[Plan], progress: Progress, day: date
) -> Leftover | None:
    newest = rows[0]
    names = {name for row in rows for name in row.plantings}
    whole = {p.name: p for plan in plans for p in plan.plantings}  # the oldest plan has the last word
    to_come = {p.name for p in plans[0].plantings}
    done = {
        name
        for name in names
        if progress.planting(name).planted and (name in planted(plans[0], progress) or name not in to_come)
    }
    since = max((max(progress.planting(name).planted) for name in done), default=None)
    if since is None or since > day:
        return None
    taken_g = sum(whole[name].spawn_needed_g for name in names if name in done or name in to_come)
    batches = {b.id: b for plan in reversed(plans) for b in plan.batches}
    mine = [batches[name] for name in dict.fromkeys(name for row in rows for name in row.batches)]
    there = [(b, len(living(b, progress.batch(b.id)))) for b in mine if _has_begun(b, progress)]
    used_g = sum(len(progress.batch(b.id).used) * b.unit_mass_g for b, _ in there) * newest.usable
    grams = sum(units * b.unit_mass_g for b, units in there) * newest.usable - max(0.0, taken_g - used_g)
    keeps_until = newest.keeps_until
    opened_until = since + (newest.opened_until - newest.since)
    if grams < A_TRIFLE_G or day > max(keeps_until, opened_until):
        return None
    unit_g = max(b.unit_mass_g for b, units in there if units) * newest.usable
    now = replace(
        newest,
        plantings=tuple(sorted(done)),
        batches=tuple(b.id for b, units in there if units),
        grams=round(grams, 1),
        likely_g=round(grams, 1),
        closed=int(grams // unit_g),
        since=since,
        opened_until=opened_until,
    )
    return replace(now, would_plant=tuple(_still(now, day)))


def _has_begun(batch: Batch, progress: Progress) -> bool:
    """Whether a batch is no mere plan any more."""
    happened = progress.batch(batch.id)
    if batch.state == "planned":
        return happened.inoculated_on is not None
    return batch.state == "in hand" or happened.received_on is not None


def _still(one: Leftover, day: date) -> Iterator[WouldPlant]:
    """The ways that are open from a day on, for what is really there."""
    for way in one.would_plant:
        opened = one.closed == 0 and one.opened_until < way.plant_by
        amount = measures.pieces(one.grams, way.takes_g, way.piece)
        plant_by = one.opened_until if opened else way.plant_by
        if amount and plant_by >= day:
            yield replace(way, amount=amount, plant_by=plant_by, until="opened" if opened else way.until)
