"""A plan on the screen, the answer first: the order of its sections, each of which is made elsewhere."""

from __future__ import annotations

from collections.abc import Callable

from rich.console import Console

from scheduler.plan import Plan
from scheduler.present import aftercare, answer, bench, cautions, todo, trust
from scheduler.present.changes import changes
from scheduler.present.layout import Lines, section, write
from scheduler.present.leftover import leftover
from scheduler.present.refusal import show_refusal
from scheduler.present.shopping import shopping
from scheduler.present.sought import sought
from scheduler.present.timeline import timeline

SECTIONS: tuple[tuple[str, Callable[[Plan, int], Lines]], ...] = (
    ("What has changed", changes),
    ("The chance that was asked for", sought),
    ("Gates", answer.gates),
    ("Timeline", timeline),
    ("Plantings", answer.planting_details),
    ("Standing already", aftercare.standing),
    ("Care after planting", aftercare.care),
    ("Batches", bench.batches),
    ("Left over", leftover),
    ("Family tree", bench.family_tree),
    ("Spares", bench.spares),
    ("Make or buy", bench.make_or_buy),
    ("Shopping list", shopping),
    ("The next two weeks of work", todo.two_weeks),
    ("Cautions", cautions.cautions),
    ("Assumed", trust.assumptions),
    ("Where the figures come from", trust.figures),
    ("What the search proved", trust.proofs),
    ("Notes", trust.notes),
)


def show_plan(plan: Plan, console: Console) -> None:
    """Print a plan, the answer first; a refusal is printed as one."""
    if plan.status == "none":
        show_refusal(plan, console)
        return
    width = console.width
    lines = [
        *answer.first_things(plan, width),
        *answer.season_facts(plan, width),
        *answer.plantings(plan, width),
    ]
    for heading, make in SECTIONS:
        lines += section(heading, make(plan, width), width)
    write(lines, console)


__all__ = ["show_plan", "show_refusal"]
