"""The search: the rules first, then every aim in its turn, each bounded by what the ones before reached."""

from __future__ import annotations

from dataclasses import dataclass, field

from scheduler.errors import SolverDisagreement
from scheduler.plan import Tier
from scheduler.problem.shapes import Days, Problem
from scheduler.problem.tighten import Contradiction, tighten
from scheduler.solve.aims import DAYS, TIERS, worth
from scheduler.solve.look import Answer, Pulse, Watch, look
from scheduler.solve.model import Model, Wanted
from scheduler.solve.nearby import better
from scheduler.solve.params import ATTEMPTS, PROOF, Budget, Manner
from scheduler.solve.polish import polish
from scheduler.solve.second import confirmed


@dataclass(frozen=True)
class Found:
    """An answer, and how good it is in each tier."""

    days: Days
    tiers: tuple[Tier, ...]
    stopped: bool = False
    """Whether the grower stopped the search; the answer keeps all rules, but later aims were not sought."""


@dataclass(frozen=True)
class Refused:
    """No answer. Where it is not confirmed, it may be that none was found in time."""

    confirmed: bool


Outcome = Found | Refused


def solve(problem: Problem, *, budget: Budget, watch: Watch | None = None) -> Outcome:
    """Finds the best answer to a Problem, tier by tier.

    On KeyboardInterrupt it ends with the best answer so far, or lets the interrupt pass where there is none.
    Raises SolverDisagreement where two looks contradict each other.
    """
    search = _Search(problem, budget, Pulse(watch))
    try:
        return search.run()
    except KeyboardInterrupt:
        if search.best is None:
            raise
        return search.found(search.best, stopped=True)


@dataclass
class _Search:
    """What is known so far."""

    problem: Problem
    budget: Budget
    pulse: Pulse
    best: Answer | None = None
    met: frozenset[int] = frozenset()
    caps: dict[int, int] = field(default_factory=dict)
    bounds: dict[int, int] = field(default_factory=dict)
    """Of each tier that was begun: it costs at least this."""
    ideal: Tier | None = None
    unpolished: int | None = None

    def run(self) -> Outcome:
        """All tiers in their order."""
        numbers = sorted({term.tier for term in self.problem.terms})
        if numbers:
            self._ideal(frozenset(numbers))
        if self.best is None:
            confirmed_or_not = self._plantings()
            if confirmed_or_not is not None:
                return Refused(confirmed_or_not)
        for number in numbers:
            self._least(number)
        if self.problem.day_cost is not None:
            self._least(DAYS)
        self._polish()
        assert self.best is not None
        return self.found(self.best, stopped=False)

    def found(self, best: Answer, *, stopped: bool) -> Found:
        """The best answer, and what it is worth in each tier that was begun."""
        tiers = [Tier("plantings", 0, 0, True)]
        if self.ideal is not None:
            tiers.append(self.ideal)
        for number, bound in self.bounds.items():
            value = worth(self.problem, best.days, number)
            tiers.append(Tier(TIERS[number], value, bound, value <= bound))
        if self.unpolished is not None:
            tiers.append(Tier("polish", self.unpolished, 0, self.unpolished == 0))
        return Found(best.days, tuple(tiers), stopped)

    def _ideal(self, numbers: frozenset[int]) -> None:
        """One look for an answer in which every aim is met: comfortable seasons need no more."""
        sought = self._seek("ideal", Wanted(met=numbers))
        missed = int(self.best is None)
        self.ideal = Tier("ideal", missed, int(sought.infeasible), sought.infeasible or not missed)

    def _plantings(self) -> bool | None:
        """An answer that keeps all rules; where there is none, whether that is confirmed."""
        sought = self._seek("plantings", Wanted())
        if self.best is not None:
            return None
        if not sought.infeasible:
            return False
        return confirmed(self.problem, presolved=sought.presolved, budget=self.budget, pulse=self.pulse)

    def _least(self, number: int) -> None:
        """Makes a tier cost as little as it can, and holds it there."""
        self.bounds[number] = 0
        wanted = Wanted(self.met, dict(self.caps), least=number)
        if not self._is_least(number):
            self._seek(TIERS[number], wanted)
        if not self._is_least(number):
            assert self.best is not None
            for answer in better(self.problem, self.best, wanted, self.budget, self.pulse):
                self.best = answer
            self._attempt(TIERS[number], PROOF, wanted)
        value = self._cost(number)
        if value == 0 and number != DAYS:
            self.met |= {number}
        else:
            self.caps[number] = value

    def _seek(self, name: str, wanted: Wanted) -> _Sought:
        """Attempts a tier in one manner after the other, until one settles it."""
        for manner in ATTEMPTS[name]:
            sought = self._attempt(name, manner, wanted)
            if sought.settled:
                return sought
        return _Sought(settled=False, infeasible=False, presolved=False)

    def _attempt(self, name: str, manner: Manner, wanted: Wanted) -> _Sought:
        """One look for a better answer, from the one in hand."""
        self.pulse.tier, self.pulse.best = name, None
        windows = tighten(self.problem, met=wanted.met)
        if isinstance(windows, Contradiction):
            return _Sought(settled=True, infeasible=True, presolved=False)
        model = Model(self.problem, windows, wanted)
        if self.best is not None:
            model.hint(self.best.values)
        result = look(model, manner, self.budget, self.pulse)
        if result.answer is not None:
            self._take(result.answer, wanted.least)
        if wanted.least is not None:
            if result.infeasible:
                raise SolverDisagreement("an answer in hand was ruled out", [f"tier {name}", str(manner)])
            self.bounds[wanted.least] = max(self.bounds[wanted.least], result.bound)
        if result.stopped:
            raise KeyboardInterrupt
        settled = result.settled or (wanted.least is not None and self._is_least(wanted.least))
        return _Sought(settled, result.infeasible, manner.presolve)

    def _cost(self, number: int) -> int:
        """What the answer in hand costs in a tier."""
        assert self.best is not None
        return worth(self.problem, self.best.days, number)

    def _is_least(self, number: int) -> bool:
        """Whether the answer in hand costs no more than any can."""
        return self._cost(number) <= self.bounds[number]

    def _take(self, answer: Answer, least: int | None) -> None:
        """Keeps an answer unless a better one is in hand."""
        if self.best is None or least is None or worth(self.problem, answer.days, least) < self._cost(least):
            self.best = answer

    def _polish(self) -> None:
        """Pushes works late or early within the days with work, at no cost in any tier."""
        assert self.best is not None
        if not self.problem.pushes:
            return
        polished = polish(self.problem, self.best, Wanted(self.met, self.caps), self.budget, self.pulse)
        self.best, self.unpolished = polished.answer, polished.left
        if polished.stopped:
            raise KeyboardInterrupt


@dataclass(frozen=True)
class _Sought:
    """How attempts at a tier ended: settled where no further one can tell more."""

    settled: bool
    infeasible: bool
    presolved: bool
