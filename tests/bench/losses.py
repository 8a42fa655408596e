"""One loss in a season that went as planned until then, replanned, and planned anew with the same facts.

A plan anew is sized alike, has to keep the same rules, and knows the same facts; but it is searched for as the
first plan of a season is, days with work and polish and all, and knows nothing of what was promised.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

from scheduler.journal.context import Context
from scheduler.journal.due import due
from scheduler.journal.units import living
from scheduler.journal.words import read_words
from scheduler.lines.remaining import remaining
from scheduler.plan import Batch, Plan
from scheduler.problem import bench
from scheduler.problem.compile import compile_season
from scheduler.season.load import load_season
from scheduler.season.season import Season
from scheduler.service import planning, seasons
from scheduler.service.attempt import FULL, Made, Refusal, written
from scheduler.service.differences import changes
from scheduler.service.onwards import Onwards
from scheduler.solve.search import Found, solve
from scheduler.trade import catalogue as trade
from scheduler.weather import norms
from tests.command import EXAMPLES

CLOCK = seasons.Clock(date(2026, 11, 25), "UTC")
DAY = timedelta(days=1)


@dataclass(frozen=True)
class Loss:
    """A loss in a season under way, before anything is planned onward."""

    words: str
    before: Made
    context: Context
    """With everything recorded that was done before, and the loss itself."""

    @property
    def today(self) -> date:
        """Day of the loss."""
        return self.context.today


@dataclass(frozen=True)
class Compared:
    """The two plans after a loss; None where what is left does not fit, or was not found."""

    loss: Loss
    replanned: Plan | None
    anew: Plan | None

    def moved(self, plan: Plan) -> int:
        """Tasks that were promised, are still open, and lie on another day in a plan, under the same id."""
        progress = self.loss.context.progress
        kinds = Counter(c.kind for c in changes(self.loss.before.plan, plan, progress, self.loss.today))
        return kinds["moved"]


@cache
def planned(name: str) -> Made:
    """The first plan of an example."""
    return planning.make_season(*seasons.read(EXAMPLES / name, CLOCK, None))


def losses(name: str, count: int, seed: int) -> Iterator[Loss]:
    """So many losses of an example, chosen by chance: the day, the batch, and how much of it."""
    chance = random.Random(f"{name} {seed}")
    plan = planned(name).plan
    last = max(day for planting in plan.plantings for day in planting.plant_on)
    days = [plan.season.today + n * DAY for n in range(1, (last - plan.season.today).days)]
    found = 0
    while found < count:
        context = as_planned(name, chance.choice(days))
        batches = [batch for batch in plan.batches if _matters(batch, context)]
        if not batches:
            continue
        batch = chance.choice(batches)
        alive = len(living(plan, context.progress, batch.id))
        lost = chance.choice([alive, chance.randint(1, alive)])
        words = f"lost {batch.id} {lost}"
        yield Loss(words, planned(name), context.after(*read_words(words.split(), context.today, context)))
        found += 1


def _matters(batch: Batch, context: Context) -> bool:
    """Whether a batch is there, and something is still to be made from it or planted."""
    there = context.progress.batch(batch.id).inoculated_on is not None or batch.state == "in hand"
    return there and max(batch.use_on, default=date.min) >= context.today


@cache
def as_planned(name: str, today: date) -> Context:
    """An example in which all that lies before a day was done as planned."""
    plan = planned(name).plan
    species = tuple(trade.load().species)
    context = Context(plan, (), today - DAY, species, begins=plan.season.today)
    is_due = due(plan, context.progress, context.today)
    entries = read_words(["done", "all"], None, context) if is_due else ()
    return Context(plan, context.after(*entries).recorded, today, species, begins=plan.season.today)


def compared(name: str, loss: Loss) -> Compared:
    """The replan after a loss, and the plan anew."""
    catalogue = trade.load()
    season = season_of(name, loss.today)
    progress = loss.context.progress
    seen = tuple(one.entry_no for one in loss.context.standing)
    found = Onwards(loss.before.basis, progress, seen).make(season, catalogue)
    if isinstance(found, Refusal):
        return Compared(loss, None, None)
    left = remaining(season, catalogue, progress)
    sizing = found.made.basis.sizing
    problem = compile_season(left, catalogue, sizing, bench.eves(progress))
    outcome = solve(problem, budget=FULL)
    if not isinstance(outcome, Found):
        return Compared(loss, found.made.plan, None)
    anew = written(left, catalogue, sizing, problem, outcome, progress=progress, seen=seen)
    return Compared(loss, found.made.plan, anew.plan)


def season_of(name: str, today: date) -> Season:
    """An example as it is read on a day, under way."""
    return load_season(
        EXAMPLES / name,
        trade.load(),
        clock=today,
        system_timezone="UTC",
        today=today,
        under_way=True,
        weather=norms.reader(trade.load()),
        began=lambda: CLOCK.today,
    )
