"""Spares and margins so that the chance of a season, played out, meets a wish at little cost.

From the usual plan it goes up, adding what brings most chance for its work until the wish is met; then down,
leaving out whatever the wish is met without. Each way is looked for on paper (`moves`) and then carried out:
only plans that were really made, approved by the checker and played count, and of those that meet the wish
the cheapest is taken.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain

from scheduler import measures
from scheduler.chances import USUAL_SEASONS, USUAL_SEED
from scheduler.errors import SeasonError
from scheduler.lines.shapes import Sizing
from scheduler.lines.spares import Chosen
from scheduler.outlook.findings import shortfalls
from scheduler.outlook.on_paper import Move, OnPaper
from scheduler.outlook.share import share
from scheduler.outlook.simulate import simulate
from scheduler.plan import Barred, Fails, Plan, Sought, Step
from scheduler.problem.aims import DAY_WITH_WORK
from scheduler.service.attempt import Made, Refusal, make
from scheduler.service.choice import Best, told
from scheduler.service.moves import Bundle, Stand, Ways, after, ways_of
from scheduler.service.outlook import course_of
from scheduler.solve.look import Watch
from scheduler.trade.catalogue import Catalogue

PLANS_UP, PLANS_DOWN = 10, 6
"""Plans that are made and played, at most, on the way up and on the way down."""
ALLOWS_NO_MORE = "what it is made from allows no more"
DOES_NOT_FIT = "the season does not fit with it"
NAMED = 4
"""Things that plantings fail by are named where the wish is not met."""
BRINGS_NOTHING = "in a plan that was made with it, it brings nothing more"


@dataclass(frozen=True)
class Trial:
    """A plan that was made and played."""

    stand: Stand
    made: Made
    chance: float
    stderr: float

    @property
    def cost(self) -> tuple[int, float, int]:
        """Minutes of lab work; of equals the grams (mL, plates) that are made, then the days of margin."""
        made = [batch for batch in self.made.basis.sizing.batches() if batch.is_to_make]
        grams = sum(batch.started * batch.unit_mass_g for batch in made)
        return lab_work(self.made.plan), grams, sum(self.stand.chosen.margin.values())


def lab_work(plan: Plan) -> int:
    """Minutes of lab work, and an hour for each day with more than small tasks: days with work cost that."""
    lab = [task for task in plan.tasks if task.place == "lab"]
    days = {task.on for task in lab if not task.small}
    return sum(task.minutes for task in lab) + DAY_WITH_WORK * len(days)


def sought(best: Best, catalogue: Catalogue, watch: Watch | None = None) -> Made:
    """The plan of the season of `best` that meets its wished chance at least cost, or comes nearest to it.

    It says what it has more and fewer of than `best`, and, where it falls short, what keeps it from more.
    Where the grower stops the search it is the best so far, marked as such.
    """
    search = _Search(best, catalogue, watch)
    stopped = search.run()
    found = search.cheapest()
    plan = found.made.plan if found is search.usual else told(found.made.plan, best.bought)
    plan = replace(plan, status="stopped" if stopped else plan.status, sought=_said(search, found))
    return Made(plan, replace(found.made.basis, certainty=best.season.certainty))


class _Search:
    """One search, and the plans that were made in it."""

    def __init__(self, best: Best, catalogue: Catalogue, watch: Watch | None) -> None:
        self.wished = best.season.certainty
        self.ways = Ways(best.season, catalogue, wished=self.wished)
        self.plans = 1
        self.ended = False
        """Whether plans ran out before ways did."""
        self._left = 0
        """Plans that may still be made on this way."""
        self._season, self._catalogue = best.season, catalogue
        self._watch, self._seconds = watch, 0.0
        self._level = best.made.basis.sizing.level
        self.usual = self._played(_as_sized(best.made.basis.sizing), best.made)
        self._trials = [self.usual]

    def run(self) -> bool:
        """Goes up, then down; says whether the grower has stopped it."""
        if self.usual.made.plan.status == "stopped":
            return True
        try:
            self._go(PLANS_UP, lambda trial: not self.meets(trial), self.ways.up, self._is_surer)
            self._go(PLANS_DOWN, self.meets, self.ways.down, self._is_cheaper)
        except KeyboardInterrupt:
            return True
        return False

    def meets(self, trial: Trial) -> bool:
        """Whether a plan has the wished chance."""
        return trial.chance >= self.wished

    def cheapest(self) -> Trial:
        """The cheapest plan that meets the wish; else the one with the best chance."""
        meeting = [trial for trial in self._trials if self.meets(trial)]
        if meeting:
            return min(meeting, key=lambda trial: (trial.cost, -trial.chance))
        return max(self._trials, key=lambda trial: trial.chance)

    def _is_surer(self, before: Trial, trial: Trial) -> bool:
        return trial.chance > before.chance

    def _is_cheaper(self, before: Trial, trial: Trial) -> bool:
        return self.meets(trial) and trial.cost < before.cost

    def _go(
        self,
        plans: int,
        goes_on: Callable[[Trial], bool],
        way: Callable[[Stand], list[Bundle]],
        is_good: Callable[[Trial, Trial], bool],
    ) -> None:
        """From the best plan so far one way after the other, for as long as there is one."""
        now, self._left = self.cheapest(), plans
        while goes_on(now) and self._left:
            bundles = way(now.stand)
            if not bundles:
                return
            now = self._carried_out(now, bundles, is_good) or now
        self.ended = goes_on(now)

    def _carried_out(
        self, before: Trial, bundles: Sequence[Bundle], is_good: Callable[[Trial, Trial], bool]
    ) -> Trial | None:
        """The plan after as many of the bundles, in their order, as make a good one: halved until they do.

        The first bundle that did not is barred.
        """
        found: Trial | None = None
        low, high, ask, why = 0, len(bundles), len(bundles), ""
        while low < high and self._left:
            trial = self._tried(after(before.stand.chosen, chain(*bundles[:ask])))
            if trial is not None and is_good(before, trial):
                found, low = trial, ask
            else:
                high, why = ask - 1, DOES_NOT_FIT if trial is None else BRINGS_NOTHING
            ask = (low + high + 1) // 2
        if why:
            self.ways.barred.setdefault(ways_of(bundles[low]), why)
        return found

    def _tried(self, chosen: Chosen) -> Trial | None:
        """The plan with what is chosen, played; None where the season or the culture does not allow it."""
        self.plans += 1
        self._left -= 1
        try:
            made = make(
                self._season, self._catalogue, watch=self._watched(), levels=(self._level,), chosen=chosen
            )
        except SeasonError:
            return None
        if isinstance(made, Refusal):
            return None
        if made.plan.status == "stopped":
            raise KeyboardInterrupt
        got = _as_sized(made.basis.sizing)
        limited = [key for key, spare in chosen.spares.items() if got.spares.get(key, spare) < spare]
        if limited:
            for line, stage in limited:
                self.ways.barred[(line, stage, True),] = ALLOWS_NO_MORE
            return None
        self._trials.append(self._played(chosen, made))
        return self._trials[-1]

    def _played(self, chosen: Chosen, made: Made) -> Trial:
        course = course_of(self._season, self._catalogue, made.plan, made.basis)
        chance, stderr = share(simulate(course, USUAL_SEASONS, USUAL_SEED).all_made())
        return Trial(Stand(chosen, made.basis.sizing, course), made, chance, stderr)

    def _watched(self) -> Watch | None:
        """A watch over one plan more that goes on counting seconds, and says how near the search is."""
        watch, before = self._watch, self._seconds
        if watch is None:
            return None
        reached = measures.chance(self.cheapest().chance)
        at = f"choosing spares and margins, plan {self.plans}, {reached} so far"

        def told_of(tier: str, seconds: float, best: int | None) -> None:
            self._seconds = before + seconds
            watch(at, self._seconds, None)

        return told_of


def _as_sized(sizing: Sizing) -> Chosen:
    """The spares that a sizing has, as if they had been chosen."""
    rows = [row for line in sizing.lines for row in line.spares]
    return Chosen({(row.line, row.stage): row.started - row.needed for row in rows})


# --- what is said of it -------------------------------------------------------------------------------


def _said(search: _Search, found: Trial) -> Sought:
    usual, met = search.usual, search.meets(found)
    return Sought(
        wished=search.wished,
        reached=found.chance,
        stderr=found.stderr,
        usual=usual.chance,
        usual_stderr=usual.stderr,
        minutes=found.cost[0],
        usual_minutes=usual.cost[0],
        seasons=USUAL_SEASONS,
        seed=USUAL_SEED,
        plans=search.plans,
        steps=tuple(_steps(search, found)),
        fails=() if met else tuple(_fails(found)),
        barred=() if met else tuple(_barred(search)),
        ended=not met and search.ended,
    )


def _steps(search: _Search, found: Trial) -> Iterator[Step]:
    """What was chosen otherwise than in the usual plan, and what the chance would be without it."""
    paper = OnPaper(found.stand.course, USUAL_SEASONS, USUAL_SEED)
    before, now = search.usual.stand.chosen, found.stand.chosen
    moves = [
        Move(*key, now.spares[key] - before.spares[key]) for key in paper.stages() if key in before.spares
    ]
    moves += [Move(line, "", days) for line, days in now.margin.items()]
    plantings = {line.code: line.plantings for line in found.stand.sizing.lines}
    served = {(row.line, row.stage): row.plantings for row in found.made.plan.spares}
    for move in moves:
        if move.by:
            undone = replace(move, by=-move.by)
            lost, stderr = paper.gain(undone)
            yield Step(
                line=move.line,
                stage=move.stage,
                plantings=served.get((move.line, move.stage), plantings[move.line]),
                units=move.by if move.stage else 0,
                days=0 if move.stage else move.by,
                buys=-lost,
                stderr=stderr,
                minutes=-search.ways.work(found.stand, now, undone),
            )


def _fails(found: Trial) -> Iterator[Fails]:
    for planting, hang in shortfalls(found.stand.course, USUAL_SEASONS, USUAL_SEED)[:NAMED]:
        yield Fails(planting, hang.why, hang.stage, hang.share)


def _barred(search: _Search) -> Iterator[Barred]:
    for ways, why in search.ways.barred.items():
        line, stage, more = ways[0]
        if more and len(ways) == 1:
            yield Barred(line, stage, why)
