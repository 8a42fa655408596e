"""The use case of `plan`: the best plan for a season, kept in its book, or the way out of a conflict."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from scheduler.errors import Fault, NoPlan, UsageError
from scheduler.plan import Plan
from scheduler.season.place import FILE
from scheduler.season.season import Season
from scheduler.service import kept
from scheduler.service.inputs import inputs_sha
from scheduler.trade.catalogue import Catalogue

if TYPE_CHECKING:
    from scheduler.service.attempt import Made
    from scheduler.solve.look import Watch


def plan_season(
    season: Season, catalogue: Catalogue, watch: Watch | None = None, *, certainty: float | None = None
) -> Plan:
    """The best plan for a season; raises as `make_season`."""
    return make_season(season, catalogue, watch, certainty=certainty).plan


def make_season(
    season: Season, catalogue: Catalogue, watch: Watch | None = None, *, certainty: float | None = None
) -> Made:
    """The best plan for a season with its basis. Raises NoPlan, with conflict and remedies, if none fits.

    Where a `certainty` (0 to 1) is asked for, spares and margins are chosen so that the chance, played out,
    reaches it.
    """
    from scheduler.assemble.aftercare import looked_after
    from scheduler.service import choice  # a kept plan is shown without the solver
    from scheduler.service.attempt import Refusal

    if certainty is not None:
        season = season.asking_for(certainty)
    outcome = choice.best(season, catalogue, watch)
    if isinstance(outcome, Refusal):
        from scheduler.service.remedies import refused

        raise NoPlan(refused(season, catalogue, outcome))
    made = outcome.made
    if certainty is not None:
        from scheduler.service.certainty import sought

        made = sought(outcome, catalogue, watch)
    return replace(made, plan=looked_after(made.plan, season, catalogue))


def plan_and_keep(
    season: Season,
    catalogue: Catalogue,
    *,
    kept_at: str,
    watch: Watch | None = None,
    certainty: float | None = None,
) -> Plan:
    """The best plan, kept in the season's book under a number. NoPlan and BookError as they come.

    Raises UsageError for a season of which something was recorded: a plan from its beginning forgets that.
    """
    recorded = kept.entries(season)
    if recorded:
        where = season.path.parent if season.path.name == FILE else season.path
        raise UsageError(
            Fault(
                str(season.path),
                f"what happened is recorded (entries: {recorded}), and a plan from the beginning forgets it",
                "a season of which nothing was recorded yet",
                f"budswell replan {where}; or look only: budswell plan {where} --no-keep",
            )
        )
    return kept.keep(season, make_season(season, catalogue, watch, certainty=certainty), kept_at)


def plan_for_views(
    season: Season, catalogue: Catalogue, *, kept_at: str, watch: Watch | None = None, keep: bool = True
) -> Plan:
    """The kept plan if it was made from the season as it stands, else a new one that is kept, if `keep`.

    Of a season under way it is always the kept one: only `replan` knows what has happened.
    """
    found = kept.kept(season, inputs_sha(season))
    if found is None and kept.entries(season):
        found = kept.newest(season)
    if found is None and not keep:
        return plan_season(season, catalogue, watch)
    return found or plan_and_keep(season, catalogue, kept_at=kept_at, watch=watch)
