"""Plans a season onward from where it stands: what was done is fixed, what was promised hardly moves."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

from scheduler.errors import SeasonError
from scheduler.lines.onward import Onward, onward
from scheduler.lines.remaining import remaining
from scheduler.lines.shapes import Basis, Sizing
from scheduler.lines.spares import Level
from scheduler.plan import Plan
from scheduler.problem import bench, standing, yard
from scheduler.problem.compile import compile_season
from scheduler.problem.draft import DONE
from scheduler.problem.needs import Need
from scheduler.problem.relax import rules_only
from scheduler.problem.shapes import Problem
from scheduler.problem.tighten import Windows, tighten
from scheduler.progress import Progress
from scheduler.season.season import Season
from scheduler.service.attempt import FULL, Made, Refusal, written
from scheduler.solve.fits import fits
from scheduler.solve.look import Effort, Watch
from scheduler.solve.params import Budget
from scheduler.solve.replan import replan
from scheduler.solve.search import impossible
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import DayCount

RESCUED: tuple[Level, ...] = ("wished", "bare")
"""Spares of what is made again: as wished, else none."""


@dataclass(frozen=True)
class Replanned:
    """A season planned onward, and how."""

    made: Made
    way: int | None
    """The number of the way in which something is made again; None where that was not needed."""
    unfrozen: bool
    """Whether promised tasks of the next days had to move."""


@dataclass(frozen=True)
class Onwards:
    """Plans onward from a kept plan's basis and what has happened since."""

    basis: Basis
    progress: Progress
    seen: tuple[int, ...]
    """Numbers of the entries that `progress` was read from."""

    def make(
        self, season: Season, catalogue: Catalogue, *, watch: Watch | None = None, budget: Budget = FULL
    ) -> Replanned | Refusal:
        """The plan of what is left, or its refusal; the nearest way to make lost things again goes first.

        Raises SolverDisagreement where the checker refuses what the solver found.
        """
        left = remaining(season, catalogue, self.progress)
        tried: list[Problem] = []
        for sized, problem in self._ways(left, season, catalogue, RESCUED):
            found = replan(
                problem,
                self._promised(problem, left.today),
                self.basis.cooker,
                today=_today(left, problem),
                done=DONE,
                budget=budget,
                watch=watch,
            )
            if found is not None:
                made = written(
                    left,
                    catalogue,
                    sized.sizing,
                    problem,
                    found.found,
                    progress=self.progress,
                    seen=self.seen,
                    promised=self.basis.ahead,
                )
                return Replanned(made, sized.way, found.unfrozen)
            tried.append(problem)
        # Only now is anything called impossible: a way that was passed over for another needs no second look.
        confirmed = all(impossible(problem, budget=budget, watch=watch) for problem in tried)
        return Refusal(tried[-1], confirmed)

    def planted(self) -> dict[str, int]:
        """Pieces that are planted already, by planting."""
        planted = {name: sum(one.planted.values()) for name, one in self.progress.plantings.items()}
        return {name: pieces for name, pieces in planted.items() if pieces}

    def plan(self, season: Season, catalogue: Catalogue, budget: Budget) -> Plan | Refusal:
        """The plan of what is left, or its refusal."""
        found = self.make(season, catalogue, budget=budget)
        return found if isinstance(found, Refusal) else found.made.plan

    def fits(self, season: Season, catalogue: Catalogue, effort: Effort) -> bool:
        """Whether a plan with the fewest spares was found; no aim of it is sought."""
        left = remaining(season, catalogue, self.progress)
        if not left.plantings:
            return False
        try:
            for _, problem in self._ways(left, season, catalogue, ("bare",)):
                bare = rules_only(problem)
                windows = tighten(bare)
                if isinstance(windows, Windows) and fits(bare, windows, effort) is True:
                    return True
        except SeasonError:
            return False
        return False

    def _ways(
        self, left: Season, season: Season, catalogue: Catalogue, levels: tuple[Level, ...]
    ) -> Iterator[tuple[Onward, Problem]]:
        """How what is left can be made, from the nearest way to the farthest, each with its problem.

        What was heat-treated already is used as it is; where that leaves no way it is treated once more.
        """
        for anew in (False, True):
            sealed = False
            for sized in self._sized(left, season, catalogue, levels):
                sealed = sealed or _is_sealed(sized.sizing)
                if anew and not _is_sealed(sized.sizing):
                    continue
                sizing = _cooked_anew(sized.sizing) if anew else sized.sizing
                sizing = replace(sizing, supplied=self._supplied(left, catalogue, sizing))
                problem = compile_season(left, catalogue, sizing, bench.eves(self.progress))
                yield replace(sized, sizing=sizing), problem
            if not sealed:
                return

    def _sized(
        self, left: Season, season: Season, catalogue: Catalogue, levels: tuple[Level, ...]
    ) -> Iterator[Onward]:
        """Sizings of what is left: one, or where something is made again one for each way and level.

        The nearest way goes first, also where it takes shedding spares.
        """
        way: int | None = 0
        told: set[tuple[int | None, Level]] = set()
        while way is not None:
            found: list[tuple[Onward, Level]] = []
            for level in levels:
                sized = onward(left, season, catalogue, self.basis, self.progress, level=level, way=way)
                found.append((sized, level))
                if sized.way is None and not sized.unfed:
                    break  # nothing is made again: there are no spares of that to shed
            fed = sorted(
                ((sized, level) for sized, level in found if not sized.unfed),
                key=lambda one: -1 if one[0].way is None else one[0].way,
            )
            for sized, level in fed:
                if (sized.way, level) not in told:
                    told.add((sized.way, level))
                    yield sized
                if sized.way is None:
                    return
            way = fed[0][0].way if fed else None
            way = None if way is None else way + 1

    def _supplied(self, season: Season, catalogue: Catalogue, sizing: Sizing) -> frozenset[str]:
        """Works whose goods had to be ordered before today: they count as ordered, as they were promised."""
        needs: list[Need | None] = [bench.need(batch) for batch in sizing.batches()]
        for planting in season.plantings:
            demand = sizing.demand(planting.name)
            needs += [
                yard.planting_need(demand),
                yard.chips_need(planting.name),
                yard.logs_need(planting, season.people, season.today),
            ]
        needs += map(standing.need, standing.booked(season, catalogue))
        found = set()
        for need in filter(None, needs):
            promised = self.basis.days.get(need.work)
            before = timedelta(days=need.days(season.lead) + need.days_before)
            if promised and min(promised) - before < season.today:
                found.add(need.work)
        return frozenset(found)

    def _promised(self, problem: Problem, today: date) -> dict[str, dict[int, int]]:
        """The days of each work that lie ahead, or all where none does; not those of pieces that are done."""
        count = DayCount(problem.origin)
        promised = {}
        for name, days in self.basis.days.items():
            done = self._done_on(name)
            left = {day: pieces for day, pieces in days.items() if day not in done}
            ahead = {day: pieces for day, pieces in left.items() if day >= today}
            promised[name] = {count.number(day): pieces for day, pieces in (ahead or left).items()}
        return {name: days for name, days in promised.items() if days}

    def _done_on(self, work: str) -> Collection[date]:
        """Days on which pieces of a work were done."""
        owner, _, kind = work.rpartition(":")
        happened = self.progress.planting(owner)
        return {"fell": happened.felled, "plant": happened.planted}.get(kind, {}).keys()


def _today(season: Season, problem: Problem) -> int:
    return DayCount(problem.origin).number(season.today)


def _is_sealed(sizing: Sizing) -> bool:
    """Whether something heat-treated waits to be inoculated."""
    return any(batch.is_to_make and batch.cooked_on for batch in sizing.batches())


def _cooked_anew(sizing: Sizing) -> Sizing:
    """The sizing with everything that is still to be inoculated heat-treated once more."""
    lines = tuple(
        replace(
            line,
            batches=tuple(replace(b, cooked_on=None) if b.is_to_make else b for b in line.batches),
        )
        for line in sizing.lines
    )
    return replace(sizing, lines=lines)
