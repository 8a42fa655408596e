"""A season for which no plan fits: which statements clash, what would cure it, and what to do next."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from rich.console import Console

from scheduler.plan import Plan, Remedy, Rewrite, Statement
from scheduler.present.layout import Lines, heading, paragraph, section, write
from scheduler.present.trust import notes
from scheduler.workdays import full

CONFIRMED = "A second, independent look at the season came to the same result."
NOT_CONFIRMED = "A second look did not finish in its time, so this is likely but not confirmed."
NO_REMEDY = (
    "No single change was found that makes the season possible. Loosen more than one of the statements "
    "above in the season file, then plan again."
)

WINDOW = re.compile("(?:about:)?window:")
MOST_WINDOWS = 2
"""Windows that are told one by one; more of them are told together."""

MOST_OF_NATURE = 4
"""Kinds of rules of nature of which it is told what each is said of."""

NATURE = {
    "grown": "spawn is used only when it has run through",
    "keeps": "spawn keeps only so long",
    "growth": "mycelium takes its time to run",
    "culture_test": "an untested culture is read on plates first",
    "cook_to_inoculate": "what was cooked is inoculated soon after",
    "keep_back": "what is kept back stays until the fallback day",
    "rest": "felled wood rests",
    "drying": "felled wood dries",
    "bench_before_yard": "no inoculation on a day of felling or planting",
}
"""Rules of nature in a few words, by the part of their names before a colon."""


def show_refusal(plan: Plan, console: Console) -> None:
    """Print why no plan fits and every solved change that would make one fit."""
    write(refusal(plan, console.width), console)


def refusal(plan: Plan, width: int, take: str = "") -> Lines:
    """The lines of a refusal; `take` says how to choose a remedy where not by editing the season file."""
    lines = heading(f"No plan fits {plan.season.name} as of {full(plan.season.today)}.", width)
    lines += section("These cannot all hold", _conflict(plan, width), width)
    lines += section("What would make it possible, cheapest first", _remedies(plan, width), width)
    lines += section("Notes", notes(plan, width), width)
    next_step = paragraph(take, width) if take and plan.remedies else _next_step(plan, width)
    return [*lines, *section("What to do next", next_step, width)]


def _conflict(plan: Plan, width: int) -> Lines:
    lines = [line for said in clashes(plan) for line in paragraph(said, width, mark="- ")]
    return [*lines, *paragraph(CONFIRMED if plan.confirmed else NOT_CONFIRMED, width)]


def clashes(plan: Plan) -> list[str]:
    """The statements that cannot all hold, and what nature adds to them."""
    said = []
    own = list(filter(_in_file, plan.conflict))
    windows = [statement for statement in own if WINDOW.match(statement.rule)]
    for statement in own:
        if statement not in windows or len(windows) <= MOST_WINDOWS:
            where = statement.key if statement.key.startswith("[") else f"[{statement.key}]"
            said.append(f"{statement.statement} {where}")
    if len(windows) > MOST_WINDOWS:
        names = "; ".join(WINDOW.sub("", statement.rule, count=1) for statement in windows)
        said.append(f"{len(windows)} plantings keep to their windows: {names}")
    nature = _by_nature([statement for statement in plan.conflict if not _in_file(statement)])
    if nature:
        said.append(f"By nature: {nature}.")
    return said


def _in_file(statement: Statement) -> bool:
    """Whether a statement stands in the season file, where it could be changed."""
    return bool(statement.key) and not statement.key.startswith("profiles/")


def _by_nature(statements: Sequence[Statement]) -> str:
    """All rules of nature in one sentence: each kind once, and where there are few what it is said of."""
    said: dict[str, list[str]] = {}
    for statement in statements:
        kind, _, subject = statement.rule.partition(":")
        words = NATURE.get(kind, statement.statement.rstrip("."))
        said.setdefault(words, []).extend([subject] if subject else [])
    few = len(said) <= MOST_OF_NATURE
    return "; ".join(f"{words} ({', '.join(of)})" if of and few else words for words, of in said.items())


def _remedies(plan: Plan, width: int) -> Lines:
    lines: Lines = []
    for number, remedy in enumerate(plan.remedies, start=1):
        lines += paragraph(remedy.text, width, mark=f"{number}. ")
        lines += paragraph(terms(remedy), width, indent=5)
        if remedy.changes:
            lines += paragraph(f"in season.toml: {rewrites(remedy.changes)}", width, indent=5)
    return lines


def rewrites(changes: Sequence[Rewrite]) -> str:
    """What a remedy changes in the season file."""
    counted = Counter(_rewrite(change) for change in changes)
    return "; ".join(text if count == 1 else f"{count} times {text}" for text, count in counted.items())


def _rewrite(change: Rewrite) -> str:
    """What to write in one place: a key with its value, a block with its keys, or what to take out."""
    if change.key.endswith("]]"):
        return f"a new {change.key} with {(change.now or '').strip('{} ')}"
    if change.now is None:
        return f"take out {change.key}"
    return f"{change.key} = {change.now}" + (f" (now {change.was})" if change.was else "")


def terms(remedy: Remedy) -> str:
    """How much a remedy is, what it costs, and what it touches."""
    parts = [
        f"how much: {remedy.amount}" if remedy.amount else "",
        f"cost: {remedy.cost}" if remedy.cost else "",
        f"touches: {' and '.join(remedy.plantings)}" if remedy.plantings else "",
    ]
    return "; ".join(filter(None, parts))


def _next_step(plan: Plan, width: int) -> Lines:
    if not plan.remedies:
        return paragraph(NO_REMEDY, width)
    keys = sorted({statement.key for statement in plan.conflict if _in_file(statement)})
    where = f" The statements stand under {', '.join(keys)}." if keys else ""
    return paragraph(f"Choose one, change the season file accordingly, then plan again.{where}", width)
