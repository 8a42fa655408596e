"""Looks for the smallest changes that make an impossible season possible; each one listed has been solved."""

from __future__ import annotations

from dataclasses import dataclass, replace

from scheduler.lines.sizing import size
from scheduler.plan import Plan, Remedy, Statement
from scheduler.present.dates import full
from scheduler.present.words import statement
from scheduler.problem.compile import compile_season
from scheduler.season.season import Season
from scheduler.service.attempt import Refusal, attempt
from scheduler.service.edit import Edit, Family
from scheduler.service.edits import families
from scheduler.service.planting_edits import GIVE_UP
from scheduler.solve.explain import explain
from scheduler.solve.params import Budget
from scheduler.solve.search import Found, solve
from scheduler.trade.catalogue import Catalogue

SHORT = Budget(0.3)
"""A remedy is shown to be possible; it need not be the best plan that could be found."""


@dataclass(frozen=True)
class WayOut:
    """The conflict of a refused season, and what would cure it."""

    conflict: tuple[Statement, ...]
    remedies: tuple[Remedy, ...]


def ways_out(season: Season, catalogue: Catalogue, refusal: Refusal) -> WayOut:
    """The smallest set of statements that clash, and ranked remedies that touch it."""
    names = explain(refusal.problem, Budget())
    rules = [refusal.problem.rules[name] for name in names]
    said = {statement(rule.kind, rule.facts): rule for rule in reversed(rules)}
    conflict = tuple(Statement(r.name, r.key, words) for words, r in reversed(said.items()))
    kinds = frozenset(rule.kind for rule in rules)
    named = frozenset(rule.facts["planting"] for rule in rules if "planting" in rule.facts)
    found: list[tuple[int, int, Remedy]] = []
    for family in families(season, catalogue, kinds, named):
        if family.kind == GIVE_UP and any(remedy.kind == GIVE_UP for _, _, remedy in found):
            continue  # one planting less is enough: which one is said by the order of priority
        cure = _smallest(family, catalogue)
        if cure is None:
            continue
        plan = attempt(cure.season, catalogue, budget=SHORT)
        if isinstance(plan, Plan):
            found.append((family.cost, family.edits.index(cure), _remedy(family, cure, plan)))
    found.sort(key=lambda row: row[:2])
    return WayOut(conflict, tuple(remedy for _, _, remedy in found))


def _smallest(family: Family, catalogue: Catalogue) -> Edit | None:
    """The smallest edit of a family with which the bare season fits; a larger one never fits worse."""
    edits = family.edits
    if not _fits(edits[-1], catalogue):
        return None
    low, high = 0, len(edits) - 1
    while low < high:
        middle = (low + high) // 2
        if _fits(edits[middle], catalogue):
            high = middle
        else:
            low = middle + 1
    return edits[low]


def _fits(edit: Edit, catalogue: Catalogue) -> bool:
    sizing = size(edit.season, catalogue, "bare", {})
    problem = compile_season(edit.season, catalogue, sizing)
    rules_only = replace(problem, terms=(), day_cost=None, pushes=())
    return isinstance(solve(rules_only, budget=SHORT), Found)


def _remedy(family: Family, edit: Edit, plan: Plan) -> Remedy:
    named = [p for p in plan.plantings if p.name in family.plantings] or list(plan.plantings)
    dates = "; ".join(f"{p.name} on {', '.join(full(day) for day in p.plant_on)}" for p in named)
    orders = [o for o in plan.orders if "spawn" in o.item and set(o.for_) & set(family.plantings)]
    ordered = f" Order it by {full(min(o.order_by for o in orders))}." if orders else ""
    lab = sum(task.minutes for task in plan.tasks if task.place == "lab")
    return Remedy(
        kind=family.kind,
        amount=edit.amount,
        text=f"{edit.text}{ordered} It could then be planted: {dates}.",
        cost=f"{family.price}; {round(lab / 60)} h of lab work in all",
        plantings=family.plantings,
    )
