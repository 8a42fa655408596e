"""What every module of the room reads: the season, its sizing, the problem and the days found for it.

How long a task can wait (`Task.slip_to`) is the last day to which it can move while every other work of the
Problem stays where it is; None says that it cannot wait at all.

- A work (cooking, inoculating, felling, chips, planting) moves to the last day on which no rule is broken.
  What is cooked in one load moves together, and so do felling, bucking and hauling, which are one work; of a
  work spread over days each day's part moves alone.
- A small task that hangs on a work (the soak of the evening before, looks, shakes, keep-backs, the fridge)
  has no day in the Problem. It never holds the work back, but moves with it in a band of its own: the work's
  limits and lags leave it a day; only a second look or a shake may fall away, as it may in any plan.
- By itself a small task waits until the last day of its band on which somebody is there. The works around it
  stay; small tasks that come after it move along, and hold it where they can wait no longer themselves.
- What is kept back of a culture is taken when the culture is opened, and waits just as long as that.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from scheduler.lines.shapes import BatchSpec, Line, Sizing
from scheduler.lines.shares import is_finished
from scheduler.plan import Task
from scheduler.problem import bench
from scheduler.problem.calendar import Calendar
from scheduler.problem.draft import DONE
from scheduler.problem.shapes import Days, Point, Problem
from scheduler.problem.usage import Usage
from scheduler.progress import NOTHING, Progress
from scheduler.season.season import Planting, Season
from scheduler.trade.catalogue import Catalogue

MADE_READY = ("cook", "pasteurise", "soak-grain", "wet-pellets", "soak-dowels", "prepare")
"""Kinds of task that are done again where what was cooked has waited too long."""


@dataclass(frozen=True)
class Frame:
    """A solved season before it is written out."""

    season: Season
    catalogue: Catalogue
    sizing: Sizing
    problem: Problem
    calendar: Calendar
    days: Days
    progress: Progress = NOTHING

    @cached_property
    def usage(self) -> Usage:
        """What the days take of hours, loads and rooms."""
        return Usage(self.problem, self.days)

    @cached_property
    def children(self) -> dict[str, tuple[BatchSpec, ...]]:
        """Batches made from each batch."""
        return dict(bench.children(self.sizing))

    @cached_property
    def batches(self) -> dict[str, BatchSpec]:
        """All batches by id, parents first."""
        return {batch.id: batch for line in self.sizing.lines for batch in line.batches}

    @cached_property
    def lines(self) -> dict[str, Line]:
        """Lines by code."""
        return {line.code: line for line in self.sizing.lines}

    @cached_property
    def plantings(self) -> dict[str, Planting]:
        """Plantings by name."""
        return {planting.name: planting for planting in self.season.plantings}

    def is_finished(self, batch: BatchSpec) -> bool:
        """Whether a batch is finished spawn: it is what is planted."""
        return is_finished(batch, self.season.plantings)

    def finished(self, planting: str) -> list[BatchSpec]:
        """The finished spawn of a planting."""
        return [b for b in self.batches.values() if planting in b.plantings and self.is_finished(b)]

    def on(self, work: str) -> list[date]:
        """Days of a work, in order."""
        return [self.calendar.date(day) for day in sorted(self.days.pieces[work])]

    def first(self, work: str) -> date:
        """First day of a work."""
        return self.calendar.date(self.days.first(work))

    def last(self, work: str) -> date:
        """Last day of a work."""
        return self.calendar.date(self.days.last(work))

    def pieces(self, work: str, day: date) -> int:
        """Pieces of a work done on a day."""
        return self.days.pieces[work][self.calendar.count.number(day)]

    def has(self, work: str) -> bool:
        """Whether the problem holds a work of that name."""
        return work in self.days.pieces

    def is_fixed(self, work: str) -> bool:
        """Whether a work is done already: its day is what was recorded."""
        return any(limit.rule == DONE for limit in self.problem.work(work).limits)

    def ready_on(self, batch: BatchSpec) -> date:
        """Day from which a batch may be used."""
        return self.at(bench.ready(batch))

    def at(self, point: Point) -> date:
        """Date of a point."""
        return self.calendar.date(self.days.at(self.problem, point))

    def slip(self, *works: str) -> date | None:
        """Latest date to which a work, or works of one day together, can move with all others fixed."""
        return self._dated(self.usage.slip(*works))

    def slip_part(self, work: str, day: date) -> date | None:
        """The same for what is done of a work on one of its days."""
        return self._dated(self.usage.slip_part(work, self.calendar.count.number(day)))

    def _dated(self, day: int | None) -> date | None:
        return None if day is None else self.calendar.date(day)

    def waits(self, on: date, until: date) -> date | None:
        """Last day after `on`, up to `until`, on which somebody is there; None where there is none."""
        later = (until - timedelta(days=n) for n in range((until - on).days))
        return next((day for day in later if not self.is_away(day)), None)

    def shelf_left(self, day: date) -> int:
        """What is free of the shelf on a day, in the parts of `room_share`."""
        return self.usage.left("shelf", self.calendar.count.number(day))

    def is_away(self, day: date) -> bool:
        """Whether nobody is there on a day."""
        return self.calendar.count.number(day) in self.calendar.away

    def is_done(self, task: Task) -> bool:
        """Whether a task is recorded as done.

        What was done for a batch that has to be begun anew is to be done anew as well.
        """
        done_on = self.progress.done.get(task.id)
        if done_on is None:
            return False
        batch = self.batches.get(task.batch or "")
        if task.is_check_ahead:
            return True  # looked after ahead of the season, on whichever day that was
        if task.kind in MADE_READY or (batch is not None and batch.is_to_make):
            return done_on >= task.on
        return True

    def near(self, first: date, last: date, wished: date) -> date | None:
        """The day nearest to `wished` between two days on which somebody is there; earlier ones win."""
        begin = max(self.season.today, self.season.no_work_before)
        span = [first + timedelta(days=n) for n in range((last - first).days + 1)]
        there = [day for day in span if not self.is_away(day) and day >= begin]
        return min(there, key=lambda day: (abs((day - wished).days), day), default=None)
