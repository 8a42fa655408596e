"""Seasons under way for tests of the journal: real plans of the examples, planned once, and a few entries."""

from __future__ import annotations

from datetime import date
from functools import cache

from scheduler.journal.context import Context
from scheduler.journal.words import read_words
from scheduler.plan import Plan
from scheduler.progress import Entry
from scheduler.service import planning, seasons
from tests.command import EXAMPLES

CLOCK = seasons.Clock(date(2026, 11, 25), "UTC")
SPECIES = ("lion's mane", "nameko", "oyster", "shiitake", "wine cap")


@cache
def plan_of(name: str) -> Plan:
    """The plan of an example."""
    return planning.plan_season(*seasons.read(EXAMPLES / name, CLOCK, None))


def begun(name: str = "backyard", today: date | None = None) -> Context:
    """An example of which nothing is recorded yet, on a day; by default long after everything was planned."""
    plan = plan_of(name)
    return Context(plan, (), today or date(2027, 6, 30), SPECIES, begins=plan.season.today)


def after(context: Context, *lines: tuple[str, date]) -> Context:
    """The context once these lines were recorded, each on its day; nothing is judged."""
    for text, on in lines:
        context = context.after(*read_words(text.split(), on, context))
    return context


def growing() -> Context:
    """The backyard on 12 Feb: its grain grows and is ready, the bags of wine cap wait for their spawn."""
    plan = plan_of("backyard")
    context = Context(plan, (), date(2027, 2, 20), SPECIES, begins=plan.season.today)
    return after(
        context,
        ("cooked WIN-G1a", date(2027, 1, 17)),
        ("cooked SHI-G1a", date(2027, 1, 23)),
        ("inoculated WIN-G1a", date(2027, 1, 24)),
        ("inoculated SHI-G1a", date(2027, 1, 24)),
        ("cooked WIN-Sa", date(2027, 2, 6)),
        ("ready WIN-G1a", date(2027, 2, 10)),
        ("inoculated WIN-Sa", date(2027, 2, 14)),
    )


def read(text: str, on: date, context: Context) -> tuple[Entry, ...]:
    """The entries of a line as it is typed."""
    return read_words(text.split(), on, context)
