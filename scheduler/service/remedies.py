"""Looks for the smallest changes that make an impossible season possible; each one listed has been solved."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Protocol

from scheduler import measures
from scheduler.assemble.plan import head
from scheduler.errors import SeasonError
from scheduler.plan import Plan, Remedy, Rewrite, Statement
from scheduler.present.words import only_planting, tried
from scheduler.problem.rooms import cooker_name
from scheduler.season.rewrite import rewrite
from scheduler.season.season import Season
from scheduler.service.attempt import Refusal, attempt, can_be_planned
from scheduler.service.autumn_edits import HALVES
from scheduler.service.conflict import conflict
from scheduler.service.dormant_edits import PUT_OFF
from scheduler.service.edit import Edit, Family
from scheduler.service.edits import families
from scheduler.service.inputs import inputs_sha, made_with
from scheduler.service.planting_edits import GIVE_UP
from scheduler.solve.look import Effort
from scheduler.solve.params import Budget
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import full

MOST_OF_A_KIND = 2
MOST = {GIVE_UP: 1, HALVES: 1}
"""Remedies of one kind that are listed: more of them are more of the same, and each has to be planned."""

UNITS = 12.0
"""Deterministic units for asking which edits fit; once they are spent only `LAST` are looked at."""

LAST = frozenset({PUT_OFF, GIVE_UP})
"""Ways out that are looked at however long the others took."""

MOST_DAYS = 4
"""So many days of a borrowed vessel are named one by one."""

PLANNED = Budget(0.5)
"""For the plan of a remedy, whose days are printed: most meet all aims, or are proved best, in less."""


@dataclass(frozen=True)
class WayOut:
    """The conflict of a refused season, and what would cure it."""

    conflict: tuple[Statement, ...]
    remedies: tuple[Remedy, ...]
    notes: tuple[str, ...] = ()
    """What else a grower wants to know: why nothing is given up, and which changes were tried in vain."""


class Planner(Protocol):
    """Who plans a season that was changed: from its beginning, or onward from where it stands."""

    def planted(self) -> Mapping[str, int]:
        """Pieces that are planted already, by planting."""

    def plan(self, season: Season, catalogue: Catalogue, budget: Budget) -> Plan | Refusal:
        """The plan of a season, or its refusal."""

    def fits(self, season: Season, catalogue: Catalogue, effort: Effort) -> bool:
        """Whether a plan with the fewest spares was found; no aim of it is sought."""


class FromTheBeginning:
    """Plans a season of which nothing has been done."""

    def planted(self) -> Mapping[str, int]:
        """Nothing is planted yet."""
        return {}

    def plan(self, season: Season, catalogue: Catalogue, budget: Budget) -> Plan | Refusal:
        """The plan of a season, or its refusal."""
        return attempt(season, catalogue, budget=budget)

    def fits(self, season: Season, catalogue: Catalogue, effort: Effort) -> bool:
        """Whether a plan with the fewest spares was found."""
        return can_be_planned(season, catalogue, effort)


def refused(season: Season, catalogue: Catalogue, refusal: Refusal, planner: Planner | None = None) -> Plan:
    """The refusal of a season as it is shown: why it has no plan, and what would cure it."""
    way = ways_out(season, catalogue, refusal, planner)
    return Plan(
        status="none",
        plan_no=None,
        inputs_sha=inputs_sha(season),
        season=head(season, made_with()),
        conflict=way.conflict,
        confirmed=refusal.confirmed,
        remedies=way.remedies,
        notes=(*way.notes, *season.warnings),
    )


def ways_out(
    season: Season, catalogue: Catalogue, refusal: Refusal, planner: Planner | None = None
) -> WayOut:
    """The smallest set of statements that clash, and ranked remedies that touch it."""
    planner = planner or FromTheBeginning()
    clash = conflict(season, catalogue, refusal.problem)
    kinds = frozenset(rule.kind for rule in clash.rules)
    named = frozenset(rule.facts["planting"] for rule in clash.rules if "planting" in rule.facts)
    effort = Effort(Budget())
    found: list[tuple[int, int, Remedy]] = []
    looked_at: dict[str, None] = {}
    every = families(season, catalogue, kinds, named, planner.planted())
    for family in sorted(every, key=lambda family: family.cost):
        if sum(remedy.kind == family.kind for _, _, remedy in found) >= MOST.get(family.kind, MOST_OF_A_KIND):
            continue
        if effort.units > UNITS and family.kind not in LAST:
            continue
        # Where one planting is enough nobody changes two.
        if any(r.kind == family.kind and set(r.plantings) < set(family.plantings) for _, _, r in found):
            continue
        # Nobody waits for another season who can mend this one.
        if family.kind == PUT_OFF and any(remedy.kind != PUT_OFF for _, _, remedy in found):
            continue
        looked_at[family.kind] = None
        cure = _smallest(family, catalogue, effort, planner)
        remedy = cure and _carried_out(season, family, cure, catalogue, planner)
        if cure and remedy:
            found.append((family.cost, family.edits.index(cure), remedy))
    found.sort(key=lambda row: row[:2])
    remedies = tuple(remedy for _, _, remedy in found)
    return WayOut(clash.statements, remedies, tuple(_notes(season, remedies, tuple(looked_at))))


def _notes(season: Season, remedies: tuple[Remedy, ...], looked_at: tuple[str, ...]) -> Iterator[str]:
    if not remedies and looked_at:
        yield tried(looked_at)
    if len(season.plantings) == 1:
        yield only_planting(season.plantings[0].name)


def _smallest(family: Family, catalogue: Catalogue, effort: Effort, planner: Planner) -> Edit | None:
    """The smallest edit of a family with which the bare season fits; a larger one never fits worse."""
    edits = family.edits
    if not planner.fits(edits[-1].season, catalogue, effort):
        return None
    low, high = 0, len(edits) - 1
    while low < high:
        middle = (low + high) // 2
        if planner.fits(edits[middle].season, catalogue, effort):
            high = middle
        else:
            low = middle + 1
    return edits[low]


def _carried_out(
    season: Season, family: Family, edit: Edit, catalogue: Catalogue, planner: Planner
) -> Remedy | None:
    """The remedy, where the season file can say it and what it then says has a plan."""
    try:
        rewritten = rewrite(season, (family.written or edit).season, catalogue)
    except SeasonError:
        return None
    plan = planner.plan(rewritten.season, catalogue, PLANNED)
    return _remedy(season, family, edit, plan, rewritten.changes) if isinstance(plan, Plan) else None


def _remedy(season: Season, family: Family, edit: Edit, plan: Plan, changes: tuple[Rewrite, ...]) -> Remedy:
    named = [p for p in plan.plantings if p.name in family.plantings] or list(plan.plantings)
    dates = "; ".join(f"{p.name} on {', '.join(full(day) for day in p.plant_on)}" for p in named)
    orders = [o for o in plan.orders if "spawn" in o.item and set(o.for_) & set(family.plantings)]
    bought = orders and family.kind.startswith("buy ")
    ordered = f" Order it by {full(min(o.order_by for o in orders))}." if bought else ""
    used, attended = _borrowed(season, plan)
    lab = sum(task.minutes for task in plan.tasks if task.place == "lab")
    hours = f"{round(lab / 60)} h of lab work in all"
    return Remedy(
        kind=family.kind,
        amount=edit.amount,
        text=f"{edit.text}{used}{ordered} It could then be planted: {dates}.",
        cost="; ".join(filter(None, (family.price, attended, hours))),
        plantings=family.plantings,
        changes=changes,
    )


def _borrowed(season: Season, plan: Plan) -> tuple[str, str]:
    """When a vessel that the lab does not have is used, in a sentence; and how long somebody is at home."""
    own = {cooker_name(place, cooker) for place, cooker in enumerate(season.lab.cookers)}
    loads = [load for load in plan.loads if load.cooker not in own]
    if not loads:
        return "", ""
    days = list(dict.fromkeys(full(load.on) for load in loads))
    first = days if len(days) <= MOST_DAYS else [days[0], f"{len(days) - 2} more days", days[-1]]
    attended = sum(load.attended_minutes for load in loads)
    return (
        f" What is borrowed is used on {', '.join(first)}.",
        f"{measures.duration(attended)} at home beside it",
    )
