"""Changes of the plantings that could make a season fit: later, with help, wider, fewer, bought, given up."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

from scheduler import measures
from scheduler.lines.culture import CULTURES
from scheduler.season.season import Help, LogGroup, Pattern, Planting, Season
from scheduler.service.edit import Edit, Family, volume_steps, with_planting, without_plantings
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import expand, full

GIVE_UP = "give up a planting"

LATEST = 90
"""Days by which a window may be opened at its end: beyond that it is another season."""


def later(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """Open the window of a planting at its end, day by day."""
    for planting in subjects:
        edits = []
        for days in range(1, LATEST + 1):
            end = planting.window[1] + timedelta(days=days)
            best = (planting.best[0], max(planting.best[1], end))
            edits.append(
                Edit(
                    measures.counted(days, "day"),
                    f"Plant {planting.name} up to {measures.counted(days, 'day')} later, until {full(end)}.",
                    with_planting(season, planting, window=(planting.window[0], end), best=best),
                )
            )
        yield Family("plant later", 3, "a later first flush", (planting.name,), tuple(edits))


def helpers(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """More hands for a day inside the window."""
    for planting in subjects:
        day = _helping_day(season, planting)
        if day is None:
            continue
        edits = tuple(
            Edit(
                f"{people} people for {hours} h",
                f"Ask {people} {'person' if people == 1 else 'people'} to help for {hours} h on {full(day)}.",
                replace(season, help=(*season.help, Help(day, people, hours * 60))),
            )
            for people, hours in ((1, 2), (1, 4), (1, 6), (2, 6), (3, 6), (4, 6), (6, 8))
        )
        yield Family("helpers for a day", 4, "hours of other people", (planting.name,), edits)


def _helping_day(season: Season, planting: Planting) -> date | None:
    """The last Saturday of a planting's window on which somebody is there; if there is none, the last day."""
    first, last = planting.window
    span = [last - timedelta(days=n) for n in range((last - first).days + 1)]
    away = expand(season.people.away)
    there = [day for day in span if day not in away and day >= season.today]
    return next((d for d in there if d.weekday() == 5), there[0] if there else None)


def tank(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """Chips wetted in place instead of in the tank."""
    for planting in subjects:
        if planting.chips in ("soaked", "fermented"):
            yield Family(
                "another preparation",
                1,
                "nothing",
                (planting.name,),
                (
                    Edit(
                        "wetted in place",
                        f"Wet the chips of {planting.name} in place instead of in the tank.",
                        with_planting(season, planting, chips="wetted in place"),
                    ),
                ),
            )


def fresh_wood(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """Wood felled anew instead of what is down already, or on another day than the one that was fixed."""
    for planting in subjects:
        if planting.felled is not None:
            down = planting.felled <= season.today
            edit = Edit(
                "fresh wood" if down else "another day",
                f"Fell fresh wood for {planting.name}."
                if down
                else f"Fell the wood for {planting.name} on another day than {full(planting.felled)}.",
                with_planting(season, planting, felled=None),
            )
            yield Family("fresh wood", 4, "a felling day", (planting.name,), (edit,))


def wider(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """Wider hole spacing, within the published band."""
    for planting in subjects:
        if planting.method != "drilled logs":
            continue
        figures = catalogue.methods[planting.method].figures
        along, around = figures["spacing_along_cm"], figures["spacing_around_cm"]
        now = planting.pattern or Pattern(along.likely, around.likely)
        edits = []
        for step in range(1, 11):
            wider = Pattern(
                _to_tenths(now.along_cm + (along.highest - now.along_cm) * step / 10, season),
                _to_tenths(now.around_cm + (around.highest - now.around_cm) * step / 10, season),
            )
            if wider.along_cm <= now.along_cm and wider.around_cm <= now.around_cm:
                break
            words = measures.spacing(wider.along_cm, wider.around_cm, season.units)
            edits.append(
                Edit(
                    words,
                    f"Drill {planting.name} wider, {words}: fewer holes, less spawn, a slower run.",
                    with_planting(season, planting, pattern=wider),
                )
            )
        yield Family("wider spacing", 3, "a slower run through the wood", (planting.name,), tuple(edits))


def _to_tenths(cm: float, season: Season) -> float:
    """A length that one would write: tenths of a centimetre or of an inch."""
    unit_cm = measures.CM_PER_INCH if season.units == "imperial" else 1.0
    return round(round(cm / unit_cm, 1) * unit_cm, 6)


def fewer(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """Fewer logs or less area, never below `at_least` (half where that is not given)."""
    for planting in subjects:
        edits = []
        if planting.groups:
            total = sum(group.count for group in planting.groups)
            floor = int(planting.at_least or max(1, math.ceil(total / 2)))
            piece = catalogue.methods[planting.method].piece
            for count in range(total - 1, floor - 1, -1):
                edits.append(
                    Edit(
                        f"{measures.counted(total - count, piece)} fewer",
                        f"Do {count} of the {total} {piece}s of {planting.name}.",
                        with_planting(season, planting, groups=_first_pieces(planting.groups, count)),
                    )
                )
        elif planting.area_m2:
            floor_m2 = planting.at_least or planting.area_m2 / 2
            for step in range(1, 11):
                area = round(planting.area_m2 - (planting.area_m2 - floor_m2) * step / 10, 2)
                if area >= planting.area_m2:
                    break
                edits.append(
                    Edit(
                        f"{measures.area(planting.area_m2 - area, season.units)} less",
                        f"Lay {measures.area(area, season.units)} of {planting.name}.",
                        with_planting(season, planting, area_m2=area),
                    )
                )
        yield Family("fewer logs or less area", 6, "what stays undone", (planting.name,), tuple(edits))


def _first_pieces(groups: tuple[LogGroup, ...], count: int) -> tuple[LogGroup, ...]:
    kept = []
    for group in groups:
        taken = min(group.count, count)
        count -= taken
        if taken:
            kept.append(replace(group, count=taken))
    return tuple(kept)


def new_culture(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """A culture in hand left out, so that what else there is serves, or a new one that is ordered."""
    for place, stock in enumerate(season.stock):
        grown = tuple(p.name for p in subjects if p.code == stock.code and p.spawn != "buy")
        if grown and stock.stage in CULTURES:
            what = f"{stock.stage} of {full(stock.since)}"
            edit = Edit(
                what,
                f"Order a new culture of {stock.species} for {' and '.join(grown)}; leave out the {what}.",
                replace(season, stock=season.stock[:place] + season.stock[place + 1 :]),
            )
            yield Family("order a new culture", 2, "the price of a culture", grown, (edit,))


def buy_grain(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """Grain spawn bought instead of made."""
    for planting in subjects:
        if planting.route[0] == "grain" or planting.route[-1] == "grain" or planting.spawn == "buy":
            continue
        edit = Edit(
            "grain spawn",
            f"Buy the grain spawn for {planting.name}.",
            with_planting(season, planting, route=("grain", planting.route[-1])),
        )
        yield Family("buy grain", 4, "the price of grain spawn", (planting.name,), (edit,))


def buy_spawn(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """Finished spawn bought instead of made."""
    for planting in subjects:
        if planting.spawn != "buy":
            edit = Edit(
                "finished spawn",
                f"Buy the finished spawn for {planting.name}.",
                with_planting(season, planting, spawn="buy"),
            )
            yield Family("buy spawn", 5, "the price of finished spawn", (planting.name,), (edit,))


def give_up(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """One planting given up, the least priority first; then the least ones together."""
    order = sorted(season.plantings, key=lambda p: (-p.priority, -p.index))
    alone = [(planting,) for planting in order] if len(order) > 1 else []
    together = [tuple(order[:count]) for count in range(2, len(order))]
    for place, dropped in enumerate([*alone, *together]):
        names = " and ".join(p.name for p in dropped)
        edit = Edit(names, f"Give up {names} this season.", without_plantings(season, dropped))
        yield Family(GIVE_UP, 9 + place, "a planting", tuple(p.name for p in dropped), (edit,))


def more_hours(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """More hands-on hours on every day that has any; on the weekend where none has."""
    edits = []
    for more in (1, 2, 3, 4, 6, 8):
        people = season.people
        days = people.minutes if any(people.minutes.values()) else {"sat": 0, "sun": 0}
        minutes = {day: min(16 * 60, own + 60 * more) for day, own in days.items()}
        home = {day: max(people.home_minutes.get(day, 0), own) for day, own in minutes.items()}
        edits.append(
            Edit(
                f"{more} h a day",
                f"Find {more} more {'hour' if more == 1 else 'hours'} on each of your days "
                f"({', '.join(minutes)}).",
                replace(
                    season,
                    people=replace(people, minutes=minutes, home_minutes={**people.home_minutes, **home}),
                ),
            )
        )
    yield Family("more hours", 3, "your own hours", (), tuple(edits))


def larger_tank(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """A larger soaking tank."""
    edits = []
    for litres in volume_steps((100, 200, 300, 500, 800, 1200, 2000, 3000), season.units):
        bigger = replace(season.tools, tank_l=(season.tools.tank_l or 0) + litres)
        words = measures.volume(litres, season.units)
        edits.append(Edit(words, f"Find {words} more of soaking tank.", replace(season, tools=bigger)))
    yield Family("larger tank", 3, "a vessel to soak in", (), tuple(edits))
