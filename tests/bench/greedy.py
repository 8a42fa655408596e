"""The spreadsheet way: back from each planting day, everything on the last day on which it goes.

Plantings are taken by the beginning of their days, each on its first day that costs least; whatever it needs is put
before it, each work on the day that costs least by the aims that can be seen so far, the last of such days first.
What one planting has taken, the next has to leave alone. Where something does not go, the planting is tried on its
next day, and in the end left out. So no rule is ever broken; and days that no answer can use are struck out
beforehand, which no spreadsheet does.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from scheduler.problem.shapes import Days, Lag, Problem, Work
from scheduler.problem.tighten import Contradiction, Windows, one_day, pieces_a_day, tighten
from tests.bench.sheet import Pieces, Sheet


def plan(problem: Problem, goals: Sequence[str], held: Mapping[str, Pieces] | None = None) -> Days:
    """Days for all works that lead to a goal, and for those that lead nowhere; some `held` where they are.

    Works of goals for which there is no room have no days.
    """
    windows = tighten(problem)
    if isinstance(windows, Contradiction):
        return Days({})
    planner = _Planner(problem, windows)
    for name, pieces in (held or {}).items():
        planner.sheet.put(name, pieces)
    for goal in sorted(goals, key=lambda name: windows.first[name][0]):
        if goal not in planner.sheet.pieces:
            planner.goal(goal)
    planner.rest(goals)
    sheet = planner.sheet
    return Days(
        {name: dict(sorted(pieces.items())) for name, pieces in sheet.pieces.items()},
        sheet.cooker,
        sheet.loads(),
    )


class _Planner:
    """Fills a sheet."""

    def __init__(self, problem: Problem, windows: Windows) -> None:
        self.problem = problem
        self.windows = windows
        self.sheet = Sheet(problem)
        self.feeders = {work.name: self._feeders(work.name) for work in problem.works}
        self.needs: dict[str, set[str]] = {}
        feeds = Counter(feeder for feeders in self.feeders.values() for feeder in feeders)
        self.leaves = {
            name: [one for one in feeders if feeds[one] == 1 and not self.feeders[one]]
            for name, feeders in self.feeders.items()
        }
        """Works that are done for one other alone and need nothing themselves, such as cooking its bags."""

    def goal(self, name: str) -> bool:
        """A planting with all that it needs, on the first of its good days on which that goes."""
        return any(self._with_needs(name, pieces) for pieces in self._choices(name, late=False))

    def rest(self, goals: Sequence[str]) -> None:
        """What no planting needs, such as emptying a jar, as early as it goes."""
        needed = set(goals).union(*map(self._needs, goals))
        for work in self.problem.works:
            if work.name not in needed | self.sheet.pieces.keys():
                any(self.sheet.put(work.name, pieces) for pieces in self._choices(work.name, late=False))

    def _feeders(self, name: str) -> list[str]:
        """Works that a rule puts before this one."""
        return list(
            dict.fromkeys(
                lag.before.work
                for lag in self.sheet.lags[name]
                if lag.after.work == name and lag.least is not None and not self._is_backward(lag)
            )
        )

    def _is_backward(self, lag: Lag) -> bool:
        """Whether a rule says how long after a work, by one of its tables, an earlier one still serves."""
        return lag.before.work == lag.after.work or lag.after.at not in ("first", "last")

    def _needs(self, name: str) -> set[str]:
        """All works that lead to this one."""
        if name not in self.needs:
            self.needs[name] = set()  # rules that go round in a circle end here
            feeders = self.feeders[name]
            self.needs[name] = set(feeders).union(*map(self._needs, feeders))
        return self.needs[name]

    def _with_needs(self, name: str, pieces: Pieces) -> bool:
        """A planting on its days, then all that it needs, from the last stage to the first; else nothing."""
        before = set(self.sheet.pieces)
        needs = sorted(self._needs(name), key=lambda need: (-len(self._needs(need)), need))
        if self._with_leaves(name, pieces) and all(
            need in self.sheet.pieces or self._late(need) for need in needs
        ):
            return True
        self._undo(before)
        return False

    def _late(self, name: str) -> bool:
        """A work as late as it goes among the days that cost least."""
        return any(self._with_leaves(name, pieces) for pieces in self._choices(name, late=True))

    def _with_leaves(self, name: str, pieces: Pieces) -> bool:
        """A work, and what is done for it alone; else nothing changes."""
        before = set(self.sheet.pieces)
        if self.sheet.put(name, pieces) and all(
            leaf in before or any(self.sheet.put(leaf, choice) for choice in self._choices(leaf, late=True))
            for leaf in self.leaves[name]
        ):
            return True
        self._undo(before)
        return False

    def _undo(self, before: set[str]) -> None:
        for name in [name for name in self.sheet.pieces if name not in before]:
            self.sheet.take(name)

    def _choices(self, name: str, *, late: bool) -> Iterator[Pieces]:
        """Ways to put a work, those that cost least first, then the latest or the earliest."""
        work = self.problem.work(name)
        options = list(filter(None, (self._filled(work, day, late) for day in self._days(work, late))))
        priced = [(self.sheet.cost_at(name, pieces), number) for number, pieces in enumerate(options)]
        for _, number in sorted((cost, number) for cost, number in priced if cost is not None):
            yield options[number]

    def _days(self, work: Work, late: bool) -> Sequence[int]:
        days = (self.windows.last if late else self.windows.first)[work.name]
        return days[::-1] if late else days

    def _filled(self, work: Work, day: int, late: bool) -> Pieces:
        """A work that begins, or ends, on a day, with as much on each day as goes; nothing where not all goes."""
        if one_day(work):
            return {day: work.pieces}
        least, left = pieces_a_day(work), work.pieces
        span = (day - work.span, day) if late else (day, day + work.span)
        days = [other for other in self.windows.every[work.name] if span[0] <= other <= span[1]]
        pieces: dict[int, int] = {}
        for other in reversed(days) if late else days:
            count = min(left, self.sheet.room_for(work.name, other))
            if 0 < left - count < least:
                count = left - least
            if count >= least:
                pieces[other], left = count, left - count
            elif other == day:
                return {}
            if not left:
                return pieces
        return {}
