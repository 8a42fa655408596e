"""When trees are dormant: the days on which wood may be felled, by the two dates of the site."""

from __future__ import annotations

from scheduler.problem.calendar import Calendar
from scheduler.problem.draft import Draft
from scheduler.season.season import Site


def limits(draft: Draft) -> list[tuple[str, frozenset[int]]]:
    """Day limits of felling, one for each of the two dates, which are the grower's own."""
    site = draft.season.site
    return [
        (draft.rule(key, key, f"[site].{key}", facts={"date": str(getattr(site, key))}), days)
        for key, days in zip(("leaf_turn", "bud_swell"), dormant_days(draft.calendar, site), strict=True)
    ]


def dormant_days(calendar: Calendar, site: Site) -> tuple[frozenset[int], frozenset[int]]:
    """Days on which the leaves have turned, and days before the buds swell (that day is too late).

    A leaf turn after the bud swell is the next autumn's: between the two nothing is felled.
    """
    count = calendar.count
    turn = None if site.leaf_turn is None else count.number(site.leaf_turn)
    swell = None if site.bud_swell is None else count.number(site.bud_swell)
    turned = calendar.days(lambda day: turn is None or day >= turn)
    unswollen = calendar.days(lambda day: swell is None or day < swell)
    if turn is not None and swell is not None and swell < turn:
        return turned | unswollen, turned | unswollen
    return turned, unswollen
