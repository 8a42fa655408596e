"""Judges the cookers: what has to be made fits into one of them, and somebody is at home for a whole load."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from scheduler import measures
from scheduler.season.findings import Findings
from scheduler.season.permissions import needs_cooking
from scheduler.season.season import VESSEL_TREATMENT, Cooker, Lab, People, Planting, Stock
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import WEEKDAYS


@dataclass(frozen=True)
class Made:
    """A stage that has to be made for a planting, in the container of this lab."""

    planting: str
    species: str
    stage: str
    container: str
    key: str
    """The key of the lab that names the container."""


def judge(
    plantings: Sequence[Planting],
    stock: Sequence[Stock],
    lab: Lab,
    people: People,
    catalogue: Catalogue,
    findings: Findings,
) -> None:
    """A fault for what no cooker of the lab can make, a warning for a cooker with which nobody can stay."""
    all_made = _made(plantings, stock, lab)
    _judge_cookers(all_made, lab, catalogue, findings)
    _warn_of_long_loads(all_made, lab, people, catalogue, findings)


def _made(plantings: Sequence[Planting], stock: Sequence[Stock], lab: Lab) -> list[Made]:
    """Everything that has to be cooked for the plantings, given what is in hand."""
    found = []
    for planting in plantings:
        if planting.spawn != "make":  # what cannot be made may be bought
            continue
        strain = (planting.species, planting.strain)
        in_hand = {one.stage for one in stock if (one.species, one.strain) == strain}
        for stage in needs_cooking(planting.route, in_hand):
            key = "grain_in" if stage == "grain" else "spawn_in"
            container = lab.dowels_in if stage == "dowels" else getattr(lab, key)
            found.append(Made(planting.name, planting.species, stage, container, key))
    return found


def _judge_cookers(all_made: Sequence[Made], lab: Lab, catalogue: Catalogue, findings: Findings) -> None:
    """Every stage that has to be made fits into a cooker, or does without one."""
    missing: dict[tuple[str, str, tuple[str, ...], str], list[str]] = {}
    for one in all_made:
        ways = _ways(one, catalogue)
        box = catalogue.lab.container.get(one.container)
        in_tub = "tub" in ways and box is not None and box.tub_holds is not None
        if not in_tub and not any(cooker.treats(one.container, ways) for cooker in lab.cookers):
            missing.setdefault((one.key, one.stage, ways, one.container), []).append(one.planting)
    for (key, stage, ways, container), who in missing.items():
        kinds = [kind for kind, way in VESSEL_TREATMENT.items() if way in ways]
        cooker = "a [[lab.cooker]]" if len(kinds) > 1 else f'a [[lab.cooker]] of the kind "{kinds[0]}"'
        right_kind = any(one.kind in kinds for one in lab.cookers)
        holds = f'holds = {{ "{container}" = 3 }}'
        findings.fault(
            ("lab", "cooker", 0, "holds") if len(lab.cookers) == 1 and right_kind else ("lab", "cooker"),
            f"no cooker for it: {stage} in a {container} needs {' or '.join(ways)}",
            f'{cooker} whose holds names "{container}", for ' + ", ".join(f'"{name}"' for name in who),
            f"for example {holds}, or another {key} under [lab]"
            if right_kind
            else f'for example another [[lab.cooker]] with kind = "{kinds[0]}" and {holds}',
        )


def _warn_of_long_loads(
    all_made: Sequence[Made], lab: Lab, people: People, catalogue: Catalogue, findings: Findings
) -> None:
    """A cooker whose shortest load is longer than anybody is at home: it would stand there unused.

    Holds get longer with height above the sea, so this names only what is too long everywhere.
    """
    longest = max(people.home_minutes.values(), default=0)
    day = max(people.home_minutes, key=lambda name: people.home_minutes[name], default=WEEKDAYS[5])
    for index, cooker in enumerate(lab.cookers):
        loads = {
            one: minutes
            for one in all_made
            if cooker.treats(one.container, _ways(one, catalogue))
            and (minutes := _attended(one, cooker, catalogue))
        }
        too_long = {one: minutes for one, minutes in loads.items() if minutes > longest}
        if too_long:
            one, minutes = min(too_long.items(), key=lambda item: item[1])
            findings.warn(
                f"lab.cooker[{index}]: a load of {one.stage} in the {cooker.kind} keeps somebody at home for "
                f"{measures.duration(minutes)}, but the longest day of [people].home has "
                f"{measures.duration(longest)}, so none can be cooked in it; where somebody can stay longer, "
                f"write so, for example home = {{ {day} = {-(-minutes // 60)} }}"
            )


def _ways(one: Made, catalogue: Catalogue) -> tuple[str, ...]:
    """Heat treatments that suit a stage."""
    named: dict[str, list[str]] = dict(catalogue.species[one.species].treatments)  # type: ignore[arg-type]
    return tuple(named.get(one.stage, VESSEL_TREATMENT.values()))


def _attended(one: Made, cooker: Cooker, catalogue: Catalogue) -> int | None:
    """The least minutes of a load from lighting to leaving; None where the catalogue does not know."""
    kind = "grain" if one.stage == "grain" else "bags"
    how = VESSEL_TREATMENT[cooker.kind]
    times = [time for time in catalogue.lab.treatment if (time.name, time.class_) == (how, kind)]
    named = [time for time in times if one.container in time.containers] or times
    least = (time.heat_up.likely + time.hold.likely + time.cool.likely for time in named)
    return round(min(least)) if named else None
