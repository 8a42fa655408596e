"""A season compiled, with the look-ups that tests of its rules share."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from scheduler.lines.shapes import BatchSpec, Sizing
from scheduler.lines.sizing import size
from scheduler.problem.compile import compile_season
from scheduler.problem.shapes import Cooker, DayLimit, Lag, Point, Problem, Room, Stay, Term
from scheduler.season.season import Season
from scheduler.trade.catalogue import Catalogue
from tests.grower import catalogue, season


@dataclass(frozen=True)
class Compiled:
    """A season, its sizes and its Problem."""

    season: Season
    sizing: Sizing
    problem: Problem

    def day(self, iso: str) -> int:
        """Number of a day."""
        return (date.fromisoformat(iso) - self.problem.origin).days

    def date(self, number: int) -> date:
        """Date of a day number."""
        return date.fromordinal(self.problem.origin.toordinal() + number)

    @property
    def batches(self) -> list[BatchSpec]:
        """All batches, parents first."""
        return [batch for line in self.sizing.lines for batch in line.batches]

    def batch(self, stage: str, *, test: bool = False) -> BatchSpec:
        """The first batch of a stage that is made (or the plate test)."""
        return next(
            b for b in self.batches if b.stage == stage and b.is_test == test and b.state == "planned"
        )

    def limit(self, work: str, rule: str) -> frozenset[int]:
        """Days that one rule allows a work."""
        return next(limit.days for limit in self.problem.work(work).limits if limit.rule == rule)

    def rules_of(self, work: str) -> set[str]:
        """Names of the rules that limit a work's days."""
        return {limit.rule for limit in self.problem.work(work).limits}

    def allowed(self, work: str) -> set[int]:
        """Days that all limits and tables leave a work."""
        found = self.problem.work(work)
        days = set(range(self.problem.horizon + 1))
        for limit in found.limits:
            days &= limit.days
        for table in (*found.tables.values(), *found.last_tables.values()):
            days &= set(table)
        return days

    def lags(self, before: Point, after: Point) -> list[Lag]:
        """Distances between two points."""
        return [lag for lag in self.problem.lags if (lag.before, lag.after) == (before, after)]

    def apart(self, before: Point, after: Point) -> tuple[int | None, int | None]:
        """Least and most days between two points, all lags together."""
        found = self.lags(before, after)
        least = max((lag.least for lag in found if lag.least is not None), default=None)
        most = min((lag.most for lag in found if lag.most is not None), default=None)
        return least, most

    def room(self, name: str) -> Room:
        """A room by name."""
        return next(room for room in self.problem.rooms if room.name == name)

    def stays(self, room: str, work: str) -> list[Stay]:
        """Stays in a room that begin with a point of a work."""
        return [stay for stay in self.room(room).stays if stay.start.work == work]

    def day_limit(self, name: str) -> DayLimit:
        """A day limit by name."""
        return next(limit for limit in self.problem.day_limits if limit.name == name)

    def cooker(self, name: str) -> Cooker:
        """A cooker by name."""
        return next(cooker for cooker in self.problem.cookers if cooker.name == name)

    def term(self, name: str) -> Term:
        """An aim by name."""
        return next(term for term in self.problem.terms if term.name == name)

    def points(self) -> Iterator[Point]:
        """Every point that anything in the Problem speaks of."""
        problem = self.problem
        for lag in problem.lags:
            yield from (lag.before, lag.after)
        for room in problem.rooms:
            for stay in room.stays:
                yield from (stay.start, stay.end)
        for term in problem.terms:
            yield from (point for point in (term.plus, term.minus) if point)
        for group in problem.pushes:
            yield from (push.point for push in group)


def compiled(*plantings: str, **tables: object) -> Compiled:
    """A season of these plantings, compiled at the wished level."""
    return compile_of(season(*plantings, **tables))  # type: ignore[arg-type]


def compile_of(of: Season, known: Catalogue | None = None) -> Compiled:
    """A season that is read already, compiled at the wished level, by other figures where they are given."""
    known = known or catalogue()
    sizing = size(of, known, "wished", {})
    return Compiled(of, sizing, compile_season(of, known, sizing))
