"""The outdoor works of every planting: felling, chips, and planting itself."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date

from scheduler.lines.shapes import Demand, Sizing
from scheduler.problem import dormancy, drying, needs
from scheduler.problem.draft import Draft
from scheduler.problem.needs import Need
from scheduler.problem.shapes import Point, Work
from scheduler.season.season import People, Planting
from scheduler.trade.shapes import Method

FELLING_SPAN = 21
CHIPS_SPAN = 7
"""Days from first to last day of felling, and of preparing chips, for one planting (common practice)."""
LEAST_MINUTES = 60
"""Work that is spread over days takes at least an hour on each (or what is left of it)."""
SOAKED_WITHIN = 3
"""Days before planting within which too dry logs go into water for a day or two (common practice)."""

CHIP_FIGURES = {"wetted in place": "wet_in_place_days", "soaked": "soak_days", "fermented": "ferment_days"}
"""Figure of the method that says how many days chips are prepared before they are planted: its low from the
last day of preparing, its high from the first."""

FELLING_KINDS = ("fell", "buck", "haul")
OWN_KINDS = {"own": FELLING_KINDS, "hired": ("buck", "haul"), "bought": ()}
"""What is left to the grower of a felling, by whose work it is."""


def plant(planting: str) -> str:
    """Name of the planting work."""
    return f"{planting}:plant"


def fell(planting: str) -> str:
    """Name of the felling work."""
    return f"{planting}:fell"


def prepare_chips(planting: str) -> str:
    """Name of the work that prepares chips."""
    return f"{planting}:prepare-chips"


def planting_need(demand: Demand) -> Need | None:
    """What a planting uses up beside spawn, wood and chips; None where that is nothing."""
    return Need(plant(demand.planting), "supplies") if demand.supplies else None


def chips_need(planting: str) -> Need:
    """The chips of a bed."""
    return Need(prepare_chips(planting), "chips")


def is_down(planting: Planting, today: date) -> bool:
    """Whether the wood is down already; a later day is the one on which it is to be felled."""
    return planting.felled is not None and planting.felled <= today


def logs_need(planting: Planting, people: People, today: date) -> Need | None:
    """Logs that are delivered; None where they are felled for the grower or down already."""
    bought = people.felling == "bought" and not is_down(planting, today)
    return Need(fell(planting.name), "supplies") if bought else None


def write(draft: Draft, sizing: Sizing) -> None:
    """Write the yard works of all plantings and the lags between them."""
    for planting in draft.season.plantings:
        demand = sizing.demand(planting.name)
        method = draft.catalogue.methods[planting.method]
        _plant(draft, planting, demand, method)
        if method.wood == "chips":
            _chips(draft, planting, demand)
        if method.wood != "chips" and is_down(planting, draft.season.today):
            _felled_before(draft, planting, dries=method.wood == "logs")
        elif method.wood == "logs":
            _fell(draft, planting, demand)


def _plant(draft: Draft, planting: Planting, demand: Demand, method: Method) -> None:
    calendar, season = draft.calendar, draft.season
    name = plant(planting.name)
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
        *needs.limits(draft, planting_need(demand)),
    ]
    if season.site.ground_thaws and "ground_thaws" in method.needs:
        thaw = draft.rule(
            "ground_thaws",
            "ground_thaws",
            "[site].ground_thaws",
            facts={"date": str(season.site.ground_thaws)},
        )
        limits.append((thaw, calendar.between(season.site.ground_thaws, None)))
    minutes = _minutes(demand, ("plant",))
    unsoaked = drying.unsoaked(draft, planting, SOAKED_WITHIN) if method.wood == "logs" else {}
    draft.add(
        Work(
            name,
            draft.limits(*limits),
            tables={"unsoaked": unsoaked} if unsoaked else {},
            table_rule=_drying(draft, planting) if unsoaked else window,
            last_tables={"fallback": _fallback(draft, planting)},
            pieces=demand.pieces,
            least=_least(minutes),
            span=drying.planting_span(draft),
        )
    )
    _yard(draft, name, minutes)
    draft.drill_minutes[name] = sum(step.drill_per_piece for step in demand.steps if step.kind == "plant")


def _minutes(demand: Demand, kinds: Sequence[str]) -> int:
    """Minutes a piece of all steps of these kinds."""
    return sum(step.minutes_per_piece for step in demand.steps if step.kind in kinds)


def _least(minutes: int) -> int:
    """Fewest pieces on a day of work that takes so many minutes a piece."""
    return math.ceil(LEAST_MINUTES / max(1, minutes))


def _yard(draft: Draft, name: str, minutes: int) -> None:
    """A day of felling or planting holds no inoculation after it: the hands are not clean."""
    draft.outdoors.add(name)
    draft.yard_minutes[name] = minutes


def _fallback(draft: Draft, planting: Planting) -> dict[int, int]:
    """The next day with hours inside the window after each last planting day; the day itself if none."""
    calendar = draft.calendar
    inside = calendar.with_hands(*planting.window)
    return {day: next((later for later in inside if later > day), day) for day in range(calendar.horizon + 1)}


def _drying(draft: Draft, planting: Planting) -> str:
    return draft.nature("wood_drying", "profiles/wood.toml", f"drying:{planting.name}")


def _moist_if_unsoaked(draft: Draft, planting: Planting, rule: str) -> None:
    if drying.unsoaked(draft, planting, SOAKED_WITHIN):
        draft.lag(rule, Point(plant(planting.name), "unsoaked"), Point(fell(planting.name), "moist"), 0)


def _chips(draft: Draft, planting: Planting, demand: Demand) -> None:
    name = prepare_chips(planting.name)
    how = planting.chips or "wetted in place"
    days = draft.catalogue.methods[planting.method].figures[CHIP_FIGURES[how]]
    least, most = round(days.lowest), round(days.highest)
    minutes = _minutes(demand, ("prepare-chips",))
    draft.add(
        Work(
            name,
            draft.limits(
                draft.hours(),
                draft.present(),
                draft.begun(),
                *needs.limits(draft, chips_need(planting.name)),
            ),
            pieces=demand.pieces,
            least=_least(minutes),
            span=CHIPS_SPAN,
        )
    )
    draft.yard_minutes[name] = minutes
    rule = draft.rule(
        f"chips:{planting.name}",
        "chips_preparation",
        f"planting[{planting.index}].chips",
        facts={"planting": planting.name, "how": how, "least": str(least), "most": str(most)},
    )
    draft.lag(rule, Point(name, "last"), Point(plant(planting.name)), least)
    draft.lag(rule, Point(name), Point(plant(planting.name)), None, most)


def _fell(draft: Draft, planting: Planting, demand: Demand) -> None:
    season = draft.season
    name = fell(planting.name)
    minutes = _minutes(demand, OWN_KINDS[season.people.felling])
    work_days = [draft.hours()] if minutes else []
    draft.add(
        Work(
            name,
            draft.limits(
                *dormancy.limits(draft),
                *work_days,
                *_fixed(draft, planting),
                draft.present(),
                draft.begun(),
                *needs.limits(draft, logs_need(planting, season.people, season.today)),
            ),
            tables=drying.tables(draft, planting),
            pieces=demand.pieces,
            least=_least(minutes) if minutes else demand.pieces,
            span=FELLING_SPAN,
            table_rule=_drying(draft, planting),
        )
    )
    _yard(draft, name, minutes)
    rest = draft.catalogue.species[planting.species].rest
    draft.lag(
        draft.nature(
            "wood_rest",
            f"profiles/species/{planting.species}",
            f"rest:{planting.species}",
            species=planting.species,
            days=str(round(rest.lowest)),
        ),
        Point(name, "last"),
        Point(plant(planting.name)),
        max(1, round(rest.lowest)),
    )
    draft.lag(
        _drying(draft, planting),
        Point(plant(planting.name), "last"),
        Point(name, "dry"),
        0,
    )
    _moist_if_unsoaked(draft, planting, _drying(draft, planting))


def _fixed(draft: Draft, planting: Planting) -> list[tuple[str, frozenset[int]]]:
    """The one day on which wood is to be felled, where the grower has named it."""
    if planting.felled is None:
        return []
    rule = _felled_rule(draft, planting, "on")
    return [(rule, draft.calendar.between(planting.felled, planting.felled))]


def _felled_rule(draft: Draft, planting: Planting, fact: str) -> str:
    """The rule of a day of felling: `date` of wood that is down, `on` of wood that is to be felled."""
    return draft.rule(
        f"felled:{planting.name}",
        "wood_felled",
        f"planting[{planting.index}].felled",
        facts={"planting": planting.name, fact: str(planting.felled)},
    )


def _felled_before(draft: Draft, planting: Planting, *, dries: bool) -> None:
    """Wood that is already down: its last good day is known now. A stump ages, but stays moist."""
    assert planting.felled is not None
    felled = draft.calendar.count.number(planting.felled)
    last = drying.last_days(draft, planting, felled, dries=dries)
    rest = draft.catalogue.species[planting.species].rest
    rule = _felled_rule(draft, planting, "date")
    # A single-day work stands for the wood, so that the aims can weigh a soak like any other.
    draft.add(
        Work(
            fell(planting.name),
            draft.limits((rule, {max(0, felled)})),
            tables={
                "moist": {max(0, felled): max(0, last["moist"])},
                "dry": {max(0, felled): max(0, last["dry"])},
            },
        )
    )
    draft.lag(
        rule,
        Point(fell(planting.name)),
        Point(plant(planting.name)),
        # What is too dry today goes into water first.
        max(int(last["moist"] < 0), max(1, round(rest.lowest)) + min(0, felled)),
    )
    # Not by the table of days, which knows none before today.
    draft.lag(
        rule,
        Point(fell(planting.name)),
        Point(plant(planting.name), "last"),
        None,
        last["dry"] - max(0, felled),
    )
    if dries:
        _moist_if_unsoaked(draft, planting, rule)
