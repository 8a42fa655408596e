"""Changes for wood that can no longer be felled: logs that are down already, or another dormant season.

Trees are dormant from leaf turn to bud swell. A season file has the dates of one dormant season; a planting
that is put off needs those of the next.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta

from scheduler.plan import Period
from scheduler.season.people import SITE_DATES
from scheduler.season.season import Planting, Season, Site
from scheduler.service.autumn_edits import a_year_from, autumn
from scheduler.service.edit import Edit, Family, with_planting
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import ONE_DAY, full

PUT_OFF = "put off to another season"

FELLING_DATES = ("leaf_turn", "bud_swell")
YEAR = timedelta(days=365)


def felled_wood(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """Logs that somebody felled while the trees were dormant: from which day on they still do."""
    for planting in subjects:
        if catalogue.methods[planting.method].wood != "logs":
            continue
        # Bought logs come with the supplies; what is down already needs no delivery in the plan itself.
        there = max(planting.window[0], season.today + timedelta(days=season.lead.supplies))
        if there > planting.window[1]:
            continue
        best = (max(planting.best[0], there), max(planting.best[1], there))
        begins = f"; they come by {full(there)}, so plant from that day on" * (there > planting.window[0])
        days = _dormant(season, catalogue, planting)
        edits = [
            Edit(
                f"felled {full(day)} or later",
                f"Get logs for {planting.name} that were felled between {full(day)} and "
                f"{full(days[-1])}{begins}.",
                with_planting(season, planting, felled=day, window=(there, planting.window[1]), best=best),
            )
            for day in days
        ]
        if edits:
            yield Family(
                "felled wood", 5, "the price of logs", (planting.name,), tuple(edits), written=edits[-1]
            )


def _dormant(season: Season, catalogue: Catalogue, planting: Planting) -> list[date]:
    """Days of the last dormant season on which wood could be felled that has rested when it is planted."""
    rest = timedelta(days=max(1, round(catalogue.species[planting.species].rest.lowest)))
    latest = min(season.today, planting.window[1] - rest)
    turn, swell = season.site.leaf_turn, season.site.bud_swell
    if turn and turn > latest:
        # A bud swell before it is this year's already.
        swell = a_year_from(swell, -1) if swell and swell > turn else swell
        turn = a_year_from(turn, -1)
    last = min(latest, swell - ONE_DAY) if swell else latest
    first = max(turn, last - YEAR) if turn else last - YEAR
    return [first + timedelta(days=day) for day in range((last - first).days + 1)]


def put_off(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """A planting, or all of them, moved to the next autumn or by a year, with wood felled then."""
    together = [subjects] if len(subjects) > 1 else []
    for moved in [*([planting] for planting in subjects), *together]:
        for cost, amount, how in ((7, "to the autumn", _to_autumn), (8, "by a year", _by_a_year)):
            found = how(season, catalogue, moved)
            if found:
                names = tuple(planting.name for planting in moved)
                edit = Edit(amount, f"Put {' and '.join(names)} off {amount}: {_said(found, names)}.", found)
                yield Family(PUT_OFF, cost, "a season's wait", names, (edit,))


def _to_autumn(season: Season, catalogue: Catalogue, moved: Sequence[Planting]) -> Season | None:
    """The plantings in the weeks after the next leaf turn; None for beds, or where that is no later."""
    there = autumn(season, catalogue, moved)
    return None if there is None else _moved(season, moved, there.site, lambda _: there.window)


def _by_a_year(season: Season, catalogue: Catalogue, moved: Sequence[Planting]) -> Season:
    """The plantings on the same days of the next year; the dates of spring go with the last of them."""
    dates = SITE_DATES if len(moved) == len(season.plantings) else FELLING_DATES
    given: dict[str, date | None] = {name: getattr(season.site, name) for name in dates}
    later = {name: day and a_year_from(day, 1) for name, day in given.items()}
    site = replace(season.site, **later)  # type: ignore[arg-type]
    return _moved(season, moved, site, lambda was: (a_year_from(was[0], 1), a_year_from(was[1], 1)))


def _moved(season: Season, moved: Sequence[Planting], site: Site, to: Callable[[Period], Period]) -> Season:
    """The season with plantings in other windows, felled anew, at a site with other dates."""
    changed = season
    for planting in moved:
        whole = planting.best == planting.window
        window = to(planting.window)
        best = window if whole or to(planting.best) == window else to(planting.best)
        # Without these dates no felling can be planned.
        felled = None if season.site.leaf_turn and season.site.bud_swell else planting.felled
        changed = with_planting(changed, planting, window=window, best=best, felled=felled)
    return replace(changed, site=site)


def _said(season: Season, names: Sequence[str]) -> str:
    windows = {p.name: p.window for p in season.plantings if p.name in names}
    each = "; ".join(
        f"{name} between {full(first)} and {full(last)}" for name, (first, last) in windows.items()
    )
    turn, swell = season.site.leaf_turn, season.site.bud_swell
    wood = f", with leaf turn about {full(turn)} and bud swell about {full(swell)}" if turn and swell else ""
    return f"{each}{wood}"
