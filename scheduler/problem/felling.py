"""The felling works: wood that is still to be felled, and wood that is down already."""

from __future__ import annotations

from scheduler.lines.shapes import Demand
from scheduler.problem import dormancy, drying, needs, yard
from scheduler.problem.draft import Draft
from scheduler.problem.shapes import Point, Work
from scheduler.season.season import Planting


def to_fell(draft: Draft, planting: Planting, demand: Demand) -> None:
    """Wood that is still to be felled, or the rest of it."""
    season = draft.season
    name, begun = yard.fell(planting.name), demand.begun
    minutes = yard.minutes_of(demand, yard.OWN_KINDS[season.people.felling])
    pieces = begun.to_fell if begun else demand.pieces
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
                *needs.limits(draft, yard.logs_need(planting, season.people, season.today)),
            ),
            tables=drying.tables(draft, planting),
            pieces=pieces,
            least=yard.least(minutes) if minutes else pieces,
            span=yard.FELLING_SPAN,
            table_rule=yard.drying_rule(draft, planting),
        )
    )
    yard.add_minutes(draft, name, minutes)
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
        Point(yard.plant(planting.name)),
        max(1, round(rest.lowest)),
    )
    draft.lag(
        yard.drying_rule(draft, planting),
        Point(yard.plant(planting.name), "last"),
        Point(name, "dry"),
        0,
    )
    if begun and begun.first_felled:
        felled = draft.calendar.count.number(begun.first_felled)
        dry = drying.last_days(draft, planting, felled, dries=True)["dry"]
        _planted_by(draft, planting, yard.drying_rule(draft, planting), dry)
    yard.moist_if_unsoaked(draft, planting, yard.drying_rule(draft, planting))


def _planted_by(draft: Draft, planting: Planting, rule: str, last: int) -> None:
    """Wood that is down is planted by a day, which may lie before today: then nothing fits."""
    name = f"{planting.name}:down"
    draft.add(Work(name, draft.limits(draft.done(0))))
    draft.lag(rule, Point(name), Point(yard.plant(planting.name), "last"), None, last)


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


def felled_before(draft: Draft, planting: Planting, *, dries: bool) -> None:
    """Wood that is already down: its last good day is known now. A stump ages, but stays moist."""
    assert planting.felled is not None
    felled = draft.calendar.count.number(planting.felled)
    last = drying.last_days(draft, planting, felled, dries=dries)
    rest = draft.catalogue.species[planting.species].rest
    rule = _felled_rule(draft, planting, "date")
    # What is too dry today goes into water first.
    today = draft.calendar.count.number(draft.season.today)
    soaked = today + 1 - max(0, felled) if last["moist"] < today else 0
    # A single-day work stands for the wood, so that the aims can weigh a soak like any other.
    draft.add(
        Work(
            yard.fell(planting.name),
            draft.limits((rule, {max(0, felled)})),
            tables={
                "moist": {max(0, felled): max(0, last["moist"])},
                "dry": {max(0, felled): max(0, last["dry"])},
            },
        )
    )
    draft.lag(
        rule,
        Point(yard.fell(planting.name)),
        Point(yard.plant(planting.name)),
        max(soaked, max(1, round(rest.lowest)) + min(0, felled)),
    )
    # Not by the table of days, which knows none before today.
    draft.lag(
        rule,
        Point(yard.fell(planting.name)),
        Point(yard.plant(planting.name), "last"),
        None,
        last["dry"] - max(0, felled),
    )
    if dries:
        yard.moist_if_unsoaked(draft, planting, rule)
