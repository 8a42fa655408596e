"""The outdoor works: planting and preparing chips, with the lags between them; felling is apart."""

from __future__ import annotations

from datetime import date

from scheduler.lines.shapes import Demand, Sizing
from scheduler.problem import drying, felling, needs, yard
from scheduler.problem.draft import Draft
from scheduler.problem.shapes import Point, Work
from scheduler.season.season import Planting
from scheduler.trade.shapes import Method


def write(draft: Draft, sizing: Sizing) -> None:
    """Write the yard works of all plantings and the lags between them."""
    for planting in draft.season.plantings:
        demand = sizing.demand(planting.name)
        method = draft.catalogue.methods[planting.method]
        _plant(draft, planting, demand, method)
        if method.wood == "chips":
            _chips(draft, planting, demand)
        if method.wood != "chips" and yard.is_down(planting, draft.season.today):
            felling.felled_before(draft, planting, dries=method.wood == "logs")
        elif method.wood == "logs":
            felling.to_fell(draft, planting, demand)


def _plant(draft: Draft, planting: Planting, demand: Demand, method: Method) -> None:
    calendar, season = draft.calendar, draft.season
    name = yard.plant(planting.name)
    window = draft.rule(
        f"window:{planting.name}",
        "window",
        f"planting[{planting.index}].window",
        facts={
            "planting": planting.name,
            "from": str(planting.window[0]),
            "to": str(planting.window[1]),
        },
    )
    hours, own_days = draft.hours()
    helped = {calendar.count.number(help_.on) for help_ in season.help}
    limits = [
        (window, calendar.between(*planting.window)),
        (hours, own_days | frozenset(day for day in helped if 0 <= day <= calendar.horizon)),
        draft.present(),
        draft.begun(),
        *needs.limits(draft, yard.planting_need(demand)),
    ]
    if season.site.ground_thaws and "ground_thaws" in method.needs:
        thaw = draft.rule(
            "ground_thaws",
            "ground_thaws",
            "[site].ground_thaws",
            facts={"date": str(season.site.ground_thaws)},
        )
        limits.append((thaw, calendar.between(season.site.ground_thaws, None)))
    minutes = yard.minutes_of(demand, ("plant",))
    unsoaked = drying.unsoaked(draft, planting, yard.SOAKED_WITHIN) if method.wood == "logs" else {}
    draft.add(
        Work(
            name,
            draft.limits(*limits),
            tables={"unsoaked": unsoaked} if unsoaked else {},
            table_rule=yard.drying_rule(draft, planting) if unsoaked else window,
            last_tables={"fallback": _fallback(draft, planting)},
            pieces=demand.pieces,
            least=yard.least(minutes),
            span=drying.planting_span(draft),
        )
    )
    yard.add_minutes(draft, name, minutes)
    draft.drill_minutes[name] = sum(step.drill_per_piece for step in demand.steps if step.kind == "plant")


def _fallback(draft: Draft, planting: Planting) -> dict[int, int]:
    """The next day with hours inside the window after each last planting day; the day itself if none."""
    calendar = draft.calendar
    inside = calendar.with_hands(*planting.window)
    return {day: next((later for later in inside if later > day), day) for day in range(calendar.horizon + 1)}


def _chips(draft: Draft, planting: Planting, demand: Demand) -> None:
    name = yard.prepare_chips(planting.name)
    how = planting.chips or "wetted in place"
    days = draft.catalogue.methods[planting.method].figures[yard.CHIP_FIGURES[how]]
    least, most = round(days.lowest), round(days.highest)
    minutes = yard.minutes_of(demand, ("prepare-chips",))
    done_on = _done_on(demand, draft.season.today, most)
    left = demand.begun.chips_left if demand.begun and done_on else demand.pieces
    if left:
        _prepare(draft, planting, left, minutes)
    begun = f"{planting.name}:chips:down" if done_on and left else name
    if done_on:
        day = draft.calendar.count.number(done_on)
        pieces = left or demand.pieces
        draft.add(Work(begun, draft.limits(draft.done(day)), pieces=pieces, least=pieces))
    rule = draft.rule(
        f"chips:{planting.name}",
        "chips_preparation",
        f"planting[{planting.index}].chips",
        facts={"planting": planting.name, "how": how, "least": str(least), "most": str(most)},
    )
    draft.lag(rule, Point(name, "last"), Point(yard.plant(planting.name)), least)
    draft.lag(rule, Point(begun), Point(yard.plant(planting.name)), None, most)


def _done_on(demand: Demand, today: date, most: int) -> date | None:
    """Day on which chips were prepared that can still be planted within `most` days; else they are anew."""
    on = demand.begun and demand.begun.chips_on
    return on if on and (today - on).days < most else None


def _prepare(draft: Draft, planting: Planting, pieces: int, minutes: int) -> None:
    name = yard.prepare_chips(planting.name)
    draft.add(
        Work(
            name,
            draft.limits(
                draft.hours(),
                draft.present(),
                draft.begun(),
                *needs.limits(draft, yard.chips_need(planting.name)),
            ),
            pieces=pieces,
            least=yard.least(minutes),
            span=yard.CHIPS_SPAN,
        )
    )
    draft.yard_minutes[name] = minutes
