"""A season for which no plan fits: which statements clash, what would cure it, and what to do next."""

from __future__ import annotations

from rich.console import Console

from scheduler.plan import Plan, Remedy
from scheduler.present import dates
from scheduler.present.answer import plural
from scheduler.present.layout import Lines, heading, paragraph, section, write

CONFIRMED = "A second, independent look at the season came to the same result."
NOT_CONFIRMED = "A second look did not finish in its time, so this is likely but not confirmed."
NO_REMEDY = (
    "No single change was found that makes the season possible. Loosen more than one of the statements "
    "above in the season file, then plan again."
)


def show_refusal(plan: Plan, console: Console) -> None:
    """Print why no plan fits and every solved change that would make one fit."""
    width = console.width
    lines = heading(f"No plan fits {plan.season.name} as of {dates.full(plan.season.today)}.", width)
    lines += section("These cannot all hold", _conflict(plan, width), width)
    lines += section("What would make it possible, cheapest first", _remedies(plan, width), width)
    lines += section("What to do next", _next_step(plan, width), width)
    write(lines, console)


def _conflict(plan: Plan, width: int) -> Lines:
    lines: Lines = []
    for statement in plan.conflict:
        bare = statement.key.startswith("[") or not statement.key
        where = f" {statement.key}".rstrip() if bare else f" [{statement.key}]"
        lines += paragraph(statement.statement + where, width, mark="- ")
    return [*lines, *paragraph(CONFIRMED if plan.confirmed else NOT_CONFIRMED, width)]


def _remedies(plan: Plan, width: int) -> Lines:
    lines: Lines = []
    for number, remedy in enumerate(plan.remedies, start=1):
        lines += paragraph(remedy.text, width, mark=f"{number}. ")
        lines += paragraph(_terms(remedy), width, indent=5)
    return lines


def _terms(remedy: Remedy) -> str:
    terms = [
        f"how much: {remedy.amount}" if remedy.amount else "",
        f"cost: {remedy.cost}" if remedy.cost else "",
        f"touches: {' and '.join(remedy.plantings)}" if remedy.plantings else "",
        f"{plural(len(remedy.changes), 'task')} changed" if remedy.changes else "",
    ]
    return "; ".join(filter(None, terms))


def _next_step(plan: Plan, width: int) -> Lines:
    if not plan.remedies:
        return paragraph(NO_REMEDY, width)
    keys = sorted({statement.key for statement in plan.conflict if statement.key})
    where = f" The statements stand under {', '.join(keys)}." if keys else ""
    return paragraph(f"Choose one, change the season file accordingly, then plan again.{where}", width)
