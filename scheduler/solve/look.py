"""One look of the solver at a model: in a thread, so that it can be watched and stopped."""

from __future__ import annotations

import math
from collections.abc import Callable, Set
from dataclasses import dataclass
from threading import Event, Thread

from scheduler.problem.shapes import Days
from scheduler.solve.engine import cp_model
from scheduler.solve.model import Model, Values
from scheduler.solve.params import Budget, Manner

Watch = Callable[[str, float, int | None], None]
"""Told at every look and about five times a second: the tier, seconds so far, its best value or None."""

BEAT_SECONDS = 0.2


@dataclass
class Effort:
    """What a search may spend, and how far it is, over all its looks; it reads no clock of its own."""

    budget: Budget
    watch: Watch | None = None
    tier: str = ""
    best: int | None = None
    seconds: float = 0.0
    """Time in looks that are over."""
    units: float = 0.0
    """Deterministic time in looks that are over."""

    def begin(self, tier: str) -> None:
        """Names what is sought now."""
        self.tier, self.best = tier, None

    def beat(self, seconds: float) -> None:
        """Tells whoever watches how things stand, so many seconds into a look."""
        if self.watch is not None:
            self.watch(self.tier, self.seconds + seconds, self.best)


@dataclass(frozen=True)
class Answer:
    """An answer that the solver found; values exist only here."""

    days: Days
    values: Values

    def hint(self, model: Model) -> None:
        """Starts a search from this answer."""
        model.hint(self.values)

    def without(self, free: Set[str]) -> Days:
        """The days of all works but those that are to be free."""
        pieces = {name: on for name, on in self.days.pieces.items() if name not in free}
        return Days(pieces, {name: pot for name, pot in self.days.cooker.items() if name not in free})

    def over(self, earlier: Answer) -> Answer:
        """This answer, with the values of the one before of what was held in its search."""
        return Answer(self.days, {**earlier.values, **self.values})


@dataclass(frozen=True)
class Look:
    """What came of one look."""

    answer: Answer | None
    infeasible: bool
    settled: bool
    """Whether nothing is left to find out: proved best, or infeasible."""
    bound: int
    """What was to be made least is at least this; 0 where nothing was."""
    stopped: bool
    """Whether the grower stopped it."""


class _Progress(cp_model.CpSolverSolutionCallback):
    """Keeps the best value of the tier where it can be watched."""

    def __init__(self, effort: Effort) -> None:
        super().__init__()
        self._effort = effort

    def on_solution_callback(self) -> None:
        self._effort.best = round(self.objective_value)


class _Solving:
    """A solver at work in a thread of its own."""

    def __init__(self, model: Model, parameters: cp_model.SatParameters, effort: Effort) -> None:
        self.solver = cp_model.CpSolver()
        self.solver.parameters = parameters
        self.status = cp_model.UNKNOWN
        self.error: BaseException | None = None
        self.done = Event()
        self.thread = Thread(target=self._solve, daemon=True)
        self._cp = model.cp
        self._progress = _Progress(effort) if effort.watch and model.cp.has_objective() else None

    def _solve(self) -> None:
        try:
            self.status = self.solver.solve(self._cp, self._progress)
        except BaseException as error:
            self.error = error
        self.done.set()

    def stop(self) -> None:
        """Ends the search and waits for it; a stop is lost on a solver that has not begun: it is repeated."""
        while self.thread.is_alive() and not self.done.wait(0.01):
            self.solver.stop_search()


def look(model: Model, manner: Manner, effort: Effort) -> Look:
    """Solves the model; ends early, with the best answer so far, on KeyboardInterrupt."""
    solving = _Solving(model, manner.parameters(effort.budget), effort)
    stopped = False
    try:
        solving.thread.start()
        effort.beat(0.0)  # short looks beat too: a search may be made of nothing else
        beats = 1
        # an Event: a thread that joins another one does not hear a signal
        while not solving.done.wait(BEAT_SECONDS):
            effort.beat(beats * BEAT_SECONDS)
            beats += 1
    except KeyboardInterrupt:
        stopped = True
    finally:
        solving.stop()
    if solving.error is not None:
        raise solving.error
    if not solving.done.is_set():
        raise KeyboardInterrupt
    effort.seconds += solving.solver.wall_time
    effort.units += solving.solver.deterministic_time
    return _read(model, solving.solver, solving.status, stopped)


def _read(model: Model, solver: cp_model.CpSolver, status: cp_model.CpSolverStatus, stopped: bool) -> Look:
    """The only place where values are taken from the solver: it returns garbage where it has no answer."""
    if status == cp_model.MODEL_INVALID:
        raise ValueError(f"not a valid model: {model.cp.validate()}")
    infeasible = status == cp_model.INFEASIBLE
    bounded = model.cp.has_objective() and not infeasible
    return Look(
        answer=Answer(*model.read(solver.value)) if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None,
        infeasible=infeasible,
        settled=infeasible or status == cp_model.OPTIMAL,
        bound=max(0, math.ceil(solver.best_objective_bound - 1e-6)) if bounded else 0,
        stopped=stopped,
    )
