"""Resolves the lab: workspace, containers, cookers and the two rooms."""

from __future__ import annotations

from collections.abc import Mapping

from scheduler import measures
from scheduler.measures import Units
from scheduler.season.findings import Findings
from scheduler.season.names import Names
from scheduler.season.season import DOWEL_BAG, Cooker, Lab, OwnContainer, Room
from scheduler.season.shapes import ContainerTable, CookerTable, LabTable, RoomTable, StockTable
from scheduler.season.values import ALL_YEAR
from scheduler.season.where import Loc
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.shapes import Defaults

MEDIA_CONTAINERS = ("plate", "culture bottle")
"""What holds home-made media."""


_CONTENTS = {
    "liquid culture": "liquid",
    "grain": "grain",
    "sawdust": "sawdust",
    "pellet": "sawdust",
    "dowels": "sawdust",
}
"""What a container has to hold for a stage."""


def lab(
    table: LabTable, catalogue: Catalogue, units: Units, findings: Findings, *, dowels: bool = False
) -> Lab:
    """The lab with the defaults of the catalogue; `dowels` says whether any are made."""
    defaults = catalogue.defaults
    names = Names(catalogue, tuple(table.containers))
    own = {name: _container(name, one, units, findings) for name, one in table.containers.items()}
    _each_name_once(own, findings)
    grain_in = findings.default("lab.grain_in", table.grain_in, names.container(defaults.grain_in))
    spawn_in = findings.default("lab.spawn_in", table.spawn_in, names.container(defaults.spawn_in))
    _holds_grain_and_spawn(grain_in, spawn_in, own, catalogue, findings)
    usual = CookerTable.model_validate(defaults.cooker, context=names)
    workspace = findings.default("lab.workspace", table.workspace, defaults.workspace)
    media = findings.default("lab.media", table.media, defaults.media)
    dowels_in = _dowels_in(table, spawn_in)
    in_use = (grain_in, spawn_in, *((dowels_in,) if dowels else ()))
    cooked = dict.fromkeys((*in_use, *(MEDIA_CONTAINERS if media == "own" else ())))
    usual_holds = {**_fits(catalogue, tuple(cooked)), **(usual.holds or {})}
    return Lab(
        workspace=workspace,
        grain_in=grain_in,
        spawn_in=spawn_in,
        media=media,
        cookers=_cookers(table.cooker, usual, usual_holds, findings),
        shelf=_room("shelf", table.shelf, defaults, units, findings),
        fridge=_room("fridge", table.fridge, defaults, units, findings),
        containers=own,
        dowels_in=dowels_in,
    )


def _dowels_in(table: LabTable, spawn_in: str) -> str:
    """Dowels go into their own bags where a cooker is said to hold them, or where nothing is said at all."""
    held = [cooker.holds for cooker in table.cooker]
    if any(DOWEL_BAG in holds for holds in held if holds):
        return DOWEL_BAG
    is_free = table.spawn_in is None and (not held or None in held)
    return DOWEL_BAG if is_free else spawn_in


def _container(name: str, table: ContainerTable, units: Units, findings: Findings) -> OwnContainer:
    if table.grain is table.sawdust is table.liquid is None:
        findings.fault(
            ("lab", "containers", name),
            "a container without contents",
            "grain, sawdust or liquid: what one filled unit holds",
            'for example grain = "1.7 kg"',
        )
    # A litre of grain, sawdust or liquid never weighs more than a litre of water.
    fullest = max(table.grain or 0, table.sawdust or 0, table.liquid or 0)
    if fullest > table.volume * 1000:
        findings.fault(
            ("lab", "containers", name, "volume"),
            f"{measures.volume(table.volume, units)}, less than what is filled into it",
            f"the room that one filled unit takes, {measures.volume(fullest / 1000, units)} or more",
        )
    return OwnContainer(table.volume, table.grain, table.sawdust, table.liquid)


def _each_name_once(own: Mapping[str, OwnContainer], findings: Findings) -> None:
    seen: dict[str, str] = {}
    for name in own:
        first = seen.setdefault(name.casefold(), name)
        if first != name:
            findings.fault(
                ("lab", "containers", name),
                f'"{name}", the name of "{first}" too',
                "a name of its own for each container",
            )


def _holds_grain_and_spawn(
    grain_in: str,
    spawn_in: str,
    own: Mapping[str, OwnContainer],
    catalogue: Catalogue,
    findings: Findings,
) -> None:
    for key, name, content in (("grain_in", grain_in, "grain"), ("spawn_in", spawn_in, "sawdust")):
        if findings.clean("lab", "containers"):
            _require_content(("lab", key), name, content, own, catalogue, findings)


def stock_containers(tables: list[StockTable], room: Lab, catalogue: Catalogue, findings: Findings) -> None:
    """Judges whether what is in hand can be in the container that is named for it."""
    for index, table in enumerate(tables):
        content = _CONTENTS.get(table.stage or "")
        if table.container and content and findings.clean("lab", "containers"):
            loc = ("stock", index, "container")
            _require_content(loc, table.container, content, room.containers, catalogue, findings)


def _require_content(
    loc: Loc,
    name: str,
    content: str,
    own: Mapping[str, OwnContainer],
    catalogue: Catalogue,
    findings: Findings,
) -> None:
    measure = "ml" if content == "liquid" else "g"
    holding = {other: bool(getattr(box, content)) for other, box in catalogue.lab.container.items()}
    holding.update({other: bool(getattr(box, f"{content}_{measure}")) for other, box in own.items()})
    if not holding[name]:
        fitting = ", ".join(other for other, holds in holding.items() if holds)
        findings.fault(
            loc, f'"{name}", which holds no {content}', f"a container that holds {content}: {fitting}"
        )


def _fits(catalogue: Catalogue, names: tuple[str, ...]) -> dict[str, int]:
    """What the usual pressure cooker holds of the containers in use, where the catalogue knows."""
    boxes = {name: catalogue.lab.container[name] for name in names if name in catalogue.lab.container}
    return {name: round(box.pressure_holds.likely) for name, box in boxes.items() if box.pressure_holds}


def _cookers(
    tables: list[CookerTable], usual: CookerTable, usual_holds: Mapping[str, int], findings: Findings
) -> tuple[Cooker, ...]:
    usual_words = " or ".join(f"{count} x {name}" for name, count in usual_holds.items())
    if not tables:
        findings.assume(
            "lab.cooker",
            f"one {usual.kind}, {usual_words} in a load, {_loads(usual)}, {usual.gauge:g} psi",
        )
        return (Cooker(usual.kind, usual.loads_per_day or 1, usual.gauge, usual.rated, usual_holds),)
    cookers = []
    for index, table in enumerate(tables):
        key = f"lab.cooker[{index}]"
        holds = table.holds
        if holds is None and table.kind != usual.kind:
            findings.fault(
                ("lab", "cooker", index, "holds"),
                "no holds",
                f"how many units a {table.kind} takes in one load",
                'for example holds = { "quart jar" = 40 }',
            )
        gauge, rated = _pressures(index, table, usual, findings)
        cookers.append(
            Cooker(
                kind=table.kind,
                loads_per_day=findings.default(
                    f"{key}.loads_per_day", table.loads_per_day, usual.loads_per_day or 1
                ),
                gauge_psi=gauge,
                rated_psi=rated,
                holds=holds or findings.default(f"{key}.holds", None, usual_holds, usual_words),
            )
        )
    return tuple(cookers)


def _loads(cooker: CookerTable) -> str:
    loads = cooker.loads_per_day or 1
    return "1 load a day" if loads == 1 else f"{loads} loads a day"


def _pressures(
    index: int, table: CookerTable, usual: CookerTable, findings: Findings
) -> tuple[float | None, float | None]:
    """Gauge and rated pressure; a gauge above the rating is refused, whoever wrote it."""
    loc = ("lab", "cooker", index)
    if table.kind != usual.kind:
        for key in ("gauge", "rated"):
            if getattr(table, key) is not None:
                findings.fault(
                    (*loc, key), f"a pressure for a {table.kind}", f"no {key}: a {table.kind} has no pressure"
                )
        return None, None
    key = f"lab.cooker[{index}]"
    rated = findings.default(f"{key}.rated", table.rated, usual.rated, f"{usual.rated:g} psi")
    least = min(usual.gauge or 0.0, rated or 0.0)
    gauge = findings.default(f"{key}.gauge", table.gauge, least, f"{least:g} psi")
    if rated is not None and gauge > rated:
        findings.fault(
            (*loc, "gauge"),
            f"{gauge:g} psi, above the rated {rated:g} psi" + ("" if table.rated else " that is assumed"),
            "at most the rated pressure of the vessel, never more",
            "lengthen the time instead" if table.rated else "write rated as the maker gives it",
        )
    return gauge, rated


def _room(key: str, table: RoomTable, defaults: Defaults, units: Units, findings: Findings) -> Room:
    if table.holds is not None and table.volume is not None:
        findings.fault(("lab", key, "holds"), "both holds and volume", "either holds or volume for one room")
    usual = RoomTable.model_validate(getattr(defaults, key))
    usual_warmth = usual.temperature or {}
    by_month = findings.default(
        f"lab.{key}.temperature",
        table.temperature,
        usual_warmth,
        measures.temperature(usual_warmth[ALL_YEAR], units),
    )
    volume = table.volume
    if volume is None and table.holds is None:
        usual_room = usual.volume or 0.0
        words = measures.volume(usual_room, units)
        volume = findings.default(f"lab.{key}.volume", None, usual_room, words)
    if len(by_month) in range(1, 12) and ALL_YEAR not in by_month:
        findings.assume(
            f"lab.{key}.temperature",
            "as in the nearest month given",
            "the season file does not give every month",
        )
    return Room(by_month.get(ALL_YEAR, by_month), table.holds, volume)
