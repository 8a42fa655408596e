"""Who stands where and when: shelf, fridge and soaking tank, and how full the cookers are."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence

from scheduler import measures
from scheduler.lines.shapes import BatchSpec, Line, Sizing
from scheduler.lines.shares import is_finished
from scheduler.lines.vessels import room_share, treatment, treatments
from scheduler.problem import bench, yard
from scheduler.problem.draft import DONE, Draft
from scheduler.problem.shapes import Cooker, Point, Room, Stay, Work
from scheduler.science.heat import cook_minutes, hold_factor, steam_temperature
from scheduler.science.rounding import whole_up
from scheduler.season.season import VESSEL_TREATMENT, Season
from scheduler.season.season import Cooker as OwnCooker
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.lab import Treatment

FULL_GAUGE_PSI = 15.0
"""The gauge pressure at sea level that the catalogue's holding times are for."""


def kept(line: Line) -> str:
    """Name of the work that stands for the day until which a line's keep-backs are kept."""
    return f"{line.code}:kept"


def emptied(batch: BatchSpec) -> str:
    """Name of the work that stands for the day on which the last child of a batch is made."""
    return f"{batch.id}:emptied"


def cooker_name(index: int, cooker: OwnCooker) -> str:
    """A cooker's kind and number, as it is printed: ``pressure cooker 1``."""
    return f"{cooker.kind} {index + 1}"


def rooms(draft: Draft, sizing: Sizing) -> tuple[Room, ...]:
    """Shelf, fridge and tank with everything that stands in them."""
    stays: dict[str, list[Stay]] = {"shelf": [], "fridge": []}
    made = bench.children(sizing)
    for line in sizing.lines:
        draft.add(Work(kept(line), draft.limits()))
        for planting in line.plantings:
            draft.lag(
                draft.nature("keep_back"), Point(yard.plant(planting), "fallback"), Point(kept(line)), 0
            )
        for batch in line.batches:
            _stand(draft, stays, line, batch, made.get(batch.id, ()))
    lab = draft.season.lab
    result = []
    for name, room in (("shelf", lab.shelf), ("fridge", lab.fridge)):
        capacity, _ = room_share(draft.season, draft.catalogue, room, lab.grain_in)
        held = (
            ", ".join(f"{n} x {c}" for c, n in room.holds.items())
            if room.holds
            else f"{room.volume_l or 0:g} L"
        )
        rule = draft.rule(name, name, f"[lab.{name}]", facts={"capacity": held})
        # What stands there already stands there, whether it was planned or not.
        capacity = max(capacity, _standing(draft, stays[name]))
        result.append(Room(name, rule, capacity, tuple(stays[name])))
    tank = _tank(draft, sizing)
    return (*result, tank) if tank else tuple(result)


def _stand(
    draft: Draft, stays: dict[str, list[Stay]], line: Line, batch: BatchSpec, children: tuple[BatchSpec, ...]
) -> None:
    """On the shelf while it grows, then where it waits until each unit is used."""
    season, lab = draft.season, draft.season.lab

    def share(room: str) -> int:
        where = lab.shelf if room == "shelf" else lab.fridge
        return room_share(season, draft.catalogue, where, batch.container)[1]

    ready = bench.ready(batch)
    if batch.growth is not None:
        stays["shelf"].append(Stay(Point(bench.inoculate(batch)), ready, batch.started * share("shelf")))
    if batch.is_test:
        return
    waits, unit_share = batch.waits_in, share(batch.waits_in)
    if batch.stage in ("liquid culture", "slant"):
        # One vessel that is drawn from, and of which a few mL are kept to the end.
        stays[waits].append(Stay(ready, Point(kept(line)), batch.started * unit_share))
        return
    if batch.keep_back:
        stays[waits].append(Stay(ready, Point(kept(line)), batch.keep_back * unit_share))
    users: dict[str, set[str]] = {unit.id: set() for unit in batch.units[: batch.started - batch.keep_back]}
    to_make = tuple(child for child in children if child.is_to_make)
    for child in to_make:
        for unit in child.units:
            if unit.parent in users:
                users[unit.parent].add(child.id)
    if children:
        # A unit from which all has been made is empty.
        emptied_units = {unit.parent for child in children if not child.is_to_make for unit in child.units}
        users = {unit: taken for unit, taken in users.items() if taken or unit not in emptied_units}
        children = to_make
    if not children and not is_finished(batch, season.plantings):
        return  # left over: it is there for a redo, and takes what room is left
    if not any(users.values()):
        for planting in batch.plantings:
            stays[waits].append(Stay(ready, Point(yard.plant(planting), "last"), len(users) * unit_share))
        return
    by_child = {child.id: child for child in children}
    single = Counter(next(iter(taken)) for taken in users.values() if len(taken) == 1)
    for child_id, count in single.items():
        end = Point(bench.inoculate(by_child[child_id]))
        stays[waits].append(Stay(ready, end, count * unit_share))
    rest = len(users) - single.total()
    if rest:
        # Spare units, and units that feed two batches, stand until the last child has been made.
        draft.add(Work(emptied(batch), draft.limits()))
        for child in children:
            draft.lag(draft.nature("keep_back"), Point(bench.inoculate(child)), Point(emptied(batch)), 0)
        stays[waits].append(Stay(ready, Point(emptied(batch)), rest * unit_share))


def _standing(draft: Draft, stays: Sequence[Stay]) -> int:
    """The most that works which are done have put into a room, from today on, if nothing were taken out."""
    works = {work.name: work for work in draft.works}
    today = draft.calendar.count.number(draft.season.today)
    begun: Counter[int] = Counter()
    for stay in stays:
        work = works[stay.start.work]
        done = next((limit.days for limit in work.limits if limit.rule == DONE), None)
        if done is None:
            continue
        start = work.moment(stay.start.at, done)
        end = work.moment(stay.end.at, done) if stay.end.work == work.name else draft.calendar.horizon
        if start <= today:
            begun.update(dict.fromkeys(range(today, end), stay.amount))
    return max(begun.values(), default=0)


def _tank(draft: Draft, sizing: Sizing) -> Room | None:
    """The soaking tank, in litres; beds that are soaked or fermented share it."""
    tank_l = draft.season.tools.tank_l
    stays = []
    for planting in draft.season.plantings:
        litres = sizing.demand(planting.name).chips_l
        if litres and planting.chips in ("soaked", "fermented"):
            stays.append(
                Stay(
                    Point(yard.prepare_chips(planting.name)),
                    Point(yard.plant(planting.name), "last"),
                    math.ceil(litres),
                )
            )
    if not stays:
        return None
    held = measures.volume(tank_l or 0.0, draft.season.units)
    rule = draft.rule("tank", "tank", "[tools].tank", facts={"capacity": held})
    return Room("tank", rule, math.floor(tank_l or 0), tuple(stays))


def cookers(draft: Draft, sizing: Sizing) -> tuple[Cooker, ...]:
    """Every vessel with the batches it can treat and what they take of a load."""
    result = []
    cooked = [batch for batch in sizing.batches() if bench.is_to_cook(batch)]
    for index, own in enumerate(draft.season.lab.cookers):
        share = math.lcm(*own.holds.values())
        fits = [b for b in cooked if _fits(draft.catalogue, own, b)]
        killed = [lost for lost in sizing.lost if lost.load_class and lost.container in own.holds]
        name = cooker_name(index, own)
        rule = draft.rule(
            f"cooker:{index + 1}",
            "cooker",
            f"[[lab.cooker]] {index + 1}",
            facts={
                "kind": own.kind,
                "loads": str(own.loads_per_day),
                "holds": ", ".join(f"{n} x {c}" for c, n in own.holds.items()),
            },
        )
        result.append(
            Cooker(
                name,
                rule,
                own.loads_per_day,
                share,
                {bench.cook(b): b.started * (share // own.holds[b.container]) for b in fits}
                | {bench.kill(one): len(one.units) * (share // own.holds[one.container]) for one in killed},
                {bench.cook(b): str(b.load_class) for b in fits}
                | {bench.kill(one): str(one.load_class) for one in killed},
            )
        )
    return tuple(result)


def _fits(catalogue: Catalogue, own: OwnCooker, batch: BatchSpec) -> bool:
    """Whether a batch that is cooked may be so in a vessel."""
    return batch.load_class is not None and own.treats(
        batch.container, treatments(catalogue, batch.species, batch.stage)
    )


def load_minutes(
    season: Season, catalogue: Catalogue, sizing: Sizing
) -> dict[tuple[str, str], tuple[int, int]]:
    """(hands, attended) minutes of one load, by cooker and class: the longest of what may be in it."""
    minutes: dict[tuple[str, str], tuple[int, int]] = {}
    for key, times, factor in _load_times(season, catalogue, sizing):
        attended = cook_minutes(times.heat_up.likely, times.hold.likely, factor, times.cool.likely)
        hands = round(times.hands.likely)
        before = minutes.get(key, (0, 0))
        minutes[key] = (max(before[0], hands), max(before[1], attended, hands))
    return minutes


def hold_minutes(season: Season, catalogue: Catalogue, sizing: Sizing) -> dict[tuple[str, str], int]:
    """Minutes for which a load is held at heat, by cooker and class: the longest of what may be in it."""
    minutes: dict[tuple[str, str], int] = {}
    for key, times, factor in _load_times(season, catalogue, sizing):
        minutes[key] = max(minutes.get(key, 0), whole_up(times.hold.likely * factor))
    return minutes


def _load_times(
    season: Season, catalogue: Catalogue, sizing: Sizing
) -> Iterator[tuple[tuple[str, str], Treatment, float]]:
    """Whatever may be in a load, by cooker and class, with how many times longer than usual it is held.

    The hold is lengthened for altitude at the gauge's pressure, never the pressure raised.
    """
    for index, own in enumerate(season.lab.cookers):
        how = VESSEL_TREATMENT[own.kind]
        factor = 1.0
        if how == "pressure":
            factor = hold_factor(
                own.gauge_psi or 0.0,
                season.site.elevation_m,
                reference_c=steam_temperature(FULL_GAUGE_PSI, 0.0),
            )
        held = [(b.load_class, b.container) for b in sizing.batches() if _fits(catalogue, own, b)]
        held += [(one.load_class, one.container) for one in sizing.lost if one.container in own.holds]
        for load_class, container in held:
            if load_class is not None:
                times = treatment(catalogue, how, load_class, container)
                yield (cooker_name(index, own), str(load_class)), times, factor
