"""What an entry is read and judged against: the kept plan, what was recorded before, and the day."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING

from scheduler.journal.fold import fold, standing
from scheduler.plan import Plan
from scheduler.progress import Entry, Progress, Recorded

if TYPE_CHECKING:
    from scheduler.lines.logs import Weights


def _unknown(planting: str) -> None:
    """Nothing is known of any log."""


@dataclass(frozen=True)
class Context:
    """A season at the moment in which something is recorded."""

    plan: Plan
    """The newest kept plan."""
    recorded: tuple[Recorded, ...]
    """Every entry of the book."""
    today: date
    species: tuple[str, ...]
    """Names of the catalogue's species."""
    seen: tuple[int, ...] = ()
    """Numbers of the entries that the kept plan knew already."""
    begins: date | None = None
    """Day of the season's first plan, before which nothing of it can have happened; None: not asked."""

    log_weights: Callable[[str], Weights | None] = _unknown
    """Between which weights the logs of a planting can lie; None for one without logs, or not known."""

    @cached_property
    def progress(self) -> Progress:
        """What all entries that still stand say together."""
        return fold(self.recorded, self.plan)

    @cached_property
    def standing(self) -> tuple[Recorded, ...]:
        """The entries that still stand, in the order of their numbers."""
        numbers = standing(self.recorded)
        return tuple(one for one in self.recorded if one.entry_no in numbers)

    @cached_property
    def plantings(self) -> tuple[str, ...]:
        """Names of the plan's plantings and of what stands, then of those that only entries speak of."""
        planned = [planting.name for planting in self.plan.plantings]
        names = [*planned, *(one.name for one in self.plan.standing), *self.progress.plantings]
        return tuple(dict.fromkeys(names))

    def after(self, *entries: Entry) -> Context:
        """The context once these entries are recorded too, under the next numbers."""
        last = max((one.entry_no for one in self.recorded), default=0)
        more = (Recorded(last + place, "", entry) for place, entry in enumerate(entries, start=1))
        return replace(self, recorded=(*self.recorded, *more))
