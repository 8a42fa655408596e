"""How spawn is laid out on logs: hole patterns and saw cuts, in numbers and in sentences."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from scheduler import measures
from scheduler.measures import Units
from scheduler.science import cuts, quantities
from scheduler.season.season import LogGroup, Pattern, Planting
from scheduler.trade.shapes import Method


@dataclass(frozen=True)
class Sawn:
    """The cuts of one log: where they stand, how they are sawn, and what one holds."""

    kind: str
    places: tuple[cuts.Cut, ...]
    width_mm: float
    depth_cm: float
    left_whole: float
    """Share of a cross-section beside the cut."""
    cut_g: float
    """Grams of spawn in one cut."""


def length_cm(group: LogGroup) -> float:
    """Length of logs; stumps have none."""
    return group.length_cm or 0.0


def hole_spacing(planting: Planting, method: Method) -> Pattern:
    """The pattern of a planting, else the usual one."""
    figures = method.figures
    usual = Pattern(figures["spacing_along_cm"].likely, figures["spacing_around_cm"].likely)
    return planting.pattern or usual


def holes(group: LogGroup, spacing: Pattern) -> tuple[int, int]:
    """Rows around a log, and holes in each."""
    return (
        quantities.rows(group.diameter_cm, spacing.around_cm),
        quantities.holes_per_row(length_cm(group), spacing.along_cm),
    )


def cut_of(planting: Planting) -> str:
    """The kind of cut of a planting whose method saws cuts."""
    return planting.cut or "wedge"


def sawn(group: LogGroup, kind: str, method: Method, spacing_cm: float | None = None) -> Sawn:
    """The cuts of one log, so far apart or as usual.

    ValueError where the method's figures would have a cross-section cut twice, or by half.
    """
    figures = method.figures
    spacing = figures["cuts_spacing_cm"].likely if spacing_cm is None else spacing_cm
    width_mm, fraction = figures[f"{kind}_width_mm"].likely, figures["depth_fraction"].likely
    depth_cm = fraction * group.diameter_cm
    held = {"wedge": cuts.wedge_ml, "kerf": cuts.kerf_ml}[kind]
    return Sawn(
        kind=kind,
        places=cuts.layout(length_cm(group), spacing, width_mm, fraction),
        width_mm=width_mm,
        depth_cm=depth_cm,
        left_whole=cuts.left_whole(group.diameter_cm, depth_cm),
        cut_g=held(group.diameter_cm, width_mm, depth_cm) * figures["fill_density_g_ml"].likely,
    )


def sentences(planting: Planting, method: Method, units: Units) -> Iterator[str]:
    """Where holes are drilled or cuts sawn, a sentence for each size of log; nothing for other methods."""
    for group in planting.groups:
        where = "" if len(planting.groups) == 1 else f"Logs of {_cm(group.diameter_cm, units)}: "
        if method.name == "drilled logs":
            yield where + _holes(group, hole_spacing(planting, method), units)
        elif method.name == "wedge-cut logs":
            yield where + _cuts(sawn(group, cut_of(planting), method), units)


def _holes(group: LogGroup, spacing: Pattern, units: Units) -> str:
    rows, each = holes(group, spacing)
    if rows == 1 or not each:
        return f"{measures.counted(rows, 'row')} of {measures.counted(each, 'hole')}, spread evenly."
    step = length_cm(group) / each
    return (
        f"{rows} rows around the log, {measures.counted(each, 'hole')} in each, {_cm(step, units)} apart: "
        f"every other row begins {_cm(step / 4, units)} from the end, the rows between "
        f"{_cm(step * 3 / 4, units)}."
    )


def _cuts(one: Sawn, units: Units) -> str:
    sides = [[cut.at_cm for cut in one.places if cut.side_deg == side] for side in (0, 180)]
    near, far = (_list(side, units) for side in sides)
    opening = (
        f"{one.width_mm:.0f} mm"
        if units == "metric"
        else f"{measures.number(round(one.width_mm / 25.4, 2))} in"
    )
    wide = f"{opening} wide" + (" at the bark" if one.kind == "wedge" else "")
    return (
        f"{measures.counted(len(one.places), 'cut')}: {near} from one end on one side"
        + (f", {far} on the other" if sides[1] else "")
        + f"; {_cm(one.depth_cm, units)} deep and {wide}. No cross-section is cut twice, and "
        f"{100 * one.left_whole:.0f} % of each stays whole."
    )


def _list(places: list[float], units: Units) -> str:
    """Places along a log: whole centimetres, or tenths of an inch."""
    if units == "metric":
        return f"{', '.join(f'{cm:.0f}' for cm in places)} cm"
    return f"{', '.join(f'{cm / measures.CM_PER_INCH:.1f}' for cm in places)} in"


def _cm(cm: float, units: Units) -> str:
    """A short length to the tenth."""
    if units == "metric":
        return f"{measures.number(round(cm, 1))} cm"
    return f"{measures.number(round(cm / measures.CM_PER_INCH, 1))} in"
