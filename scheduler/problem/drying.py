"""How wood dries between felling and planting: the last days on which it is moist enough, as tables."""

from __future__ import annotations

from scheduler.lines import logs
from scheduler.problem.draft import Draft
from scheduler.science import wood
from scheduler.season.season import Planting


def drying(draft: Draft, planting: Planting) -> tuple[list[float], float]:
    """(share of fresh mass lost before each day, fresh moisture) of a planting's logs from day 0 on."""
    calendar = draft.calendar
    _, weekly, _ = logs.weekly_loss(draft.season.site.latitude, draft.catalogue)
    origin = calendar.count.number(planting.felled) if planting.felled else 0
    months = [calendar.date(day).month for day in range(min(0, origin), calendar.horizon + 2)]
    fresh = logs.fresh_moisture(planting, draft.catalogue).likely
    return wood.cumulative_loss(months, weekly, logs.drying_factor(planting, draft.catalogue)), fresh


def tables(draft: Draft, planting: Planting) -> dict[str, dict[int, int]]:
    """Last day on which wood felled on each day may be planted: without a soak, and at all."""
    rules = draft.catalogue.wood_rules
    lost, fresh = drying(draft, planting)
    horizon = draft.calendar.horizon
    oldest = round(rules.oldest.likely)
    tables: dict[str, dict[int, int]] = {}
    for name, figure in (("moist", rules.moisture_ideal), ("dry", rules.moisture_floor)):
        limit = wood.mass_loss_at(fresh, figure.likely)
        latest = wood.latest_use_table(lost, limit)
        tables[name] = {day: min(horizon, latest[day], day + oldest) for day in range(horizon + 1)}
    return tables


def last_days(draft: Draft, planting: Planting, felled: int, *, dries: bool) -> dict[str, int]:
    """The same two days for wood felled on day `felled` (negative before today), which may not dry."""
    rules = draft.catalogue.wood_rules
    lost, fresh = drying(draft, planting)
    shift = -min(0, felled)
    last = {}
    for name, figure in (("moist", rules.moisture_ideal), ("dry", rules.moisture_floor)):
        last[name] = min(felled + round(rules.oldest.likely), draft.calendar.horizon)
        if dries:
            latest = wood.latest_use(lost, felled + shift, wood.mass_loss_at(fresh, figure.likely)) - shift
            last[name] = min(last[name], latest)
    return last


def planting_span(draft: Draft) -> int:
    """Days from first to last planting day, so that no opened bag gets too old."""
    return round(draft.catalogue.lab.opened_bag.likely)


def unsoaked(draft: Draft, planting: Planting, within: int) -> dict[int, int]:
    """Until when logs have to be moist by themselves, by first planting day; 0 where they can be soaked.

    They are soaked up to `within` days before. Empty where they can be soaked before every day of the window.
    """
    calendar = draft.calendar
    _, begun = draft.begun()
    there = begun - calendar.away
    can_soak = calendar.days(lambda day: any(day - before in there for before in range(1, within + 1)))
    if calendar.between(*planting.window) <= can_soak:
        return {}
    span = planting_span(draft)
    last = {day: min(calendar.horizon, day + span) for day in range(calendar.horizon + 1)}
    return {day: 0 if day in can_soak else last[day] for day in last}
