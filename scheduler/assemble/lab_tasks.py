"""The lab work that makes a batch, as tasks: soak or wet, cook or pasteurise, inoculate."""

from __future__ import annotations

from datetime import date

from scheduler import measures
from scheduler.assemble import care_tasks
from scheduler.assemble.frame import Frame
from scheduler.assemble.loads import LOST, Filling
from scheduler.assemble.words import amount_words, container_words, substrate
from scheduler.assemble.writer import Writer
from scheduler.lines.shapes import BatchSpec, Lost
from scheduler.plan import Supply
from scheduler.problem import bench
from scheduler.science.quantities import units_fed
from scheduler.season.season import VESSEL_TREATMENT
from scheduler.workdays import ONE_DAY

FROM_THE_TUB = (
    "Wash, clean the bench, open the tub: is it cold all through?",
    "Squeeze a handful: a drop or two, not a stream.",
    "Look at the parent once more; leave it closed if in doubt.",
    "Fill one unit at a time, add the inoculum, close it at once.",
    "Label each unit before the next is filled.",
)
"""How a batch is inoculated that was scalded in a tub: its units are filled only then (common practice)."""


KEPT_CLOSED = 14
"""Days that lost units may wait, closed, before they are heated through (common practice)."""

KILLED = (
    "Leave every unit closed, as it is.",
    "Heat them through for as long as the load is cooked.",
    "Empty them outdoors when they are cold.",
)
"""How a load is done that holds nothing but lost units (common practice)."""


def write(writer: Writer, fillings: list[Filling]) -> dict[str, str]:
    """Write the lab tasks of all batches; the release check's id of each batch is returned by batch id."""
    frame = writer.frame
    cooked: dict[str, list[str]] = {}
    for batch in frame.batches.values():
        if bench.has_eve(batch):
            cooked[batch.id] = [_evening_before(writer, batch)]
    for filling in fillings:
        task = _cook(writer, filling, cooked)
        for share in filling.load.holds:
            cooked.setdefault(share.batch, []).append(task)
    release: dict[str, str] = {}
    for batch in frame.batches.values():
        if batch.treatment == bench.TUB and bench.is_to_cook(batch):
            cooked[batch.id] = [_tub(writer, batch)]
        if batch.growth is None:
            care_tasks.keep_culture(writer, batch)
            continue
        if not batch.is_to_make:
            release[batch.id] = care_tasks.grow(writer, batch, bench.inoculate(batch))
            continue
        parents = [release[p] for p in batch.parents if p in release]
        tests = [
            release[other.id]
            for other in frame.batches.values()
            if other.is_test and not batch.is_test and set(other.parents) & set(batch.parents)
        ]
        started = _inoculate(writer, batch, [*cooked.get(batch.id, []), *parents, *tests])
        release[batch.id] = care_tasks.grow(writer, batch, started)
    for lost in frame.sizing.lost:
        if lost.load_class is None:
            _discard(writer, lost)
    return release


def _discard(writer: Writer, lost: Lost) -> None:
    """What no cooker of the season holds is put away closed."""
    frame = writer.frame
    today = frame.season.today
    on = frame.near(today, today + 60 * ONE_DAY, today) or today
    writer.write(
        "kill-lost",
        f"Put away {measures.counted(len(lost.units), f'lost {lost.container}')} of {lost.batch}, closed",
        on,
        owner=lost.batch,
        units=len(lost.units),
        why="Mould spreads from open units to everything else.",
    )


def _evening_before(writer: Writer, batch: BatchSpec) -> str:
    frame = writer.frame
    kinds = {
        "grain": "soak-grain",
        "sawdust": "wet-pellets",
        "pellet": "wet-pellets",
        "dowels": "soak-dowels",
    }
    kind = kinds.get(batch.stage, "prepare")
    titles = {
        "soak-grain": "Soak grain for",
        "wet-pellets": "Wet the pellets for" if batch.stage == "pellet" else "Wet the sawdust for",
        "soak-dowels": "Simmer and soak the dowels for",
        "prepare": "Prepare media for",
    }
    on = frame.first(bench.cook(batch)) - ONE_DAY
    supplies = substrate(frame, batch)
    amounts = ", ".join(amount_words(frame, supply) for supply in supplies)
    return writer.bench(
        batch,
        kind,
        f"{titles[kind]} {batch.id} ({container_words(batch, batch.started)}): {amounts}",
        on,
        units=batch.started,
        why="It is cooked tomorrow.",
        supplies=supplies,
    )


def _cook(writer: Writer, filling: Filling, before: dict[str, list[str]]) -> str:
    frame, load = writer.frame, filling.load
    held = [share for share in load.holds if not share.batch.endswith(LOST)]
    batches = [frame.batches[share.batch] for share in held]
    killed = {f"{lost.batch}{LOST}": lost for lost in frame.sizing.lost}
    lost = [(killed[share.batch], share.units) for share in load.holds if share.batch in killed]
    parts = [f"{share.batch} ({container_words(frame.batches[share.batch], share.units)})" for share in held]
    parts += [f"{measures.counted(units, f'lost {one.container}')} of {one.batch}" for one, units in lost]
    what = " + ".join(parts)
    vessel, _, _ = load.cooker.rpartition(" ")
    how = VESSEL_TREATMENT[vessel]
    verb = "Steam" if how == "steam" else "Sterilise"
    if not held:
        verb = "Heat through, unopened:"
    if held:
        for one, units in lost:
            _with_load(writer, one, units, load.on)
    return writer.write(
        "cook",
        f"{verb} {what}",
        load.on,
        owner="",
        task_id=filling.task,
        slip_to=_load_slip(frame, load.on, batches, [one for one, _ in lost]),
        minutes=load.minutes,
        attended=load.attended_minutes,
        batch=batches[0].id if len(load.holds) == len(batches) == 1 else None,
        after=[task for batch in batches for task in before[batch.id][:1]],
        why=f"One load of {load.cooker}; somebody stays at home until it has cooled.",
        facts={
            f"treatment:{how}",
            f"class:{load.class_}",
            *(f"species:{b.species}" for b in batches),
            *(["lost"] if lost else []),
        },
        steps=KILLED if not held else (),
    )


def _load_slip(frame: Frame, on: date, batches: list[BatchSpec], lost: list[Lost]) -> date | None:
    """Last day to which a load can move; nobody keeps lost units for long, whatever else is free."""
    slip = frame.slip(*map(bench.cook, batches), *map(bench.kill, lost))
    if slip is None or batches:
        return slip
    return frame.waits(on, min(slip, frame.season.today + KEPT_CLOSED * ONE_DAY))


def _with_load(writer: Writer, lost: Lost, units: int, on: date) -> None:
    """Lost units go along in a load that is cooked anyway."""
    writer.write(
        "kill-lost",
        f"Put {measures.counted(units, f'lost {lost.container}')} of {lost.batch}, closed, into the load",
        on,
        owner=lost.batch,
        units=units,
        why="Heated through unopened they are safe to empty.",
        steps=KILLED,
    )


def _tub(writer: Writer, batch: BatchSpec) -> str:
    """Boiling water on what is dry, all the water it takes; bags are filled when they are inoculated."""
    frame = writer.frame
    name = bench.cook(batch)
    supplies = substrate(frame, batch)
    pellets, boiling = (amount_words(frame, supply) for supply in supplies)
    return writer.bench(
        batch,
        "pasteurise",
        f"Pour {boiling}, boiling, over {pellets} in the tub for {batch.id} "
        f"({container_words(batch, batch.started)})",
        frame.first(name),
        slip_to=frame.slip(name),
        minutes=next(limit.per_piece[name] for limit in frame.problem.day_limits if name in limit.per_piece),
        why="Boiling water in an insulated tub is enough for pellets without bran.",
        supplies=supplies,
        steps=(
            f"Put {pellets} into a clean, insulated tub, dry.",
            f"Pour {boiling} over it, boiling, a little at a time; stir with a long paddle.",
            "Close the lid and leave it closed overnight; nobody has to stay.",
        ),
    )


def _inoculate(writer: Writer, batch: BatchSpec, after: list[str]) -> str:
    frame = writer.frame
    name = bench.inoculate(batch)
    parents = sorted({unit.parent for unit in batch.units if unit.parent})
    refreshed = batch.stage == "plate" and not batch.is_test
    kind = "test-culture" if batch.is_test else "refresh-culture" if refreshed else "inoculate"
    words = container_words(batch, batch.started)
    source = ", ".join(parents)
    titles = {
        "test-culture": f"Test the culture {source} on {words}: {batch.id}",
        "refresh-culture": f"Refresh {source} on {words}: {batch.id}",
        "inoculate": f"Inoculate {batch.id}: {words} from {source}",
    }
    why = {
        "test-culture": "An untested culture is read on plates before any grain.",
        "refresh-culture": "Young, fast growth goes on grain, an old plate does not.",
        "inoculate": _purpose(frame, batch),
    }
    supplies = []
    if batch.load_class is None and batch.stage in ("plate", "liquid culture"):
        supplies.append(Supply(f"ready {batch.container} with medium", batch.started, "pieces"))
    if batch.feed_g:
        supplies.append(_fed(frame, batch, source))
    return writer.bench(
        batch,
        kind,
        titles[kind],
        frame.first(name),
        slip_to=frame.slip(name),
        minutes=batch.minutes,
        after=after,
        why=why[kind],
        supplies=supplies,
        is_open=True,
        steps=FROM_THE_TUB if batch.treatment == bench.TUB else (),
    )


def _purpose(frame: Frame, batch: BatchSpec) -> str:
    children = [child.id for child in frame.children.get(batch.id, ())]
    target = ", ".join(children) if children else " and ".join(batch.plantings)
    days = (frame.ready_on(batch) - frame.first(bench.inoculate(batch))).days
    return f"Grows {days} days, then on to {target}."


def _fed(frame: Frame, batch: BatchSpec, source: str) -> Supply:
    """What the units are made from: so much for each, or of plates and slants one for so many units."""
    parent = frame.batches[batch.parents[0]].stage
    if parent in ("plate", "slant"):
        each = units_fed(1.0, batch.feed_g)
        return Supply(f"of {source}, one for every {each}", -(-batch.started // each), f"{parent}s")
    return Supply(
        f"of {source} for each", round(batch.feed_g, 2), "mL" if parent == "liquid culture" else "g"
    )
