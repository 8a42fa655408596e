"""Sums the entries that still stand up into what has happened to batches, plantings, tasks and orders."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from scheduler.journal.doubt import Doubts
from scheduler.journal.follows import checks_over, follows, tasks_of_lost, without_felling
from scheduler.journal.units import BATCH_ID
from scheduler.plan import Plan, Rewrite
from scheduler.progress import (
    NOT_BEGUN,
    NOTHING_YET,
    BatchProgress,
    Entry,
    PlantingProgress,
    Progress,
    Recorded,
    taken_back,
)


def standing(recorded: Iterable[Recorded]) -> frozenset[int]:
    """Numbers of the entries that still stand: taken back by no later `undo` that stands itself."""
    recorded = tuple(recorded)
    return frozenset(one.entry_no for one in recorded) - taken_back(recorded).keys()


def fold(recorded: Iterable[Recorded], plan: Plan) -> Progress:
    """The sum of all entries that still stand.

    Entries count in the order of their numbers, so that one recorded later corrects an earlier one of the
    same kind and batch; doubts go by the days on which things were seen.
    """
    entries = sorted(recorded, key=lambda one: one.entry_no)
    numbers = standing(entries)
    sums = _Sums()
    for one in entries:
        if one.entry_no in numbers:
            sums.add(one)
    return sums.progress(plan)


class _Sums:
    """What the entries so far add up to."""

    def __init__(self) -> None:
        self.batches: dict[str, BatchProgress] = {}
        self.plantings: dict[str, PlantingProgress] = {}
        self.done: dict[str, date] = {}
        self.bought: dict[str, date] = {}
        self.received: dict[str, date] = {}
        self.found: list[Entry] = []
        self.changes: list[Rewrite] = []
        self.doubts = Doubts()

    def add(self, one: Recorded) -> None:
        adds = _ADDS.get(one.entry.kind)
        if adds is not None:
            adds(self, one)

    def progress(self, plan: Plan) -> Progress:
        done = {**self.done, **follows(plan, self.batches, self.plantings)}
        done = {**checks_over(plan, done), **done}
        watch = self.doubts.watch(plan, self.batches)
        batches = {
            name: replace(batch, watch=dict(sorted(watch.get(name, {}).items())))
            for name in sorted({*self.batches, *watch})
            for batch in [self.batches.get(name, NOTHING_YET)]
        }
        return Progress(
            batches=batches,
            plantings=dict(sorted(self.plantings.items())),
            done=without_felling(done),
            bought=self.bought,
            received=self.received,
            found=tuple(self.found),
            changes=tuple(self.changes),
        )

    def set_batch(self, name: str, **values: Any) -> None:
        self.batches[name] = replace(self.batches.get(name, NOTHING_YET), **values)

    def set_planting(self, name: str, **values: Any) -> None:
        self.plantings[name] = replace(self.plantings.get(name, NOT_BEGUN), **values)


def _day(field: str) -> Callable[[_Sums, Recorded], None]:
    """Sets a day of a batch; the last entry counts."""

    def add(sums: _Sums, one: Recorded) -> None:
        sums.set_batch(one.entry.subject, **{field: one.entry.on})

    return add


def _inoculated(sums: _Sums, one: Recorded) -> None:
    entry = one.entry
    sums.set_batch(entry.subject, inoculated_on=entry.on, started=entry.count, parent=entry.parent)


def _clean(sums: _Sums, one: Recorded) -> None:
    entry = one.entry
    sums.doubts.cleared(one)
    if not entry.units:
        before = sums.batches.get(entry.subject, NOTHING_YET).clean_on
        sums.set_batch(entry.subject, clean_on=max(before or entry.on, entry.on))


def _watch(sums: _Sums, one: Recorded) -> None:
    sums.set_batch(one.entry.subject)
    sums.doubts.seen(one)


def _lost(sums: _Sums, one: Recorded) -> None:
    entry = one.entry
    before = sums.batches.get(entry.subject, NOTHING_YET).lost
    sums.set_batch(entry.subject, lost={**dict.fromkeys(entry.units, entry.on), **before})
    sums.doubts.lost(one)
    for task in tasks_of_lost(entry.subject, sums.done):
        del sums.done[task]


def _used(sums: _Sums, one: Recorded) -> None:
    entry = one.entry
    before = sums.batches.get(entry.subject, NOTHING_YET).used
    sums.set_batch(entry.subject, used=before | set(entry.units))


def _pieces(field: str) -> Callable[[_Sums, Recorded], None]:
    """Adds pieces of a planting on a day; the parts that were ended by them are done."""

    def add(sums: _Sums, one: Recorded) -> None:
        entry = one.entry
        before = getattr(sums.plantings.get(entry.subject, NOT_BEGUN), field)
        sums.set_planting(entry.subject, **{field: _plus(before, entry.on, entry.count or 0)})
        sums.done.update(dict.fromkeys(entry.units, entry.on))

    return add


def _picked(sums: _Sums, one: Recorded) -> None:
    entry = one.entry
    before = sums.plantings.get(entry.subject, NOT_BEGUN).picked_g
    sums.set_planting(entry.subject, picked_g=_plus(before, entry.on, entry.amount or 0.0))


def _plus(amounts: Mapping[date, Any], on: date, more: float) -> dict[date, Any]:
    """The amounts by day in rising order, with one more."""
    return dict(sorted({**amounts, on: amounts.get(on, 0) + more}.items()))


def _cared(sums: _Sums, one: Recorded) -> None:
    entry = one.entry
    before = sums.plantings.get(entry.subject, NOT_BEGUN).cared
    sums.set_planting(entry.subject, cared={**before, entry.kind: (*before.get(entry.kind, ()), entry.on)})


def _soaked(sums: _Sums, one: Recorded) -> None:
    _cared(sums, one)
    sums.set_planting(one.entry.subject, soaked_on=one.entry.on)


def _weighed(sums: _Sums, one: Recorded) -> None:
    """A log has one weight a day: one recorded later corrects it."""
    entry, log = one.entry, "".join(one.entry.units)
    before = sums.plantings.get(entry.subject, NOT_BEGUN).weights_g
    weights = dict(sorted({**before.get(log, {}), entry.on: entry.amount or 0.0}.items()))
    sums.set_planting(entry.subject, weights_g=dict(sorted({**before, log: weights}.items())))


def _put_off(sums: _Sums, one: Recorded) -> None:
    sums.set_planting(one.entry.subject, put_off_until=one.entry.until)


def _order(items: str, field: str) -> Callable[[_Sums, Recorded], None]:
    """Sets the day of an order: of a batch that is bought, or of an item."""

    def add(sums: _Sums, one: Recorded) -> None:
        entry = one.entry
        if BATCH_ID.fullmatch(entry.subject):
            sums.set_batch(entry.subject, **{field: entry.on})
        else:
            getattr(sums, items)[entry.subject] = entry.on

    return add


def _done(sums: _Sums, one: Recorded) -> None:
    sums.done[one.entry.subject] = one.entry.on


def _found(sums: _Sums, one: Recorded) -> None:
    sums.found.append(one.entry)


def _remedy(sums: _Sums, one: Recorded) -> None:
    sums.changes += one.entry.changes


_ADDS: Mapping[str, Callable[[_Sums, Recorded], None]] = {
    "cooked": _day("cooked_on"),
    "inoculated": _inoculated,
    "ready": _day("ready_on"),
    "clean": _clean,
    "watch": _watch,
    "lost": _lost,
    "used": _used,
    "fridge": _day("fridge_on"),
    "felled": _pieces("felled"),
    "planted": _pieces("planted"),
    "soaked": _soaked,
    "turned": _cared,
    "watered": _cared,
    "weighed": _weighed,
    "picked": _picked,
    "bought": _order("bought", "ordered_on"),
    "received": _order("received", "received_on"),
    "found": _found,
    "put-off": _put_off,
    "done": _done,
    "remedy": _remedy,
}
"""How each kind of entry adds to the sums."""
