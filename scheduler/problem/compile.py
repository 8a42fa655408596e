"""Compiles a season and its sizing into one Problem."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from datetime import date

from scheduler.lines.shapes import BatchSpec, Sizing
from scheduler.lines.shares import is_finished
from scheduler.problem import aims, bench, rooms, standing, yard, yard_works
from scheduler.problem.calendar import Calendar, calendar
from scheduler.problem.draft import Draft
from scheduler.problem.shapes import Apart, DayLimit, Problem
from scheduler.season.season import Season
from scheduler.trade.catalogue import Catalogue

NO_EVES: Mapping[str, date] = {}


def compile_season(
    season: Season, catalogue: Catalogue, sizing: Sizing, eves: Mapping[str, date] = NO_EVES
) -> Problem:
    """The season as integers and named rules; day 0 is its today, or the first day of what is done.

    `eves` holds the day on which something was soaked or wetted for a cook that is still to come, by batch.
    """
    days = calendar(season, sizing.since)
    draft = Draft(season, catalogue, days, supplied=sizing.supplied, eves=eves)
    bench.write(draft, sizing)
    yard_works.write(draft, sizing)
    standing.write(draft)
    for batch in sizing.batches():
        if is_finished(batch, season.plantings):
            bench.plant_with(draft, batch, yard.plant(batch.plantings[0]))
    all_rooms = rooms.rooms(draft, sizing)
    vessels = rooms.cookers(draft, sizing)
    loads = rooms.load_minutes(season, catalogue, sizing)
    aims.write(draft, sizing)
    works = {work.name for work in draft.works}
    return Problem(
        origin=days.count.origin,
        horizon=days.horizon,
        works=tuple(draft.works),
        lags=tuple(draft.lags),
        day_limits=_day_limits(draft, days, loads),
        cookers=vessels,
        rooms=all_rooms,
        aparts=(
            Apart(
                draft.nature("bench_before_yard"),
                frozenset(draft.inoculations),
                frozenset(draft.outdoors & works),
            ),
        ),
        terms=tuple(draft.terms),
        day_cost=aims.day_cost(draft, loads),
        pushes=aims.pushes(draft, sizing),
        equals=_equals(sizing, {w.name: w.tables.get("ready", {}) for w in draft.works}),
        rules=draft.rules,
    )


def _day_limits(
    draft: Draft, days: Calendar, loads: Mapping[tuple[str, str], tuple[int, int]]
) -> tuple[DayLimit, ...]:
    """What a day offers: own hands, everybody's, yard work by daylight, drills, and hours at home."""
    hours, _ = draft.hours()
    people = draft.season.people
    home = draft.rule(
        "home",
        "home",
        "[people].home",
        facts={"hours": ", ".join(f"{d} {m / 60:g} h" for d, m in people.home_minutes.items() if m)},
    )
    drills = draft.rule(
        "drills", "drills", "[tools].drills", facts={"drills": str(draft.season.tools.drills)}
    )
    hands = {key: hands for key, (hands, _) in loads.items()}
    yard_minutes = {w: m for w, m in draft.yard_minutes.items() if m}
    limits = [
        DayLimit("own hands", hours, days.own, dict(draft.lab_minutes), hands),
        DayLimit("all hands", hours, days.everybody, {**draft.lab_minutes, **yard_minutes}, hands),
        DayLimit("daylight", hours, days.yard, yard_minutes),
    ]
    drilled = {w: m for w, m in draft.drill_minutes.items() if m}
    if drilled:
        capacity = {d: m * draft.season.tools.drills for d, m in days.longest.items()}
        limits.append(DayLimit("drills", drills, capacity, drilled))
    for index, own in enumerate(draft.season.lab.cookers):
        name = rooms.cooker_name(index, own)
        attended = {key: minutes for key, (_, minutes) in loads.items() if key[0] == name}
        limits.append(DayLimit(f"home for {name}", home, days.home, {}, attended))
    return tuple(limits)


def _equals(
    sizing: Sizing, tables: Mapping[str, Mapping[int, int]]
) -> tuple[tuple[tuple[str, ...], ...], ...]:
    """Interchangeable batches: same parents, size and planting, no children; later never ready earlier.

    They also use up the same number of each parent's units, so that whoever comes first frees as much room.
    """
    made = bench.children(sizing)
    groups: dict[tuple[object, ...], list[BatchSpec]] = {}
    for line in sizing.lines:
        users = Counter(parent for b in line.batches for parent in {unit.parent for unit in b.units})
        for batch in line.batches:
            if not batch.is_to_make or made.get(batch.id) or batch.is_test:
                continue
            taken = {unit.parent for unit in batch.units if unit.parent}
            alone = Counter(parent.partition("/")[0] for parent in taken if users[parent] == 1)
            key = (
                batch.parents,
                batch.started,
                batch.keep_back,
                batch.plantings,
                batch.container,
                batch.treatment,
                batch.cooked_on,
                tuple(sorted(alone.items())),
            )
            groups.setdefault(key, []).append(batch)
    result = []
    for batches in groups.values():
        table = tables[bench.inoculate(batches[0])]
        ends = [table[start] for start in sorted(table)]
        if len(batches) > 1 and ends == sorted(ends):
            result.append(
                tuple(
                    (bench.cook(b), bench.inoculate(b)) if bench.is_to_cook(b) else (bench.inoculate(b),)
                    for b in batches
                )
            )
    return tuple(result)
