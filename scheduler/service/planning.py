"""The use case of `plan`: the best plan for a season, kept in its book, or the way out of a conflict."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from scheduler.errors import NoPlan, SeasonError
from scheduler.plan import Plan
from scheduler.season.season import Season
from scheduler.service import kept
from scheduler.service.inputs import inputs_sha, made_with
from scheduler.trade.catalogue import Catalogue

if TYPE_CHECKING:
    from scheduler.solve.look import Watch


def plan_season(season: Season, catalogue: Catalogue, watch: Watch | None = None) -> Plan:
    """The best plan for a season. Raises NoPlan, with conflict and remedies, where none fits."""
    from scheduler.service.attempt import Refusal, attempt  # a kept plan is shown without the solver

    made, bought = _with_either(season, "make"), _with_either(season, "buy")
    outcome: Plan | Refusal | None = None
    try:
        outcome = attempt(made, catalogue, watch=watch)
    except SeasonError:
        if bought == made:
            raise  # nothing may be bought instead of what the lab cannot make
    if not isinstance(outcome, Plan) and bought != made:
        second = attempt(bought, catalogue, watch=watch)
        outcome = second if isinstance(second, Plan) or outcome is None else outcome
    if isinstance(outcome, Plan):
        return outcome
    assert outcome is not None
    from scheduler.assemble.plan import head
    from scheduler.service.remedies import ways_out

    way = ways_out(season, catalogue, outcome)
    raise NoPlan(
        Plan(
            status="none",
            plan_no=None,
            inputs_sha=inputs_sha(season),
            season=head(season, made_with()),
            conflict=way.conflict,
            confirmed=outcome.confirmed,
            remedies=way.remedies,
            notes=season.warnings,
        )
    )


def _with_either(season: Season, spawn: str) -> Season:
    """The season with every planting that may be either set to one of them."""
    return replace(
        season,
        plantings=tuple(replace(p, spawn=spawn) if p.spawn == "either" else p for p in season.plantings),
    )


def plan_and_keep(season: Season, catalogue: Catalogue, *, kept_at: str, watch: Watch | None = None) -> Plan:
    """The best plan, kept in the season's book under a number. NoPlan and BookError as they come."""
    return kept.keep(season, plan_season(season, catalogue, watch), kept_at)


def plan_for_views(season: Season, catalogue: Catalogue, *, kept_at: str, watch: Watch | None = None) -> Plan:
    """The kept plan if it was made from the season as it stands, else a new one that is kept."""
    found = kept.kept(season, inputs_sha(season))
    return found or plan_and_keep(season, catalogue, kept_at=kept_at, watch=watch)
