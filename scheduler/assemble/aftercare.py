"""Care and picking as tasks: of what is planted by the plan, and of what stands already.

What is reserved on days of the season is part of the solved plan (`reserved_tasks`). Everything else has a
span of days instead of a day, takes no hours, and is added to a plan once its days are found and approved
(`looked_after`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from scheduler.aftercare.picking import life
from scheduler.aftercare.reserved import task_id
from scheduler.aftercare.schedule import Item, pieces, schedule
from scheduler.assemble.writer import Writer, cautions_for
from scheduler.lines.demand import size_in_words
from scheduler.plan import Batch, Plan, PlantingPlan, StandingPlan, Task
from scheduler.problem import standing as reserving
from scheduler.progress import Progress
from scheduler.science.quantities import log_mass_kg
from scheduler.season.season import Season, Standing
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import ONE_DAY, days_between, expand


def reserved_tasks(writer: Writer) -> None:
    """Write the care that hours are reserved for, on the days that were found."""
    frame = writer.frame
    for one in reserving.booked(frame.season, frame.catalogue):
        item, standing = one.care.item, one.standing
        writer.write(
            item.kind,
            item.title,
            frame.first(one.name),
            owner=standing.name,
            task_id=one.name,
            slip_to=frame.slip(one.name),
            minutes=one.minutes,
            small=False,
            place="yard",
            planting=standing.name,
            why=item.why,
            facts=_facts(standing, frame.catalogue, item),
            supplies=one.supplies,
            steps=item.steps,
        )


def looked_after(plan: Plan, season: Season, catalogue: Catalogue) -> Plan:
    """The plan with the care and the picking of all that stands by then, to the end of its years."""
    wishes = {planting.name: planting for planting in season.plantings}
    there = {standing.name: standing for standing in season.standing}
    dated, coming = list[PlantingPlan](), list[Standing]()
    for planting in plan.plantings:
        standing = there.get(planting.name)
        if standing is None and planting.plant_on and planting.name in wishes:
            standing = wishes[planting.name].standing(max(planting.plant_on))
            coming.append(standing)
        if standing is not None:
            one = life(standing, catalogue, season.site.latitude)
            planting = replace(planting, picking=one.years, ends=one.ends)
        dated.append(planting)
    covered = _covered(season, catalogue)
    care = [task for one in (*season.standing, *coming) for task in _tasks(one, season, catalogue, covered)]
    mine = {planting.name for planting in plan.plantings}
    return replace(
        plan,
        plantings=tuple(dated),
        standing=tuple(_told(one, season, catalogue) for one in season.standing if one.name not in mine),
        tasks=tuple(sorted((*plan.tasks, *care), key=lambda task: task.on)),
    )


def only_care(before: Plan, season: Season, progress: Progress) -> Plan:
    """What is left of a plan once all is planted: nothing but what stands, as the season knows it."""
    head = replace(before.season, today=season.today)
    return replace(
        before,
        season=head,
        plantings=(),
        batches=tuple(_living(before, progress)),
        loads=(),
        tasks=(),
        planting_days=(),
        leftover=(),
        orders=(),
        make_or_buy=(),
        tiers=(),
        notes=(),
        sought=None,
    )


def _living(plan: Plan, progress: Progress) -> Iterator[Batch]:
    """The batches of a plan, as far as they are not lost."""
    for batch in plan.batches:
        lost = progress.batch(batch.id).lost
        units = tuple(unit for unit in batch.units if unit.id not in lost)
        if units:
            yield replace(batch, units=units, started=len(units))


def _covered(season: Season, catalogue: Catalogue) -> dict[str, date]:
    """The last day of what is reserved of an item, by the id of its task."""
    found: dict[str, date] = defaultdict(lambda: date.min)
    for one in reserving.booked(season, catalogue):
        name = task_id(one.standing.name, one.care.item)
        found[name] = max(found[name], one.care.last)
    return found


def _tasks(
    standing: Standing, season: Season, catalogue: Catalogue, covered: dict[str, date]
) -> Iterator[Task]:
    """The care of one planting from today on, less what is done or reserved."""
    items = schedule(
        standing, catalogue, season.site.latitude, tank=season.tools.tank_l is not None, units=season.units
    )
    for item in items:
        name = task_id(standing.name, item)
        first = max(item.first, season.today)
        if name in covered:
            first = max(first, covered[name] + ONE_DAY)
        if first > item.last or name in standing.cared:
            continue
        yield _task(name, standing, item, first, season, catalogue)


def _task(
    name: str, standing: Standing, item: Item, first: date, season: Season, catalogue: Catalogue
) -> Task:
    away = expand(season.people.away)
    there = next((day for day in days_between(first, item.last) if day not in away), first)
    return Task(
        id=name,
        kind=item.kind,
        title=item.title,
        on=there,
        slip_to=item.last if item.last > there and not item.ongoing else None,
        minutes=item.minutes,
        attended_minutes=item.minutes,
        small=item.small,
        place="yard",
        batch=None,
        planting=standing.name,
        after=(),
        why=item.why,
        cautions=cautions_for(catalogue, item.kind, _facts(standing, catalogue, item)),
        supplies=item.supplies,
        steps=item.steps,
        until=item.last,
        ongoing=item.ongoing,
    )


def _facts(standing: Standing, catalogue: Catalogue, item: Item) -> list[str]:
    """What cautions may ask for of a task of care."""
    facts = [f"species:{standing.species}", f"method:{standing.method}"]
    if item.tank:
        facts.append("tank")
    density = catalogue.green_density(standing.wood)
    masses = (log_mass_kg(g.diameter_cm, g.length_cm or 0.0, density) for g in standing.groups)
    if max(masses, default=0.0) > catalogue.wood_rules.two_person_mass.likely:
        facts.append("lift")
    return facts


def _told(standing: Standing, season: Season, catalogue: Catalogue) -> StandingPlan:
    one = life(standing, catalogue, season.site.latitude)
    return StandingPlan(
        name=standing.name,
        species=standing.species,
        strain=standing.strain,
        method=standing.method,
        size=size_in_words(
            catalogue.methods[standing.method], pieces(standing), standing.area_m2, season.units
        ),
        planted_on=standing.planted,
        picking=one.years,
        ends=one.ends,
    )
