"""The search: the rules first, then every aim in its turn, each bounded by what the ones before reached."""

from __future__ import annotations

from dataclasses import dataclass, field

from scheduler.errors import SolverDisagreement
from scheduler.plan import Tier
from scheduler.problem.shapes import Days, Problem
from scheduler.problem.tighten import Contradiction, tighten
from scheduler.solve.again import again
from scheduler.solve.aims import DAYS, TIERS, worth
from scheduler.solve.look import Answer, Effort, Watch, look
from scheduler.solve.model import Model, Wanted
from scheduler.solve.nearby import better
from scheduler.solve.params import ATTEMPTS, PROOF, PROOF_FROM, Budget, Manner
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


def solve(problem: Problem, *, budget: Budget, watch: Watch | None = None, confirm: bool = True) -> Outcome:
    """Finds the best answer to a Problem, tier by tier; a refusal is looked at twice to `confirm` it.

    On KeyboardInterrupt it ends with the best answer so far, or lets the interrupt pass where there is none.
    Raises SolverDisagreement where two looks contradict each other.
    """
    effort = Effort(budget, watch)
    search: _Tiers | None = None
    try:
        start = _start(problem, effort, confirm=confirm)
        if isinstance(start, Refused):
            return start
        search = _Tiers(problem, effort, start.answer, start.unideal)
        search.all()
    except KeyboardInterrupt:
        if search is None:
            raise
        return search.found(stopped=True)
    return search.found(stopped=False)


def impossible(problem: Problem, *, budget: Budget, watch: Watch | None = None) -> bool:
    """Whether no answer keeps all rules, by two looks; False also where one could not say in time.

    Raises SolverDisagreement where they contradict each other.
    """
    effort = Effort(budget, watch)
    first = _first(problem, "plantings", frozenset(), effort)
    return isinstance(first, _Nothing) and _is_confirmed(problem, first, effort)


@dataclass(frozen=True)
class _Start:
    """A first answer."""

    answer: Answer
    unideal: bool | None
    """Whether it was proved that not all aims can be met in full; None where that was not asked."""


def _start(problem: Problem, effort: Effort, *, confirm: bool) -> _Start | Refused:
    """The ideal first, one in which every aim is met in full; else any answer that keeps all rules."""
    numbers = frozenset(term.tier for term in problem.terms)
    unideal: bool | None = None
    if numbers:
        ideal = _first(problem, "ideal", numbers, effort)
        if isinstance(ideal, Answer):
            return _Start(ideal, unideal=False)
        unideal = ideal.infeasible
    first = _first(problem, "plantings", frozenset(), effort)
    if isinstance(first, Answer):
        return _Start(first, unideal)
    return Refused(confirm and _is_confirmed(problem, first, effort))


@dataclass(frozen=True)
class _Nothing:
    """No first answer: there is none, or it was not found."""

    infeasible: bool
    presolved: bool = False


def _is_confirmed(problem: Problem, first: _Nothing, effort: Effort) -> bool:
    """Whether a second look, too, rules an answer out."""
    return first.infeasible and confirmed(problem, effort, presolved=first.presolved)


def _first(problem: Problem, tier: str, met: frozenset[int], effort: Effort) -> Answer | _Nothing:
    """Looks for any answer with some tiers met in full, in one manner after the other."""
    effort.begin(tier)
    windows = tighten(problem, met=met)
    if isinstance(windows, Contradiction):
        return _Nothing(infeasible=True)
    model = Model(problem, windows, Wanted(met))
    for manner in ATTEMPTS[tier]:
        result = look(model, manner, effort)
        if result.answer is not None:
            return result.answer
        if result.stopped:
            raise KeyboardInterrupt
        if result.infeasible:
            return _Nothing(infeasible=True, presolved=manner.presolve)
    return _Nothing(infeasible=False)


@dataclass
class _Tiers:
    """The answer in hand, and what was found out about each tier."""

    problem: Problem
    effort: Effort
    best: Answer
    unideal: bool | None
    met: frozenset[int] = frozenset()
    caps: dict[int, int] = field(default_factory=dict)
    bounds: dict[int, int] = field(default_factory=dict)
    """Of each tier that was begun: it costs at least this."""
    unpolished: int | None = None

    def all(self) -> None:
        """All tiers in their order."""
        numbers = sorted({term.tier for term in self.problem.terms})
        for number in numbers:
            self._least(number)
        if self.unideal and not any(map(self._cost, numbers)):
            raise SolverDisagreement("one look rules out an ideal answer, others found it", [])
        if self.problem.day_cost is not None:
            self._least(DAYS)
        if self.problem.pushes:
            self._polish()

    def found(self, *, stopped: bool) -> Found:
        """The answer in hand, and what it is worth in each tier that was begun."""
        tiers = [Tier("plantings", 0, 0, True)]
        if self.unideal is not None:
            missed = int(any(self._cost(number) for number in TIERS if number != DAYS))
            tiers.append(Tier("ideal", missed, int(self.unideal), missed == int(self.unideal)))
        for number, bound in self.bounds.items():
            tiers.append(Tier(TIERS[number], self._cost(number), bound, self._is_least(number)))
        if self.unpolished is not None:
            tiers.append(Tier("polish", self.unpolished, 0, self.unpolished == 0))
        return Found(self.best.days, tuple(tiers), stopped)

    def _cost(self, number: int) -> int:
        """What the answer in hand costs in a tier."""
        return worth(self.problem, self.best.days, number)

    def _is_least(self, number: int) -> bool:
        """Whether the answer in hand costs no more than any can."""
        return self._cost(number) <= self.bounds[number]

    def _least(self, number: int) -> None:
        """Makes a tier cost as little as it can, and holds it there."""
        self.bounds[number] = 0
        wanted = Wanted(self.met, dict(self.caps), least=number)
        for manner in ATTEMPTS[TIERS[number]]:
            self._attempt(number, manner, wanted)
        if not self._is_least(number):
            for answer in better(self.problem, self.best, wanted, number, self.effort):
                self.best = answer
            if self.bounds[number] >= PROOF_FROM * self._cost(number):
                self._attempt(number, PROOF, wanted)
        if self._cost(number) == 0 and number != DAYS:
            self.met |= {number}
        else:
            self.caps[number] = self._cost(number)

    def _attempt(self, number: int, manner: Manner, wanted: Wanted) -> None:
        """One look for a better answer, unless the one in hand is the best."""
        if self._is_least(number):
            return
        self.effort.begin(TIERS[number])
        result = again(self.problem, wanted, manner, self.effort, self.best.hint)
        if result.answer is not None and worth(self.problem, result.answer.days, number) < self._cost(number):
            self.best = result.answer
        self.bounds[number] = max(self.bounds[number], result.bound)
        if result.stopped:
            raise KeyboardInterrupt

    def _polish(self) -> None:
        """Pushes works late or early within the days with work, at no cost in any tier."""
        polished = polish(self.problem, self.best, Wanted(self.met, self.caps), self.effort)
        self.best, self.unpolished = polished.answer, polished.left
        if polished.stopped:
            raise KeyboardInterrupt
