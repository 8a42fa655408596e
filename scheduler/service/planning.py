"""The use case of `plan`: the best plan for a season, kept in its book, or the way out of a conflict."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.errors import Fault, NoPlan, UsageError
from scheduler.plan import Plan
from scheduler.season.place import FILE, season_file
from scheduler.season.season import Season
from scheduler.service import basis_text, kept, seasons
from scheduler.service.inputs import inputs_sha
from scheduler.trade.catalogue import Catalogue

if TYPE_CHECKING:
    from scheduler.book.store import KeptPlan
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
    recorded = kept.entries(season.path)
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

    A plan that was made on an earlier day holds for as long as none of its work, and no order, lies before
    today; after that what is left undone is planned anew, for the chance that was asked for then. Of a season
    under way it is always the kept one: only `replan` knows what has happened.
    """
    found = kept.newest(season)
    certainty: float | None = None
    if found is not None:
        if kept.entries(season.path):
            return found.plan
        if _is_made_from(found.plan, season):
            if _holds_on(season.today, found.plan):
                return found.plan
            certainty = _asked_for(found)
    if not keep:
        return plan_season(season, catalogue, watch, certainty=certainty)
    return plan_and_keep(season, catalogue, kept_at=kept_at, watch=watch, certainty=certainty)


def plan_ahead(
    path: Path, clock: seasons.Clock, today: date | None, *, kept_at: str, watch: Watch | None = None
) -> None:
    """Sees to it that the season at `path` has a kept plan, as `plan_for_views` does; raises as it does, and
    as `seasons.read`.

    Of a season under way all windows may be over.
    """
    under_way = kept.entries(season_file(path)) > 0
    season, catalogue = seasons.read(path, clock, today, keep_over=under_way)
    plan_for_views(seasons.with_kept_id(season), catalogue, kept_at=kept_at, watch=watch)


def _is_made_from(plan: Plan, season: Season) -> bool:
    """Whether a plan was made from a season as it stands, be it on another day."""
    return plan.inputs_sha == inputs_sha(replace(season, today=plan.season.today))


def _holds_on(today: date, plan: Plan) -> bool:
    """Whether a plan of which nothing was recorded has nothing that should have been done by a day."""
    days = [task.on for task in plan.work()]
    days += [order.order_by for order in plan.orders if not order.late]
    return plan.season.today <= today <= min(days, default=today)


def _asked_for(found: KeptPlan) -> float | None:
    """The chance that a kept plan was asked for; None where none was, or where it does not say."""
    try:
        return basis_text.from_text(found.basis or "").certainty
    except ValueError:
        return None
