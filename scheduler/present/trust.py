"""How far a plan can be trusted: defaults taken, where its figures come from, what was proved, its notes."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence

from scheduler.measures import counted
from scheduler.plan import Assumption, FigureUsed, Plan
from scheduler.present.layout import INDENT, Column, Lines, paragraph, table

NAMED = (Column(soft=True), Column(soft=True))
AIMS = {
    "plantings": "plantings left out",
    "ideal": "short of the ideal (0 no, 1 yes)",
    "margin": "missing margin, weighted",
    "risk": "risk, weighted",
    "days": "days with work, weighted",
    "polish": "left to polish",
}
"""The aims of the search in the order in which they count; each is the better the smaller."""
_DOT = re.compile(r"(?<!\d)\.|\.(?!\d)")
"""A dot between names, not one within a number."""
SHOWN_BASES = ("own record", "memory", "common practice")


def assumed_table(assumed: Sequence[Assumption], width: int) -> Lines:
    """Defaults with what they were taken as, under the reason they share."""
    by_reason: dict[str, list[Assumption]] = defaultdict(list)
    for taken in assumed:
        by_reason[taken.why].append(taken)
    rows: list[str | tuple[str, str]] = []
    for reason, alike in by_reason.items():
        rows += [f"{reason}:", *((taken.key, taken.value) for taken in alike)]
    return table(NAMED, rows, width, indent=2 * INDENT)


def assumptions(plan: Plan, width: int) -> Lines:
    """Defaults that were taken because the season file says nothing."""
    return assumed_table(plan.season.assumed, width)


def figures(plan: Plan, width: int) -> Lines:
    """How many figures rest on what, and the names of those that no publication backs, own ones first."""
    by_basis: dict[str, list[FigureUsed]] = defaultdict(list)
    for figure in plan.figures:
        by_basis[figure.basis].append(figure)
    if not by_basis:
        return []
    counts = ", ".join(f"{len(figures)} {basis}" for basis, figures in sorted(by_basis.items()))
    rows: list[str | tuple[str, str]] = []
    for basis in SHOWN_BASES:
        if basis in by_basis:
            names = sorted({figure.name for figure in by_basis[basis]})
            rows += [f"{basis} ({len(names)})", *_by_owner(names)]
    summary = paragraph(f"{counted(len(plan.figures), 'figure')}: {counts}.", width)
    return [*summary, *table(NAMED, rows, width, indent=2 * INDENT)]


def _by_owner(names: list[str]) -> list[tuple[str, str]]:
    """Dotted names by what they belong to: ``lab.container.quart jar`` and ``sawdust, volume``."""
    owned: dict[str, list[str]] = defaultdict(list)
    for name in names:
        *path, last = _DOT.split(name)
        owned[".".join(path)].append(last)
    return [(path, ", ".join(own)) for path, own in owned.items()]


def proofs(plan: Plan, width: int) -> Lines:
    """What the search proved to be the best, and how much better the rest could be at most."""
    rows = [
        (
            AIMS.get(tier.name, tier.name),
            str(tier.value),
            "proved: nothing better exists" if tier.proved else f"not proved: {tier.bound} at best",
        )
        for tier in plan.tiers
    ]
    return table((Column("aim", soft=True), Column("value", right=True), Column(soft=True)), rows, width)


def notes(plan: Plan, width: int) -> Lines:
    """Warnings about the plan as a whole, most important first."""
    return [line for note in plan.notes for line in paragraph(note, width, mark="- ")]
