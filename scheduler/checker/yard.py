"""Whether the yard work is possible: windows, felling, wood, chips, drills, and the fallback day."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from datetime import date, timedelta

from scheduler.checker.bounds import CHIP_DAYS, MOISTURE_FLOOR, MOISTURE_IDEAL, OLDEST_WOOD_DAYS
from scheduler.checker.case import INOCULATIONS, Case, Check, last_use
from scheduler.plan import PlantingPlan
from scheduler.workdays import ONE_DAY, days_between

_DAYS_OF_A_TENTH = 2
"""Days in which a log dries by less than the tenth of a percent that moisture is printed to."""

_IN_THE_TANK = ("soaked", "fermented")


def window(case: Case) -> Iterator[str]:
    """Every planting has a day, and all its days lie in the window that was wished."""
    for planting, wish in case.plantings:
        if not planting.plant_on:
            yield f"{planting.name} has no planting day"
        if planting.window != wish.window:
            yield f"{planting.name}: window {planting.window[0]} to {planting.window[1]} was not wished"
        for day in planting.plant_on:
            if not wish.window[0] <= day <= wish.window[1]:
                yield f"{planting.name} on {day}, window {wish.window[0]} to {wish.window[1]}"


def felling(case: Case) -> Iterator[str]:
    """Felling lies inside the printed days, on the day that was named, and if not bought in dormant time."""
    for planting, wish in case.plantings:
        down = case.is_down(wish)
        if wish.felled is not None and not down and set(planting.fell_on) != {wish.felled}:
            yield f"{planting.name}: felled on {len(planting.fell_on)} days, named was {wish.felled}"
        for day in planting.fell_on:
            between = planting.fell_between
            if between is not None and not between[0] <= day <= between[1]:
                yield f"{planting.name}: felled on {day}, printed are {between[0]} to {between[1]}"
            if not down and case.season.people.felling != "bought" and not _dormant(case, day):
                yield f"{planting.name}: felled on {day}, while the tree is not dormant"


def _dormant(case: Case, day: date) -> bool:
    """Whether trees are dormant, as far as the season gives dates; on the day of bud swell no longer.

    Where leaf turn comes after bud swell it is that of the next autumn, and felling starts again with it.
    """
    turn, swell = case.season.site.leaf_turn, case.season.site.bud_swell
    after_turn = turn is None or day >= turn
    before_swell = swell is None or day < swell
    if turn is not None and swell is not None and swell < turn:
        return after_turn or before_swell
    return after_turn and before_swell


def wood(case: Case) -> Iterator[str]:
    """Wood is moist enough at planting and was felled before it, not more than a year ago."""
    for planting, wish in case.plantings:
        moisture = planting.wood_moisture
        if moisture is None:
            if any(group.length_cm is not None for group in wish.groups):
                yield f"{planting.name}: the moisture of its wood is not known"
        elif moisture.likely < MOISTURE_FLOOR or not moisture.low <= moisture.likely <= moisture.high:
            yield f"{planting.name}: wood at {moisture.likely:.0f} %, at least {MOISTURE_FLOOR:.0f} %"
        felled = (*planting.fell_on, *((wish.felled,) if wish.felled else ()))
        if felled and planting.plant_on:
            first, last = min(planting.plant_on), max(planting.plant_on)
            if (last - min(felled)).days > OLDEST_WOOD_DAYS or max(felled) >= first:
                yield f"{planting.name}: felled {min(felled)} to {max(felled)}, planted {first} to {last}"


def soaked(case: Case) -> Iterator[str]:
    """Wood below its ideal moisture is soaked before planting, as a task."""
    for planting, _ in case.plantings:
        soaks = {task.on for task in case.tasks("soak-logs", planting=planting.name)}
        if not soaks and _dries(case, planting):
            yield f"{planting.name}: its wood is below {MOISTURE_IDEAL:.0f} % and not soaked"
        if (planting.soak_on is not None) != bool(soaks) or (soaks and planting.soak_on not in soaks):
            yield f"{planting.name}: soak on {planting.soak_on} is not its task's day"
        if soaks and planting.plant_on and max(soaks) >= min(planting.plant_on):
            yield f"{planting.name}: soaked on {max(soaks)}, planted on {min(planting.plant_on)}"


def _dries(case: Case, planting: PlantingPlan) -> bool:
    """Whether wood is below its ideal moisture, by what is printed or by the problem's own drying table."""
    moisture = planting.wood_moisture
    if moisture is not None and moisture.likely < MOISTURE_IDEAL:
        return True
    moist_until = _wood_until(case, planting, "moist")
    if moist_until is None or not planting.plant_on:
        return False
    return max(planting.plant_on) > moist_until + timedelta(days=_DAYS_OF_A_TENTH)


def _wood_until(case: Case, planting: PlantingPlan, table: str) -> date | None:
    """Last day on which felled wood is moist enough, by the problem's drying table of that name."""
    name = f"{planting.name}:fell"
    tables = next((work.tables for work in case.problem.works if work.name == name), {})
    lies = case.days.pieces.get(name)
    day = tables.get(table, {}).get(min(lies)) if lies else None
    return None if day is None else case.count.date(day)


def chips(case: Case) -> Iterator[str]:
    """Chips are prepared as many days before planting as their treatment takes."""
    for planting, wish in case.plantings:
        if wish.chips is None or not planting.plant_on:
            continue
        low, high = CHIP_DAYS[wish.chips]
        days = _chip_days(case, planting.name)
        if not days:
            yield f"{planting.name}: chips are not prepared"
        elif not low <= (min(planting.plant_on) - max(days)).days <= high:
            yield f"{planting.name}: chips {wish.chips} from {max(days)}, planted on {min(planting.plant_on)}"


def _chip_days(case: Case, planting: str) -> list[date]:
    """Days on which the chips of a planting are prepared, or were."""
    days = [task.on for task in case.tasks("prepare-chips", planting=planting)]
    begun = case.demands[planting].begun if planting in case.demands else None
    return days or ([begun.chips_on] if begun and begun.chips_on else [])


def tank(case: Case) -> Iterator[str]:
    """The tank holds all chips that are soaked or fermented at the same time."""
    litres: Counter[date] = Counter()
    for planting, wish in case.plantings:
        demand = case.demands.get(planting.name)
        days = _chip_days(case, planting.name)
        if demand is None or wish.chips not in _IN_THE_TANK or not days or not planting.plant_on:
            continue
        for day in days_between(min(days), min(planting.plant_on) - ONE_DAY):
            litres[day] += math.floor(demand.chips_l)
    for day, taken in litres.items():
        if taken > (case.season.tools.tank_l or 0.0):
            yield f"{day}: {taken} L of chips in {case.season.tools.tank_l or 0:g} L"
            return


def drills(case: Case) -> Iterator[str]:
    """Drills are enough for the pieces of a day while somebody is there to hold them."""
    taken: Counter[date] = Counter()
    for demand in case.sizing.demands:
        for step in demand.steps:
            work = case.days.pieces.get(f"{demand.planting}:{step.kind}", {})
            for number, pieces in work.items():
                taken[case.count.date(number)] += pieces * step.drill_per_piece
    number_of = case.season.tools.drills
    for day, minutes in sorted(taken.items()):
        present = max([case.own_minutes(day), *(h.minutes for h in case.season.help if h.on == day)])
        if minutes > number_of * present:
            yield f"{day}: {minutes} minutes of drilling, {number_of} drills for {present} minutes"


def bench_first(case: Case) -> Iterator[str]:
    """No day of felling or planting holds an inoculation."""
    for day, tasks in case.by_day.items():
        kinds = {task.kind for task in tasks}
        if kinds.intersection(INOCULATIONS) and kinds & {"fell", "plant"}:
            yield f"{day}: inoculation beside {', '.join(sorted(kinds & {'fell', 'plant'}))}"


def fallback(case: Case) -> Iterator[str]:
    """The fallback day comes after the last planting day, in the window, while wood and spawn are good."""
    for planting, wish in case.plantings:
        day = planting.fallback_on
        if day is None:
            continue
        if (planting.plant_on and day <= max(planting.plant_on)) or day > wish.window[1] or day in case.away:
            yield f"{planting.name}: {day} is no fallback for {', '.join(map(str, planting.plant_on))}"
        dry_from = _wood_until(case, planting, "dry")
        if dry_from is not None and day > dry_from:
            yield f"{planting.name}: on {day} its wood is too dry"
        for batch, spec in case.pairs:
            if planting.name in batch.plantings and case.is_finished(spec) and day > last_use(batch, spec):
                yield f"{planting.name}: on {day} {batch.id} is no longer good"


CHECKS: Mapping[str, Check] = {
    "window": window,
    "felling": felling,
    "wood": wood,
    "soak-logs": soaked,
    "chips": chips,
    "tank": tank,
    "drills": drills,
    "bench-first": bench_first,
    "fallback": fallback,
}
