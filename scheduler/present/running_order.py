"""The running order of a planting day: people, stations in their order, spawn, what to bring, the rain day.

Built from a kept plan alone. Nobody knows at which hour the day begins, so times count from its beginning.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from rich.console import Console
from rich.text import Text

from scheduler import measures
from scheduler.plan import Fed, Plan, PlantingDay, PlantingPlan, PlantingWork, Task
from scheduler.present.dates import Dates
from scheduler.present.layout import Column, Lines, fold, paragraph, section, table, write
from scheduler.progress import in_short
from scheduler.workdays import full

LABEL, VALUE = Column(), Column(soft=True)
STATION_COLUMNS = (
    Column("from", right=True),
    Column("to", right=True),
    Column("station"),
    Column("people", soft=True),
    Column("hands"),
    Column("what", soft=True),
)


def show_running_order(plan: Plan, days: Sequence[PlantingDay], today: date, console: Console) -> None:
    """Print the running order of some days of planting."""
    lines: Lines = []
    for day in days:
        lines += ["", ""] if lines else []
        lines += _page(plan, day, Dates(today), console.width)
    others = [day for day in plan.planting_days if day not in days]
    if others:
        told = "; ".join(f"{Dates(today).day(day.on)}, {_plantings(day)}" for day in others)
        lines += ["", *fold(f"Other days of planting: {told}.", console.width)]
    write(lines, console)


def _page(plan: Plan, day: PlantingDay, words: Dates, width: int) -> Lines:
    tasks = tasks_of(plan, day)
    number = "" if plan.plan_no is None else f", plan {plan.plan_no}"
    lines: Lines = [
        *(Text(line, style="bold") for line in fold(f"{full(day.on)}: {_plantings(day)}", width)),
        *fold(f"{plan.season.name}{number}", width),
        "",
        *table((LABEL, VALUE), _facts(day), width, indent=0),
    ]
    for work in day.works:
        title = next((task.title for task in tasks if task.id == work.task), work.planting)
        lines += section(title, _stations(work, width), width)
        lines += section("Spawn", _list(which_spawn(plan, work), width), width)
    lines += section("Bring", _list(supplies_of(plan, tasks), width), width)
    lines += section("At hand", _list(tools_of(tasks), width), width)
    lines += section("Mind", _list(cautions_of(tasks), width), width)
    for planting in plantings_of(plan, day):
        rain = planting.fallback_on
        title = f"Rain day for {planting.name}: {words.day(rain) if rain else 'none'}"
        lines += section(title, _list(rain_day(plan, planting, words), width), width)
    return lines


def tasks_of(plan: Plan, day: PlantingDay) -> list[Task]:
    """The planting tasks of a day, in their order."""
    known = {task.id: task for task in plan.tasks}
    return [known[work.task] for work in day.works if work.task in known]


def _plantings(day: PlantingDay) -> str:
    return "; ".join(dict.fromkeys(work.planting for work in day.works))


def people(day: PlantingDay, host: str = "you") -> str:
    """Who is there and for how long: ``you for 6 h, 3 helpers for 7 h``."""
    told = [f"{host} for {measures.duration(day.own_minutes)}"] if day.own_minutes else []
    told += [
        f"{measures.counted(one.people, 'helper')} for {measures.duration(one.minutes)}" for one in day.help
    ]
    return ", ".join(told) or "nobody is named"


def takes(day: PlantingDay) -> str:
    """How long the day takes from beginning to end."""
    return f"{measures.duration(day.minutes)} ({measures.between(*day.spread)}), breaks not counted"


def _facts(day: PlantingDay) -> list[tuple[str, str]]:
    return [("people", people(day)), ("takes", takes(day)), *(("mind", hint) for hint in hints(day))]


def hints(day: PlantingDay) -> Iterator[str]:
    """What the day's hours and tools make of it."""
    there = max([day.own_minutes, *(one.minutes for one in day.help)])
    hands = sum(station.minutes for work in day.works for station in work.stations)
    if day.minutes > there:
        yield (
            f"With everybody at a fixed station it takes longer than the {measures.duration(there)} that "
            "somebody is there: whoever is free moves on to the next station. All hands together need "
            f"{measures.duration(hands / day.people)}."
        )
    elif day.spread[1] > there:
        yield (
            f"At the most it takes longer than the {measures.duration(there)} that somebody is there: begin "
            "early, and keep the rain day free for the rest."
        )
    limited = {
        (station.name, station.limit, station.limited_by)
        for work in day.works
        for station in work.stations
        if station.limit and day.people > station.limit
    }
    for name, limit, tool in sorted(limited):
        yield f"{name}: {limit} at a time, since there {_are(limit, tool)}."


def _are(count: int, tool: str) -> str:
    return f"is {count} {tool}" if count == 1 else f"are {count} {tool}s"


def _stations(work: PlantingWork, width: int) -> Lines:
    return table(STATION_COLUMNS, list(rows(work)), width)


def rows(work: PlantingWork) -> Iterator[tuple[str, ...]]:
    """The stations in their order, and what has to be begun before one at its own time."""
    rows: list[tuple[int, tuple[str, ...]]] = []
    seen: set[int] = set()
    for station in work.stations:
        who = "the same" if station.team in seen else str(station.people)
        if station.team:
            seen.add(station.team)
        hands = f"{measures.duration(station.minutes)}\n({measures.between(*station.spread)})"
        rows.append(
            (
                station.starts,
                (clock(station.starts), clock(station.ends), station.name, who, hands, station.what),
            )
        )
        if station.ahead_at is not None:
            needed = f"{station.ahead}: {station.name} begins at {clock(station.starts)}"
            rows.append((station.ahead_at, (clock(station.ahead_at), "", "", "", "", needed)))
    return (row for _, row in sorted(rows, key=lambda one: one[0]))


def clock(minutes: int) -> str:
    """Hours and minutes since the day's work began: ``2:50``."""
    return f"{minutes // 60}:{minutes % 60:02d}"


def _list(entries: Iterable[str], width: int) -> Lines:
    lines: Lines = []
    for entry in entries:
        lines += paragraph(entry, width, mark="- ")
    return lines


def which_spawn(plan: Plan, work: PlantingWork) -> Iterator[str]:
    """Which unit is for which pieces, and what stays closed."""
    for units, what in _alike(plan, work):
        yield f"{what} from {in_short(units)}"
    if work.reserve:
        yield f"closed as long as the others are enough: {in_short(work.reserve)}"


def _alike(plan: Plan, work: PlantingWork) -> list[tuple[list[str], str]]:
    """What each unit is for, in words; units that are for the same stand together."""
    found: list[tuple[list[str], str]] = []
    for fed in work.spawn:
        what = _for(plan, work, fed)
        if found and found[-1][1] == what and fed.area_m2 is None:
            found[-1][0].append(fed.unit)
        else:
            found.append(([fed.unit], what))
    return found


def _for(plan: Plan, work: PlantingWork, fed: Fed) -> str:
    if fed.area_m2 is not None:
        return measures.area(fed.area_m2, plan.season.units)
    if fed.first == fed.last:
        return f"{work.piece} {fed.first}"
    return f"{work.piece}s {fed.first} to {fed.last}"


def supplies_of(plan: Plan, tasks: Iterable[Task]) -> list[str]:
    """What is used up on a day, added up over its plantings."""
    amounts: dict[tuple[str, str], float] = {}
    for task in tasks:
        for supply in task.supplies:
            key = supply.item, supply.unit
            amounts[key] = amounts.get(key, 0.0) + supply.quantity
    return [measures.amount(item, value, unit, plan.season.units) for (item, unit), value in amounts.items()]


def tools_of(tasks: Iterable[Task]) -> list[str]:
    """What has to be at hand on a day, each thing once, with all it is for."""
    uses: dict[str, list[str]] = {}
    for task in tasks:
        for tool in task.tools:
            of = uses.setdefault(tool.item, [])
            of += [use for use in tool.use.split("; ") if use not in of]
    return [f"{item}: {'; '.join(of)}" for item, of in uses.items()]


def cautions_of(tasks: Iterable[Task]) -> list[str]:
    """The cautions of a day, each once."""
    return list(dict.fromkeys(caution for task in tasks for caution in task.cautions))


def plantings_of(plan: Plan, day: PlantingDay) -> list[PlantingPlan]:
    """What is planted on a day."""
    names = {work.planting for work in day.works}
    return [planting for planting in plan.plantings if planting.name in names]


def rain_day(plan: Plan, planting: PlantingPlan, words: Dates) -> list[str]:
    """What has to be true for the rain day, or what to do where there is none."""
    if planting.fallback_on is None:
        return ["No later day has hours, fits the window and finds wood and spawn good: plant under a roof."]
    return [
        *_still_good(plan, planting, words),
        f"The window is open until {words.day(planting.window[1])}.",
        _hands(plan, planting),
    ]


def _still_good(plan: Plan, planting: PlantingPlan, words: Dates) -> Iterator[str]:
    if planting.spawn_until:
        cold = {batch.id for batch in plan.batches if batch.waits_in == "fridge"}
        back = ", closed and back in the fridge" * bool(cold & _batches(plan, planting))
        yield f"The spawn is good until {words.day(planting.spawn_until)}{back}."
    if planting.wood_until:
        yield f"The wood is fresh and moist enough until {words.day(planting.wood_until)}, in the shade."


def _batches(plan: Plan, planting: PlantingPlan) -> set[str]:
    """Batches whose units a planting is planted with."""
    works = (work for day in plan.planting_days for work in day.works if work.planting == planting.name)
    return {fed.unit.partition("/")[0] for work in works for fed in work.spawn}


def _hands(plan: Plan, planting: PlantingPlan) -> str:
    needed = sum(
        task.minutes for task in plan.tasks if task.kind == "plant" and task.planting == planting.name
    )
    there = planting.fallback_minutes
    told = f"{measures.duration(needed)} of hands are needed and {measures.duration(there)} are there"
    if there >= needed:
        return f"{told}; nothing is reserved, so keep the day free."
    return f"{told}: ask for help on that day as well, or plant what the hours allow."
