"""The chance that was asked for: what was reached, added and left out, and what keeps it from more."""

from __future__ import annotations

from collections.abc import Iterator

from scheduler.measures import counted, duration
from scheduler.plan import Fails, Plan, Sought, Step
from scheduler.present.chances import percent, sure, whole
from scheduler.present.layout import Column, Lines, paragraph, table
from scheduler.present.words import stage

FACTS = (Column(), Column(soft=True))
STEPS = (
    Column("line"),
    Column("against the usual plan", soft=True),
    Column("points", right=True),
    Column("+-", right=True),
    Column("work"),
)


def sought(plan: Plan, width: int) -> Lines:
    """Wish, chance and work of a plan that was made for a chance, beside those of the usual one."""
    found = plan.sought
    if found is None:
        return []
    usual = f"(the usual plan: {sure(found.usual, found.usual_stderr, found.seasons)})"
    played = f"of {found.seasons} seasons played with seed {found.seed}"
    plans = f"the best of {counted(found.plans, 'plan')}"
    work = f"{duration(found.minutes)}, an hour for each day with work included"
    facts = (
        ("asked for", whole(found.wished)),
        ("reached", f"{sure(found.reached, found.stderr, found.seasons)} {usual}, {played}; {plans}"),
        ("lab work", f"{work} (the usual plan: {duration(found.usual_minutes)})"),
    )
    return [
        *table(FACTS, facts, width),
        *_steps(found, width),
        *(line for text in _limits(found) for line in paragraph(text, width)),
    ]


def _steps(found: Sought, width: int) -> Lines:
    if not found.steps:
        return paragraph("Nothing differs from the usual plan.", width)
    rows = [
        (step.line, _what(step), f"{100 * step.buys:+.2f}", f"{100 * step.stderr:.2f}", _work(step))
        for step in found.steps
    ]
    told = (
        "Points of chance for all plantings, in the very same seasons: what more buys, or fewer give up, "
        "with the rest as it is. Work: about what more takes, or fewer save."
    )
    return [*table(STEPS, rows, width), *paragraph(told, width)]


def _what(step: Step) -> str:
    if step.days:
        return f"{counted(step.days, 'day')} more margin before {'; '.join(step.plantings)}"
    return f"{abs(step.units)} {'more' if step.units > 0 else 'fewer'}: {stage(step.stage)}"


def _work(step: Step) -> str:
    if not step.minutes:
        return ""
    return f"{'+' if step.minutes > 0 else '-'}{duration(abs(step.minutes))}"


def _limits(found: Sought) -> Iterator[str]:
    """Why there is no more, where the chance that was asked for is not reached."""
    if not found.fails:
        return
    yield f"{whole(found.wished)} is not reached: of the plans that were made this one comes nearest to it."
    yield from (
        f"Fails in {percent(one.share, found.seasons)}: {one.planting}, {_why(one)}." for one in found.fails
    )
    for one in found.barred:
        what = f"one more unit of {stage(one.stage)}" if one.stage else "more margin"
        yield f"Not added: {one.line}, {what}: {one.why}."
    if found.ended:
        yield "The search ended with things left to try."
    else:
        yield (
            "Nothing else that could be added raises the chance by more than two standard errors: no single "
            "thing, and no two or three at once of those that bring most."
        )


def _why(one: Fails) -> str:
    if one.why == "too few":
        return f"too few good of {stage(one.stage)}"
    return "too late for the window" + ", after a redo" * (one.why == "late after a redo")
