"""The outdoor work of every planting as tasks: fell, buck, haul, prepare chips, weigh and soak, plant."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from itertools import count
from typing import Any

from scheduler import measures
from scheduler.assemble import yard_words
from scheduler.assemble.frame import Frame
from scheduler.assemble.writer import Writer
from scheduler.lines.shapes import Demand
from scheduler.lines.yard_minutes import FELLING_KINDS, counted_among
from scheduler.plan import Moisture, Supply
from scheduler.problem import yard
from scheduler.science.rounding import whole_up
from scheduler.season.season import Planting
from scheduler.workdays import ONE_DAY

SOAK_DAYS = 2
"""Dry logs are soaked 24 to 48 hours (common practice)."""


def write(writer: Writer, moisture: Mapping[str, Moisture | None], release: Mapping[str, str]) -> None:
    """Write the yard tasks of all plantings; `release` holds the last lab task of every batch."""
    frame = writer.frame
    for planting in frame.season.plantings:
        demand = frame.sizing.demand(planting.name)
        before = _felling(writer, planting, demand)
        before += _chips(writer, planting, demand)
        before += _soak(writer, planting, demand, soak_on(frame, planting, moisture[planting.name]))
        spawn = [
            task.id
            for task in writer.tasks
            if task.kind == "take-out" and planting.name in frame.batches[task.batch or ""].plantings
        ] or [release[b.id] for b in frame.finished(planting.name) if b.id in release]
        _plant(writer, planting, demand, [*before, *spawn])


def soak_on(frame: Frame, planting: Planting, moisture: Moisture | None) -> date | None:
    """Day on which too dry logs go into water: two days before planting, or near it; None where not."""
    if moisture is None or moisture.likely >= frame.catalogue.wood_rules.moisture_ideal.likely:
        return None
    first = frame.first(yard.plant(planting.name))
    return frame.near(
        first - timedelta(days=yard.SOAKED_WITHIN),
        first - ONE_DAY,
        first - timedelta(days=SOAK_DAYS),
    )


def _facts(frame: Frame, planting: Planting, demand: Demand) -> list[str]:
    facts = [f"species:{planting.species}", f"method:{planting.method}"]
    if planting.cut:
        facts.append(f"cut:{planting.cut}")
    if planting.chips:
        facts.append(f"chips:{planting.chips}")
    if demand.heaviest_piece_kg > frame.catalogue.wood_rules.two_person_mass.likely:
        facts.append("lift")
    return facts


def pieces_words(frame: Frame, planting: Planting, pieces: int, piece: str) -> str:
    """So many pieces in words; the whole planting by its own size."""
    demand = frame.sizing.demand(planting.name)
    if pieces == demand.pieces:
        return demand.size
    if piece == "m2":
        return measures.area((planting.area_m2 or 0) * pieces / demand.pieces, frame.season.units)
    return measures.counted(pieces, piece)


def _parts(frame: Frame, work: str) -> list[tuple[int | None, date, int]]:
    """(number of the part, None if there is only one, day, pieces) of a work; those done keep theirs."""
    days = frame.on(work)
    done = {task.removeprefix(f"{work}:") for task in frame.progress.done if task.startswith(f"{work}:")}
    begun = done or work in frame.progress.done
    free = (number for number in count(1) if str(number) not in done)
    return [
        (number if begun or len(days) > 1 else None, day, frame.pieces(work, day))
        for number, day in zip(free, days, strict=False)
    ]


def _wood(frame: Frame, demand: Demand, kind: str, pieces: int, spares: int) -> str:
    """What so much wood weighs; of a haul also how often the cart goes."""
    units = frame.season.units
    green = measures.mass(1000 * demand.wood_kg * (pieces + spares) / demand.pieces, units)
    if kind != "haul" or not demand.trips:
        return f"About {green} of green wood."
    trips = measures.counted(-(-demand.trips * pieces // demand.pieces), "trip")
    cart = measures.mass(1000 * frame.catalogue.wood_rules.cart_load.likely, units)
    return f"About {green} of green wood: {trips} with a cart that takes {cart}."


def _of_step(frame: Frame, planting: Planting, kind: str, pieces: int) -> dict[str, Any]:
    """Minutes, their spread, stations and tools of a step of the method, for so many pieces."""
    demand, method = frame.sizing.demand(planting.name), frame.catalogue.methods[planting.method]
    step = demand.step(kind)
    if step is None:
        return {"minutes": 0}
    minutes = step.minutes_per_piece * pieces
    return {
        "minutes": minutes,
        "spread": yard_words.spread(step, pieces, demand.pieces, minutes) if step.parts else None,
        "steps": yard_words.stations(step, pieces, demand.pieces),
        "tools": yard_words.tools(method, [kind], planting.route[-1], frame.season.units),
    }


def _felling(writer: Writer, planting: Planting, demand: Demand) -> list[str]:
    """Fell, buck and haul on each felling day: one work, so they move together and wait equally long."""
    frame = writer.frame
    name = yard.fell(planting.name)
    if yard.is_down(planting, frame.season.today) or not frame.has(name):
        return []
    felling = frame.season.people.felling
    verbs = {
        "fell": {"own": "Fell wood for", "hired": "Trees are felled (hired) for", "bought": ""},
        "buck": {"own": "Buck and trim", "hired": "Buck and trim", "bought": ""},
        "haul": {"own": "Haul", "hired": "Haul", "bought": "Logs are delivered:"},
    }
    own, piece = yard.OWN_KINDS[felling], frame.catalogue.methods[planting.method].piece
    tasks: list[str] = []
    before = demand.pieces - (demand.begun.to_fell if demand.begun else demand.pieces)
    for number, day, pieces in _parts(frame, name):
        last: list[str] = []
        slip_to = frame.slip_part(name, day)
        spares = counted_among(demand.spare_pieces, demand.pieces, before, pieces)
        before += pieces
        # The pieces come first: recorded amounts are read against them, and spares count for none.
        logs = measures.counted(pieces, piece) + (
            f" and {measures.counted(spares, 'spare')}" if spares else ""
        )
        for kind in FELLING_KINDS:
            verb = verbs[kind][felling]
            if not verb:
                continue
            last = [
                writer.write(
                    kind,
                    f"{verb} {logs}: {planting.name}" + (f" ({planting.wood})" if planting.wood else ""),
                    day,
                    owner=planting.name,
                    part=number,
                    slip_to=slip_to,
                    **(_of_step(frame, planting, kind, pieces) if kind in own else {"minutes": 0}),
                    place="yard" if kind in own else "other",
                    planting=planting.name,
                    after=last,
                    why="Dormant wood keeps its bark and its sugar; it has to be down before the buds swell."
                    if kind == "fell"
                    else _wood(frame, demand, kind, pieces, spares),
                    facts=_facts(frame, planting, demand),
                )
            ]
        tasks += last
    return tasks


def _chips(writer: Writer, planting: Planting, demand: Demand) -> list[str]:
    frame = writer.frame
    name = yard.prepare_chips(planting.name)
    if not frame.has(name) or frame.is_fixed(name):
        return []
    how = {
        "wetted in place": "Spread and wet the chips",
        "soaked": "Soak the chips",
        "fermented": "Sink the chips under water to ferment",
    }[planting.chips or "wetted in place"]
    return [
        writer.write(
            "prepare-chips",
            f"{how} for {pieces_words(frame, planting, pieces, 'm2')}: {planting.name}",
            day,
            owner=planting.name,
            part=number,
            slip_to=frame.slip_part(name, day),
            **_of_step(frame, planting, "prepare-chips", pieces),
            place="yard",
            planting=planting.name,
            why="Chips are wet through before the spawn goes in.",
            supplies=[Supply("wood chips", round(demand.chips_l * pieces / demand.pieces), "L")],
            facts=_facts(frame, planting, demand),
        )
        for number, day, pieces in _parts(frame, name)
    ]


def _soak(writer: Writer, planting: Planting, demand: Demand, day: date | None) -> list[str]:
    if day is None:
        return []
    frame = writer.frame
    facts = _facts(frame, planting, demand)
    waits = frame.waits(day, frame.first(yard.plant(planting.name)) - ONE_DAY)
    # Small work: it needs no free day of its own, only somebody there, on the evening before at the latest.
    weighed = writer.write(
        "weigh",
        f"Weigh two logs: {planting.name}",
        day,
        owner=planting.name,
        slip_to=waits,
        minutes=10,
        small=True,
        place="yard",
        planting=planting.name,
        why="The logs may have dried below the best moisture.",
        facts=facts,
    )
    return [
        writer.write(
            "soak-logs",
            f"Soak {demand.size} for a day or two: {planting.name}",
            day,
            owner=planting.name,
            slip_to=waits,
            minutes=20,
            small=True,
            place="yard",
            planting=planting.name,
            after=[weighed],
            why="Wood between the floor and the best moisture is soaked before it is planted.",
            facts=[*facts, "tank"],
        )
    ]


def _share(supply: Supply, before: int, pieces: int, of: int) -> float:
    """What so many pieces after `before` others take of a supply; what is counted is shared out whole."""
    if supply.unit != "pieces":
        return round(supply.quantity * pieces / of, 1)
    return counted_among(round(supply.quantity), of, before, pieces)


def _plant(writer: Writer, planting: Planting, demand: Demand, after: list[str]) -> None:
    frame = writer.frame
    name = yard.plant(planting.name)
    method = frame.catalogue.methods[planting.method]
    due = {task.id: task.on for task in writer.tasks}
    before: list[str] = []
    planted = 0
    for number, day, pieces in _parts(frame, name):
        words = pieces_words(frame, planting, pieces, method.piece)
        share = pieces / demand.pieces
        title = method.verb.format(size=words)
        work = _of_step(frame, planting, "plant", pieces)
        spawn = f"Spawn: {', '.join(b.id for b in frame.finished(planting.name))}."
        steps = [spawn, *_with_dowels(frame, planting), *demand.layout, *work["steps"]]
        before = [
            writer.write(
                "plant",
                f"{title[:1].upper()}{title[1:]}: {planting.name}",
                day,
                owner=planting.name,
                part=number,
                slip_to=frame.slip_part(name, day),
                **{**work, "steps": steps},
                place="yard",
                planting=planting.name,
                # Spawn for a later day comes out of the fridge later.
                after=[*(task for task in after if due[task] <= day), *before],
                why=f"{planting.species} on {planting.wood or 'chips'}; {demand.pattern}.",
                facts=_facts(frame, planting, demand),
                supplies=[
                    _spawn(frame, planting, demand, share),
                    *(
                        Supply(s.item, _share(s, planted, pieces, demand.pieces), s.unit)
                        for s in demand.supplies
                    ),
                ],
            ),
        ]
        planted += pieces


def _spawn(frame: Frame, planting: Planting, demand: Demand, share: float) -> Supply:
    """Finished spawn for a share of a planting: dowels by count, everything else by mass."""
    grams = demand.spawn_g * share
    if planting.route[-1] != "dowels":
        return Supply("finished spawn", round(grams / 1000, 2), "kg")
    each_g = frame.catalogue.methods[planting.method].figures["dowel_mass_g"].likely
    return Supply("finished spawn", whole_up(grams / each_g), "dowels")


def _with_dowels(frame: Frame, planting: Planting) -> list[str]:
    """How dowels go in; no more is said of spawn that is packed."""
    if planting.route[-1] != "dowels":
        return []
    figures, units = frame.catalogue.methods[planting.method].figures, frame.season.units
    bore = measures.bore(figures["dowel_diameter_mm"].likely, units)
    depth = measures.bore(figures["dowel_depth_mm"].likely, units)
    return [
        f"Drill holes of {bore}, {depth} deep, with a stop on the bit: a little deeper than a dowel is long.",
        "Knock one dowel into each hole until it is flush with the bark, then seal it with hot wax.",
    ]
