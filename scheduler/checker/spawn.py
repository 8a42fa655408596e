"""Whether spawn is ready when it is used, still good, looked at in time, and enough."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from datetime import timedelta

from scheduler.checker.bounds import CHIP_EXPANSION, FIRST_CHECK_DAYS, LIGHTEST_CHIPS_G_L
from scheduler.checker.case import Case, Check, last_use
from scheduler.lines.shapes import BatchSpec, Demand, Line

_ROUNDING_G = 1.0

COUNTED = ("grain", "sawdust", "pellet", "plate", "slant")
"""Stages of which a unit in hand is a unit of a batch."""


def used_when(case: Case) -> Iterator[str]:
    """The days of use name each day on which something is made from a batch or it is planted."""
    for batch in case.plan.batches:
        for day in case.needed_on(batch):
            if day not in batch.use_on:
                yield f"{batch.id}: used on {day}, which its days of use leave out"


def ready_first(case: Case) -> Iterator[str]:
    """Nothing is used before its ready day."""
    for batch in case.plan.batches:
        for day in sorted({*case.needed_on(batch), *batch.use_on}):
            if day < batch.ready_on:
                yield f"{batch.id}: used on {day}, ready on {batch.ready_on}"


def shelf_life(case: Case) -> Iterator[str]:
    """Nothing is used after it has kept, the age that it came with counted in."""
    for batch, spec in case.pairs:
        last = last_use(batch, spec)
        for day in sorted({*case.needed_on(batch), *batch.use_on}):
            if day > last:
                yield f"{batch.id}: used on {day}, good until {last}"
        if batch.keeps_days > spec.keeps_days:
            yield f"{batch.id}: keeps {batch.keeps_days} days, {spec.keeps_days} are known"


def first_check(case: Case) -> Iterator[str]:
    """A batch is first looked at while moulds are seen but not yet in spore, and every look is a task."""
    for batch, spec in case.pairs:
        if spec.state != "planned" or batch.inoculate_on is None or batch.id in case.begun:
            continue
        low, high = (batch.inoculate_on + timedelta(days=days) for days in FIRST_CHECK_DAYS)
        if low >= batch.ready_on:  # ready sooner than that: it is looked at before it is used
            high = min(case.needed_on(batch), default=batch.ready_on)
        first = min(batch.check_on, default=None)
        if first is None or not low <= first <= high or first in case.away:
            yield f"{batch.id}: first check on {first}, due {low} to {high}"
        for day in sorted(set(batch.check_on) - {task.on for task in case.tasks("check", batch=batch.id)}):
            yield f"{batch.id}: no check task on {day}"


def enough(case: Case) -> Iterator[str]:
    """The finished spawn that is needed is at least what its plantings take, and is printed as such."""
    for planting in case.plan.plantings:
        demand = case.demands.get(planting.name)
        if demand is None:
            continue
        if abs(planting.spawn_needed_g - demand.spawn_g) > _ROUNDING_G:
            yield f"{planting.name}: says {planting.spawn_needed_g:.0f} g, takes {demand.spawn_g:.0f} g"
        most = sum(
            s.started * s.unit_mass_g
            for s in case.specs.values()
            if planting.name in s.plantings and case.is_finished(s)
        )
        if not demand.spawn_g - _ROUNDING_G <= planting.spawn_planned_g <= most + _ROUNDING_G:
            yield f"{planting.name}: {planting.spawn_planned_g:.0f} g planned, {most:.0f} g can be there"
        serving = _usable_g(case, {planting.name})
        if serving < demand.spawn_g - _ROUNDING_G:
            yield f"{planting.name}: {serving:.0f} g of finished spawn for {demand.spawn_g:.0f} g"
    for line in case.sizing.lines:
        yield from _shared(case, line)


def _shared(case: Case, line: Line) -> Iterator[str]:
    """Batches that serve several plantings are not counted twice."""
    wanted: list[Demand] = [case.demands[name] for name in line.plantings if name in case.demands]
    takes, there = sum(demand.spawn_g for demand in wanted), _usable_g(case, set(line.plantings))
    if there < takes - _ROUNDING_G:
        yield f"{line.code}: {there:.0f} g of finished spawn for {takes:.0f} g"


def _usable_g(case: Case, plantings: set[str]) -> float:
    """Grams that the needed units of finished spawn for these plantings give."""
    return sum(
        batch.needed * spec.unit_mass_g * spec.usable
        for batch, spec in case.pairs
        if plantings & set(spec.plantings) and case.is_finished(spec)
    )


def expanded(case: Case) -> Iterator[str]:
    """Colonised chips are not asked to run through more fresh chips than they can."""
    for spec in case.specs.values():
        if spec.stage != "chips":
            continue
        litres = spec.started * spec.unit_mass_g / LIGHTEST_CHIPS_G_L
        for demand in (case.demands[name] for name in spec.plantings if name in case.demands):
            starts_l = spec.started * spec.unit_mass_g * spec.usable / demand.spawn_g * demand.chips_l
            if starts_l > CHIP_EXPANSION * litres:
                yield f"{spec.id}: {litres:.0f} L of chips for {starts_l:.0f} L of {demand.planting}"


def in_hand(case: Case) -> Iterator[str]:
    """No more is taken of what is in hand than there is: by mass where it is known, else by units."""
    taken: dict[tuple[str, str, str], list[BatchSpec]] = defaultdict(list)
    for spec in case.specs.values():
        if spec.state == "in hand":
            taken[spec.species, spec.strain, spec.stage].append(spec)
    for (species, strain, stage), specs in taken.items():
        held = [s for s in case.season.stock if (s.species, s.strain, s.stage) == (species, strain, stage)]
        amounts = [stock.amount for stock in held if stock.amount is not None]
        there, used = 0.0, 0.0
        if len(amounts) == len(held):
            there, used = sum(amounts), sum(spec.started * spec.unit_mass_g for spec in specs)
        elif not amounts and stage in COUNTED:
            there, used = sum(stock.units or 1 for stock in held), sum(spec.started for spec in specs)
        if used > there + _ROUNDING_G:
            yield f"{species} {stage}: {used:.0f} taken of {there:.0f} in hand"


def tested_first(case: Case) -> Iterator[str]:
    """A culture that is not tested is read on plates before anything else is made from it."""
    tests = {parent: batch for batch, spec in case.pairs if spec.is_test for parent in spec.parents}
    for batch, spec in case.pairs:
        for parent in spec.parents if batch.id not in case.begun else ():
            test = tests.get(parent)
            early = batch.inoculate_on is not None and test is not None and batch.inoculate_on < test.ready_on
            if early and test is not batch:
                yield f"{batch.id}: made on {batch.inoculate_on} from {parent}, whose test is not read yet"
        if batch.id in tests:
            read = {unit.parent for unit in tests[batch.id].units}
            for unit in batch.units if tests[batch.id].id not in case.begun else ():
                if unit.id in case.children and unit.id not in read:
                    yield f"{unit.id}: used, and not one of the units that are tested"
        begun_anew = any(line.gone for line in case.sizing.lines if line.code == spec.line)
        made = {child.id for unit in batch.units for child in case.children.get(unit.id, ())}
        told = batch.id in tests or begun_anew or made & case.begun
        if spec.stage == "liquid culture" and spec.state == "in hand" and not told:
            held = [s for s in case.season.stock if (s.species, s.strain) == (spec.species, spec.strain)]
            tested = [stock.tested for stock in held if stock.stage == spec.stage]
            unread = [s.id for s in case.specs.values() if _is_unread(s, spec) and s.id not in tests]
            if tested and len(unread) > sum(tested):
                yield f"{batch.id} is not tested"


def _is_unread(one: BatchSpec, other: BatchSpec) -> bool:
    """Whether a batch is a culture in hand of the same strain and stage as another."""
    return one.state == "in hand" and (one.species, one.strain, one.stage) == (
        other.species,
        other.strain,
        other.stage,
    )


CHECKS: Mapping[str, Check] = {
    "days-of-use": used_when,
    "ready-first": ready_first,
    "shelf-life": shelf_life,
    "first-check": first_check,
    "culture-tested": tested_first,
    "enough-spawn": enough,
    "chip-expansion": expanded,
    "stock-in-hand": in_hand,
}
