"""The use case of `plan`: the best plan for a season, kept in its book, or the way out of a conflict."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scheduler.errors import NoPlan
from scheduler.plan import Plan
from scheduler.season.season import Season
from scheduler.service import kept
from scheduler.service.inputs import inputs_sha, made_with
from scheduler.trade.catalogue import Catalogue

if TYPE_CHECKING:
    from scheduler.solve.look import Watch


def plan_season(season: Season, catalogue: Catalogue, watch: Watch | None = None) -> Plan:
    """The best plan for a season. Raises NoPlan, with conflict and remedies, where none fits."""
    from scheduler.service import choice  # a kept plan is shown without the solver

    outcome = choice.best(season, catalogue, watch)
    if isinstance(outcome, Plan):
        return outcome
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
            notes=(*way.notes, *season.warnings),
        )
    )


def plan_and_keep(season: Season, catalogue: Catalogue, *, kept_at: str, watch: Watch | None = None) -> Plan:
    """The best plan, kept in the season's book under a number. NoPlan and BookError as they come."""
    return kept.keep(season, plan_season(season, catalogue, watch), kept_at)


def plan_for_views(season: Season, catalogue: Catalogue, *, kept_at: str, watch: Watch | None = None) -> Plan:
    """The kept plan if it was made from the season as it stands, else a new one that is kept."""
    found = kept.kept(season, inputs_sha(season))
    return found or plan_and_keep(season, catalogue, kept_at=kept_at, watch=watch)
