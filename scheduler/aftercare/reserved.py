"""Which care of what stands takes hours from the days of a season, in which spans.

Care that is small is done on any day. What is bigger is reserved: a turn or a soak once in its span, the
picking of a long span flush by flush.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from scheduler.aftercare.schedule import FLUSH, Item
from scheduler.plan import CARE
from scheduler.workdays import ONE_DAY


@dataclass(frozen=True)
class Reserved:
    """Care to which hours are given on a day, or some days, between two days."""

    name: str
    item: Item
    first: date
    last: date


def task_id(owner: str, item: Item) -> str:
    """Id of the task of an item; it says whose and what, never when."""
    return f"{owner}{CARE}{item.key}"


def reserved(owner: str, items: Iterable[Item], first: date, last: date) -> Iterator[Reserved]:
    """What is to be reserved between two days for `owner`, the name of what stands."""
    for item in items:
        if item.small:
            continue
        for number, (begin, end) in enumerate(_stretches(item), start=1):
            if end < first or begin > last:
                continue
            name = task_id(owner, item) + (f".{number}" if item.ongoing else "")
            yield Reserved(name, item, max(begin, first), end)


def _stretches(item: Item) -> Iterator[tuple[date, date]]:
    if not item.ongoing:
        yield item.first, item.last
        return
    count = max(1, (item.last - item.first + ONE_DAY) // FLUSH)
    for number in range(count):
        end = item.first + (number + 1) * FLUSH - ONE_DAY
        yield item.first + number * FLUSH, item.last if number == count - 1 else end
