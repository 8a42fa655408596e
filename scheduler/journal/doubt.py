"""Units in doubt: those that looked doubtful, and those made from a unit that was lost later."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from datetime import date

from scheduler.journal.units import batch_of
from scheduler.plan import Plan
from scheduler.progress import BatchProgress, Recorded

_Moment = tuple[date, int]
"""A day, and the number of the entry that speaks of it."""


class Doubts:
    """Collects what was seen; says at the end which units are still in doubt, and since when."""

    def __init__(self) -> None:
        self._doubts: list[tuple[str, _Moment]] = []
        self._lost: list[tuple[str, _Moment]] = []
        self._cleared: dict[str, list[_Moment]] = defaultdict(list)
        """By unit, or by batch where no unit was named."""

    def seen(self, one: Recorded) -> None:
        """Units look doubtful."""
        self._doubts += [(unit, _moment(one)) for unit in one.entry.units]

    def lost(self, one: Recorded) -> None:
        """Units are lost; what was made from them is in doubt."""
        self._lost += [(unit, _moment(one)) for unit in one.entry.units]

    def cleared(self, one: Recorded) -> None:
        """A batch, or some of its units, looked clean."""
        for name in one.entry.units or (one.entry.subject,):
            self._cleared[name].append(_moment(one))

    def watch(self, plan: Plan, batches: Mapping[str, BatchProgress]) -> dict[str, dict[str, date]]:
        """The day from which each unit has been in doubt, by batch and unit; not of what is lost or used."""
        found: dict[str, dict[str, date]] = defaultdict(dict)
        doubts = [*self._doubts]
        for unit, moment in self._lost:
            doubts += [(child, moment) for child in made_from(plan, batches, unit, moment[0])]
        for unit, moment in sorted(doubts, key=lambda doubt: doubt[1]):
            name = batch_of(unit)
            happened = batches.get(name)
            if happened and (unit in happened.lost or unit in happened.used):
                continue
            looks = [*self._cleared.get(unit, ()), *self._cleared.get(name, ())]
            if not any(look > moment for look in looks):
                found[name].setdefault(unit, moment[0])
        return found


def made_from(plan: Plan, batches: Mapping[str, BatchProgress], unit: str, by: date) -> Iterator[str]:
    """Units that had been made from a unit by a day, as the plan, or the grower, has it."""

    def is_made(name: str) -> bool:
        on = batches[name].inoculated_on if name in batches else None
        return on is not None and on <= by

    for batch in plan.batches:
        if is_made(batch.id):
            yield from (child.id for child in batch.units if child.parent == unit)
    for name, happened in batches.items():
        if happened.parent == batch_of(unit) and is_made(name):  # nobody said from which of its units
            yield from (f"{name}/{place}" for place in range(1, (happened.started or 0) + 1))


def _moment(one: Recorded) -> _Moment:
    return one.entry.on, one.entry_no
