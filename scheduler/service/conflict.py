"""What is said of a season that does not fit: the statements that clash, and what they are said about.

A clash may name nature alone, or a single statement of the season file, because size, window and today are
not rules that could be left out. Then they are told beside it, for the plantings that it concerns.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from scheduler import measures
from scheduler.errors import SeasonError
from scheduler.lines.sizing import size
from scheduler.plan import Statement
from scheduler.present.words import statement
from scheduler.problem.compile import compile_season
from scheduler.problem.relax import leave_out, rules_of
from scheduler.problem.shapes import Problem, Rule
from scheduler.problem.tighten import Contradiction, tighten
from scheduler.season.season import Planting, Season
from scheduler.service.edit import without_plantings
from scheduler.solve.explain import explain
from scheduler.solve.fits import fits
from scheduler.solve.look import Effort
from scheduler.solve.params import Budget
from scheduler.trade.catalogue import Catalogue

ABOUT = "about:"
"""Begins the rule of a statement that is no part of the clash itself."""

ENOUGH = 2
"""Statements of the season file that make a clash plain."""

UNITS = 2.0
"""Deterministic units for asking which plantings a clash concerns."""

WORK = frozenset({"hours", "drills"})
SPAWN = frozenset({"home", "cooker", "shelf", "fridge", "tank"})
"""Rules that depend on how large a planting is, by its work or by its spawn; all others depend on days."""


@dataclass(frozen=True)
class Conflict:
    """The rules that clash, and all that is said of them."""

    rules: tuple[Rule, ...]
    statements: tuple[Statement, ...]


def conflict(season: Season, catalogue: Catalogue, problem: Problem) -> Conflict:
    """The smallest set of rules that leave no plan; where few are the grower's, with what they are about."""
    rules = tuple(problem.rules[name] for name in explain(problem, Budget()))
    said = {words: rule for rule in reversed(rules) for words in [statement(rule.kind, rule.facts)]}
    clash = tuple(Statement(rule.name, rule.key, words) for words, rule in reversed(said.items()))
    own = [rule for rule in rules if rule.key and not rule.key.startswith("profiles/")]
    if not rules or len(own) >= ENOUGH:
        return Conflict(rules, clash)
    told = {rule.name for rule in rules}
    about = (
        Statement(f"{ABOUT}{rule.name}", rule.key, statement(rule.kind, rule.facts))
        for rule in _context(season, catalogue, problem, rules)
        if rule.name not in told
    )
    return Conflict(rules, (*clash, *about))


def _context(
    season: Season, catalogue: Catalogue, problem: Problem, rules: tuple[Rule, ...]
) -> Iterator[Rule]:
    """What a clash leaves unsaid: sizes where amounts clash, else windows, stock and today."""
    kinds = {rule.kind for rule in rules}
    old = {rule.facts["stage"] for rule in rules if rule.kind == "keeps"}
    amounts = kinds & (WORK | SPAWN)
    for planting in concerned(season, catalogue, rules):
        if amounts:
            yield _size(season, catalogue, planting, spawn=not amounts & WORK)
        else:
            yield problem.rules[f"window:{planting.name}"]
            yield from _in_hand(season, planting, old)
    if not amounts:
        # The day before which nothing is done, under the key that says it.
        is_put_off = season.no_work_before > season.today
        yield problem.rules["no_work_before"] if is_put_off else _today(season)


def concerned(season: Season, catalogue: Catalogue, rules: tuple[Rule, ...]) -> tuple[Planting, ...]:
    """The plantings that rules speak of; where they name none, the fewest for which they cannot all hold."""
    named = {rule.facts["planting"] for rule in rules if "planting" in rule.facts}
    if named:
        return tuple(planting for planting in season.plantings if planting.name in named)
    names, effort = {rule.name for rule in rules}, Effort(Budget())
    left = list(season.plantings)
    for planting in sorted(season.plantings, key=lambda planting: -planting.priority):
        others = [one for one in season.plantings if one is planting or one not in left]
        if len(left) > 1 and _clash(without_plantings(season, others), catalogue, names, effort):
            left.remove(planting)
    return tuple(left)


def _clash(season: Season, catalogue: Catalogue, rules: set[str], effort: Effort) -> bool:
    """Whether these rules alone surely leave a season without a plan."""
    try:
        whole = compile_season(season, catalogue, size(season, catalogue, "bare", {}))
    except SeasonError:
        return False
    problem = leave_out(whole, set(rules_of(whole)) - rules)
    windows = tighten(problem)
    return isinstance(windows, Contradiction) or fits(problem, windows, effort, until=UNITS) is False


def _size(season: Season, catalogue: Catalogue, planting: Planting, *, spawn: bool) -> Rule:
    demand = size(season, catalogue, "bare", {}).demand(planting.name)
    minutes = sum(step.minutes_per_piece for step in demand.steps if step.kind == "plant") * demand.pieces
    facts = {
        "planting": planting.name,
        "size": demand.size,
        **(
            {"spawn": measures.mass(demand.spawn_g, season.units)}
            if spawn
            else {
                "hours": measures.duration(minutes),
                "days": str(round(catalogue.lab.opened_bag.likely)),
            }
        ),
    }
    lengths = [group.length_cm for group in planting.groups]
    key = "area" if not lengths else "stumps" if None in lengths else "logs"
    return Rule(f"size:{planting.name}", "size", f"planting[{planting.index}].{key}", facts=facts)


def _in_hand(season: Season, planting: Planting, stages: set[str]) -> Iterator[Rule]:
    """Cultures and spawn in hand of a planting's strain, in stages that keep too short a time."""
    for index, stock in enumerate(season.stock):
        if stock.code == planting.code and stock.stage in stages:
            key = f"stock[{index}].{'started' if stock.started else 'received'}"
            facts = {"stage": stock.stage, "species": stock.species, "date": str(stock.since)}
            yield Rule(key, "in_hand", key, facts=facts)


def _today(season: Season) -> Rule:
    return Rule("today", "today", "[season].today", facts={"date": str(season.today)})
