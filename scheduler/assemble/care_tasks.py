"""Looking after what grows and waits: checks, shakes, keep-backs, the fridge and back out of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.assemble.batches import looks, release_check, uses
from scheduler.assemble.frame import Frame
from scheduler.assemble.words import container_words
from scheduler.assemble.writer import Writer
from scheduler.lines import figures
from scheduler.lines.culture import CULTURES
from scheduler.lines.shapes import BatchSpec
from scheduler.lines.vessels import room_share
from scheduler.problem import bench, yard
from scheduler.progress import LOOK_AGAIN, in_short
from scheduler.trade.lab import Check
from scheduler.workdays import ONE_DAY, full


@dataclass(frozen=True)
class Growing:
    """The days of a growing batch between which its small tasks lie."""

    batch: BatchSpec
    start: date
    ready: date
    released: date
    """Day of the last look before use."""
    used: list[date]
    """Days of use; of a plate test, those of the culture it is for."""
    fridge_by: date | None
    """Last day on which it can be moved to the fridge; None where it is not moved."""

    @property
    def eve(self) -> date:
        """Last day on which to find out whether it may be used."""
        return max(self.ready, self.used[0] - ONE_DAY) if self.used else self.ready


def grow(writer: Writer, batch: BatchSpec, started: str) -> str:
    """Checks, shake, keep-back, move and take-out of a growing batch; the id of its release check."""
    growing = _growing(writer.frame, batch)
    _look_again(writer, batch)
    last = _look(writer, growing, started)
    if batch.stage == "grain":
        _shake(writer, growing, started)
    if batch.keep_back:
        _keep_back(writer, growing, last)
    if growing.fridge_by:
        _move_to_fridge(writer, growing, growing.fridge_by, last)
    if growing.used and _is_stored(batch) and writer.frame.is_finished(batch):
        _take_out(writer, batch, last)
    return last


def _is_stored(batch: BatchSpec) -> bool:
    return batch.waits_in == "fridge" and not batch.is_test


def _growing(frame: Frame, batch: BatchSpec) -> Growing:
    ready = frame.ready_on(batch)
    released = release_check(frame, batch) or ready
    if frame.is_away(released) and released >= frame.season.today:
        # It was found ready by whoever stays at home: the rest waits until the grower is back.
        released = frame.near(released, released + 60 * ONE_DAY, released) or released
    used = uses(frame, batch)
    moved = bool(used) and _is_stored(batch) and used[-1] > released + ONE_DAY
    if batch.is_test:
        made = (day for parent in batch.parents for day in uses(frame, frame.batches[parent]))
        used = sorted(day for day in made if day >= ready)
    return Growing(
        batch,
        start=frame.first(bench.inoculate(batch)),
        ready=ready,
        released=released,
        used=used,
        fridge_by=_fridge_by(frame, batch, released, used[0]) if moved else None,
    )


def _fridge_by(frame: Frame, batch: BatchSpec, released: date, used: date) -> date:
    """Last day on which a batch can leave the shelf: it is still fresh, has room there, and is not used yet.

    Finished spawn has to lie in the fridge before it is taken out again.
    """
    shelf_fresh = figures.keeping(frame.catalogue, batch.species, batch.stage).shelf_fresh.likely
    before_use = used - 2 * ONE_DAY if frame.is_finished(batch) else used
    until = min(before_use, frame.ready_on(batch) + timedelta(days=int(shelf_fresh)))
    _, unit_share = room_share(frame.season, frame.catalogue, frame.season.lab.shelf, batch.container)
    day = released
    while day < until and frame.shelf_left(day) >= batch.started * unit_share:
        day += ONE_DAY
    return frame.waits(released, day) or released


def _look_again(writer: Writer, batch: BatchSpec) -> None:
    """Units in doubt are looked at again after a few days, or at once where those are over."""
    frame = writer.frame
    watch = frame.progress.batch(batch.id).watch
    if not watch:
        return
    due = max(watch.values()) + LOOK_AGAIN
    day = frame.near(due, due + 60 * ONE_DAY, due)
    if day:
        writer.bench(
            batch,
            "check",
            f"Look again at {in_short(watch)}: in doubt",
            day,
            part="watch",
            units=len(watch),
            why="Set apart until then, and nothing is made from it.",
        )


def _look(writer: Writer, growing: Growing, last: str) -> str:
    """The looks at a growing batch; the id of the last of them, which releases it."""
    frame, batch = writer.frame, growing.batch
    bands: dict[str, Check] = {check.name: check for check in frame.catalogue.lab.check}
    for name, day in looks(frame, batch):
        band = bands.get(name)
        if band:
            until = min(growing.ready - ONE_DAY, growing.start + timedelta(days=round(band.day.highest)))
        else:
            until = min(growing.eve, growing.fridge_by or growing.eve)
        what = "for growth and mould" if band else "for release"
        last = writer.bench(
            batch,
            "check",
            f"{'Look at' if band or not batch.is_test else 'Read the test'} {batch.id} {what}",
            day,
            part=name,
            units=batch.started,
            slip_to=frame.waits(day, until),
            after=[last],
            why=band.what if band else "Only clean, fully run units are used.",
        )
    return last


def _shake(writer: Writer, growing: Growing, started: str) -> None:
    """Grain is shaken when about a third is run, and never so late that it could not recover before use."""
    frame, batch, lab = writer.frame, growing.batch, writer.frame.catalogue.lab
    third = growing.start + timedelta(days=round((growing.ready - growing.start).days * lab.shake_at.likely))
    day = frame.near(third - ONE_DAY, third + 2 * ONE_DAY, third)
    if day is None or not growing.start < day < growing.ready:
        return
    recovers = [used - timedelta(days=round(lab.last_shake.likely)) for used in growing.used[:1]]
    writer.bench(
        batch,
        "shake",
        f"Shake {batch.id} ({container_words(batch, batch.started)})",
        day,
        units=batch.started,
        slip_to=frame.waits(day, min([growing.ready - ONE_DAY, *recovers])),
        after=[started],
        why="About a third is run: spread it through the grain.",
    )


def _keep_back(writer: Writer, growing: Growing, released: str) -> None:
    batch = growing.batch
    kept = ", ".join(unit.id for unit in batch.units[-batch.keep_back :])
    writer.bench(
        batch,
        "keep-back",
        f"Keep back {kept}",
        growing.released,
        units=batch.keep_back,
        slip_to=writer.frame.waits(growing.released, growing.eve),
        after=[released],
        why="Everything that has to be made again starts from it.",
    )


def _move_to_fridge(writer: Writer, growing: Growing, until: date, released: str) -> None:
    batch = growing.batch
    writer.bench(
        batch,
        "move-to-fridge",
        f"Move {batch.id} to the fridge",
        growing.released,
        units=batch.started,
        slip_to=until,
        after=[released],
        why=f"It waits there until {full(growing.used[0])}.",
    )


def _take_out(writer: Writer, batch: BatchSpec, after: str | None) -> None:
    """Finished spawn comes out of the fridge the day before it is planted, so much as that day takes."""
    frame = writer.frame
    work = yard.plant(batch.plantings[0])
    days = frame.on(work)
    total = sum(frame.pieces(work, day) for day in days)
    out = pieces = 0
    for part, planted in enumerate(days, start=1):
        pieces += frame.pieces(work, planted)
        units = -(-batch.started * pieces // total) - out  # whole units, rather one too many
        out += units
        day = frame.near(max(frame.ready_on(batch), planted - ONE_DAY), planted, planted - ONE_DAY)
        if not units or not day:
            continue
        writer.bench(
            batch,
            "take-out",
            f"Take {batch.id if units == batch.started else f'{units} of {batch.id}'} out of the fridge",
            day,
            part=part if len(days) > 1 else None,
            units=units,
            after=[after] if after else [],
            why="Spawn warms up overnight before it is planted.",
        )


def keep_culture(writer: Writer, batch: BatchSpec) -> None:
    """A culture in hand or bought: a little is kept back the first time it is opened. Spawn is taken out."""
    frame = writer.frame
    used = uses(frame, batch)
    if not used:
        return
    if batch.stage in CULTURES:
        culture = frame.catalogue.lab.culture
        liquid = batch.stage == "liquid culture"
        amount = culture.keep_back_volume.likely if liquid else culture.keep_back_plates.likely
        writer.bench(
            batch,
            "keep-back",
            f"Keep back {amount:g} {'mL' if liquid else batch.stage} of {batch.id}, labelled",
            used[0],
            units=1,
            slip_to=_opened_by(frame, batch, used),
            is_open=True,
            why="A redo of the whole line depends on it.",
        )
    elif batch.waits_in == "fridge" and frame.is_finished(batch):
        _take_out(writer, batch, None)


def _opened_by(frame: Frame, batch: BatchSpec, used: list[date]) -> date | None:
    """Last day on which a culture can first be opened: as long as what is made from it first can wait."""
    made = map(bench.inoculate, frame.children.get(batch.id, ()))
    waits = frame.slip(*(work for work in made if frame.first(work) == used[0]))
    return min([waits, *used[1:2]]) if waits else None
