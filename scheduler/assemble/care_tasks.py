"""Looking after what grows and waits: checks, shakes, keep-backs, the fridge and back out of it."""

from __future__ import annotations

from datetime import date, timedelta

from scheduler.assemble.batches import looks, release_check, uses
from scheduler.assemble.words import container_words
from scheduler.assemble.writer import Writer
from scheduler.lines.shapes import BatchSpec
from scheduler.problem import bench
from scheduler.trade.lab import Check

ONE_DAY = timedelta(days=1)


def grow(writer: Writer, batch: BatchSpec, started: str) -> str:
    """Checks, shake, keep-back, move and take-out of a growing batch; the id of its release check."""
    frame = writer.frame
    start, ready = frame.first(bench.inoculate(batch)), frame.ready_on(batch)
    last = started
    release = release_check(frame, batch)
    used = uses(frame, batch)
    before_use = max(ready, used[0] - ONE_DAY) if used else ready
    bands: dict[str, Check] = {check.name: check for check in frame.catalogue.lab.check}
    for name, day in looks(frame, batch):
        band = bands.get(name)
        far = min(ready, start + timedelta(days=round(band.day.highest))) if band else before_use
        what = "for growth and mould" if band else "for release"
        last = writer.bench(
            batch,
            "check",
            f"{'Look at' if band or not batch.is_test else 'Read the test'} {batch.id} {what}",
            day,
            part=name,
            units=batch.started,
            slip_to=frame.near(day, far, far),
            after=[last],
            why=band.what if band else "Only clean, fully run units are used.",
        )
    if batch.stage == "grain":
        third = start + timedelta(days=round((ready - start).days * frame.catalogue.lab.shake_at.likely))
        shake_day = frame.near(third - ONE_DAY, third + 2 * ONE_DAY, third)
        if shake_day and start < shake_day < ready:
            writer.bench(
                batch,
                "shake",
                f"Shake {batch.id} ({container_words(batch, batch.started)})",
                shake_day,
                units=batch.started,
                after=[started],
                why="About a third is run: spread it through the grain.",
            )
    release_day = release or ready
    if batch.keep_back:
        kept = ", ".join(unit.id for unit in batch.units[-batch.keep_back :])
        writer.bench(
            batch,
            "keep-back",
            f"Keep back {kept}",
            release_day,
            units=batch.keep_back,
            after=[last],
            why="Everything that has to be made again starts from it.",
        )
    if used and not batch.is_test and batch.waits_in == "fridge":
        if used[-1] > release_day + ONE_DAY:
            writer.bench(
                batch,
                "move-to-fridge",
                f"Move {batch.id} to the fridge",
                release_day,
                units=batch.started,
                after=[last],
                why=f"It waits there until {used[0]:%d %b}.",
            )
        if not frame.children.get(batch.id):
            take_out(writer, batch, used[0], last)
    return last


def take_out(writer: Writer, batch: BatchSpec, planted: date, after: str | None) -> None:
    """Finished spawn comes out of the fridge the day before it is planted."""
    frame = writer.frame
    day = frame.near(max(frame.ready_on(batch), planted - ONE_DAY), planted, planted - ONE_DAY)
    if day:
        writer.bench(
            batch,
            "take-out",
            f"Take {batch.id} out of the fridge",
            day,
            units=batch.started,
            after=[after] if after else [],
            why="Spawn warms up overnight before it is planted.",
        )


def keep_culture(writer: Writer, batch: BatchSpec) -> None:
    """A culture in hand or bought: a little is kept back the first time it is opened. Spawn is taken out."""
    frame = writer.frame
    used = uses(frame, batch)
    if not used:
        return
    if batch.stage in ("liquid culture", "plate", "slant"):
        culture = frame.catalogue.lab.culture
        liquid = batch.stage == "liquid culture"
        amount = culture.keep_back_volume.likely if liquid else culture.keep_back_plates.likely
        writer.bench(
            batch,
            "keep-back",
            f"Keep back {amount:g} {'mL' if liquid else batch.stage} of {batch.id}, labelled",
            used[0],
            units=1,
            why="A redo of the whole line depends on it.",
        )
    elif batch.waits_in == "fridge" and not frame.children.get(batch.id):
        take_out(writer, batch, used[0], None)
