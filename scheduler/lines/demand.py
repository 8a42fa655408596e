"""What one planting takes: pieces, grams of finished spawn, minutes, supplies, weight.

Geometry comes from `science.quantities`, rates from the method's profile. Figures a method must have:
drilled logs ``hole_diameter_mm hole_depth_mm spacing_along_cm spacing_around_cm packing_density_g_ml
dowel_diameter_mm dowel_depth_mm dowel_mass_g``;
wedge-cut logs ``cuts_spacing_cm wedge_width_mm kerf_width_mm depth_fraction fill_density_g_ml``; log raft and
chip bed ``spawn_kg_per_m2``; totem ``layers layer_depth_mm cap_cm fill_density_g_ml bag_rule_g``; stump
``cap_depth_mm fill_density_g_ml``.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from scheduler import measures
from scheduler.lines import layouts, yard_minutes
from scheduler.lines.layouts import length_cm
from scheduler.lines.shapes import Demand
from scheduler.measures import Units
from scheduler.plan import Supply
from scheduler.science import quantities
from scheduler.season.season import LogGroup, Planting, Season
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.shapes import Figure, Method


def _drilled(planting: Planting, method: Method, units: Units) -> tuple[float, str, list[str]]:
    spacing = layouts.hole_spacing(planting, method)
    grams = hole_grams(method, planting.route[-1])
    kind = ""
    if planting.route[-1] == "dowels":
        kind = f" of {measures.bore(method.figures['dowel_diameter_mm'].likely, units)}, a dowel in each"
    holes = 0
    patterns = []
    for group in planting.groups:
        rows, each = layouts.holes(group, spacing)
        holes += group.count * rows * each
        patterns.append(f"{rows} rows x {each} holes on {measures.counted(group.count, 'log')}")
    text = (
        f"{measures.spacing(spacing.along_cm, spacing.around_cm, units)}: "
        + ", ".join(patterns)
        + f" ({holes} holes{kind})"
    )
    return holes * grams, text, []


def hole_grams(method: Method, stage: str) -> float:
    """Grams of spawn of a stage in one drilled hole."""
    figures = method.figures
    if stage == "dowels":
        return figures["dowel_mass_g"].likely
    return quantities.hole_grams(
        figures["hole_diameter_mm"].likely,
        figures["hole_depth_mm"].likely,
        figures["packing_density_g_ml"].likely,
    )


def _wedge(planting: Planting, method: Method, units: Units) -> tuple[float, str, list[str]]:
    kind = layouts.cut_of(planting)
    grams, patterns = 0.0, []
    for group in planting.groups:
        one = layouts.sawn(group, kind, method)
        grams += group.count * len(one.places) * one.cut_g
        patterns.append(
            f"{measures.counted(len(one.places), kind)} of {measures.mass(one.cut_g, units)} "
            f"on {measures.counted(group.count, 'log')}"
        )
    spacing = measures.length(method.figures["cuts_spacing_cm"].likely, units)
    return grams, f"a {kind} every {spacing}, on opposing sides by turns: {', '.join(patterns)}", []


def _raft(planting: Planting, method: Method, units: Units) -> tuple[float, str, list[str]]:
    rate = method.figures["spawn_kg_per_m2"].likely
    area = quantities.raft_area_m2([(g.count, g.diameter_cm, length_cm(g)) for g in planting.groups])
    return quantities.bed_grams(area, rate), f"{measures.area(area, units)} of raft{_at(rate, units)}", []


def _totem(planting: Planting, method: Method, units: Units) -> tuple[float, str, list[str]]:
    figures = method.figures
    layers = round(figures["layers"].likely)
    geometry = sum(
        group.count
        * quantities.totem_grams(
            group.diameter_cm,
            layers,
            figures["layer_depth_mm"].likely,
            figures["fill_density_g_ml"].likely,
        )
        for group in planting.groups
    )
    by_bag = figures["bag_rule_g"].likely * sum(group.count for group in planting.groups)
    note = (
        f"Sources differ on totem spawn: layers by geometry take {measures.mass(geometry, units)}, "
        f"the bag rule {measures.mass(by_bag, units)}; the larger is planned."
    )
    return max(geometry, by_bag), f"{layers} layers of spawn a totem", [note]


def _stump(planting: Planting, method: Method, units: Units) -> tuple[float, str, list[str]]:
    figures = method.figures
    grams = sum(
        group.count
        * quantities.stump_grams(
            group.diameter_cm, figures["cap_depth_mm"].likely, figures["fill_density_g_ml"].likely
        )
        for group in planting.groups
    )
    depth = measures.length(figures["cap_depth_mm"].likely / 10, units)
    return grams, f"a layer of {depth} under a cap on each stump", []


def _bed(planting: Planting, method: Method, units: Units) -> tuple[float, str, list[str]]:
    rate = method.figures["spawn_kg_per_m2"].likely
    area = planting.area_m2 or 0.0
    return quantities.bed_grams(area, rate), f"{measures.area(area, units)}{_at(rate, units)}", []


def _at(rate_kg_m2: float, units: Units) -> str:
    return (
        f" at {measures.mass(rate_kg_m2 * 1000, units)} a m2"
        if units == "metric"
        else (f" at {measures.mass(rate_kg_m2 * 1000 / measures.SQUARE_FEET_PER_M2, units)} a sq ft")
    )


_SPAWN: dict[str, Callable[[Planting, Method, Units], tuple[float, str, list[str]]]] = {
    "drilled logs": _drilled,
    "wedge-cut logs": _wedge,
    "log raft": _raft,
    "totem": _totem,
    "stump": _stump,
    "chip bed": _bed,
}


def demand(planting: Planting, season: Season, catalogue: Catalogue) -> Demand:
    """The demand of one planting; its steps are all of the method's, whoever fells."""
    method = catalogue.methods[planting.method]
    grams, pattern, notes = _SPAWN[planting.method](planting, method, season.units)
    count = sum(group.count for group in planting.groups)
    pieces = count or max(1, math.ceil(planting.area_m2 or 1.0))
    # A bed of 6.3 m2 is 7 pieces of 0.9 m2: minutes and supplies go by the true area.
    scale = 1.0 if count else (planting.area_m2 or 1.0) / pieces
    masses = [mass_kg(group, planting, catalogue) for group in planting.groups]
    more, trips = _felled(planting, season, catalogue, masses)
    depth = planting.depth_cm or (method.figures["depth_cm"].likely if "depth_cm" in method.figures else 0.0)
    return Demand(
        planting=planting.name,
        pieces=pieces,
        size=size_in_words(method, count, planting.area_m2, season.units),
        pattern=pattern,
        spawn_g=grams * (1.0 + catalogue.lab.handling.likely),
        steps=yard_minutes.steps(
            method,
            pieces,
            more=more,
            scale=scale,
            trip_minutes=trips * catalogue.wood_rules.trip.likely,
        ),
        supplies=tuple(
            Supply(supply.item, _amount(supply.per_piece, scale * pieces), supply.per_piece.unit)
            for supply in method.supplies
            if supply.cut in (None, planting.cut)
        ),
        chips_l=quantities.chip_litres(planting.area_m2 or 0.0, depth) if method.wood == "chips" else 0.0,
        wood_kg=sum(g.count * mass for g, mass in zip(planting.groups, masses, strict=True)),
        heaviest_piece_kg=max(masses, default=0.0),
        notes=tuple(notes),
        layout=tuple(layouts.sentences(planting, method, season.units)),
        spare_pieces=more,
        trips=trips,
    )


def _amount(per_piece: Figure, pieces: float) -> float:
    """So much for so many pieces; what is counted is a whole number of them."""
    amount = round(per_piece.likely * pieces, 1)
    return math.ceil(amount) if per_piece.unit == "pieces" else amount


def _felled(
    planting: Planting, season: Season, catalogue: Catalogue, masses: Sequence[float]
) -> tuple[int, int]:
    """Logs to be felled beyond the need, and trips of a cart for all; none of wood that is down.

    What is bought is ordered and brought by the piece.
    """
    method, rules = catalogue.methods[planting.method], catalogue.wood_rules
    is_down = planting.felled is not None and planting.felled <= season.today
    if method.wood != "logs" or is_down or season.people.felling == "bought":
        return 0, 0
    more = yard_minutes.spares(method, sum(group.count for group in planting.groups), rules.spare_from.likely)
    counts = [group.count for group in planting.groups]
    counts[masses.index(max(masses))] += more  # a spare serves for any other only if it is as thick as any
    return more, yard_minutes.trips(zip(counts, masses, strict=True), rules.cart_load.likely)


def mass_kg(group: LogGroup, planting: Planting, catalogue: Catalogue) -> float:
    """Mass of one log of a group when it is felled."""
    return quantities.log_mass_kg(group.diameter_cm, length_cm(group), catalogue.green_density(planting.wood))


def size_in_words(method: Method, count: int, area_m2: float | None, units: Units) -> str:
    """So many pieces of a method, or the area of a bed."""
    if method.piece == "m2":
        return measures.area(area_m2 or 0.0, units)
    return measures.counted(count, method.piece)
