"""The backyard example in February: its real plan, with a made-up story of what was recorded of it."""

from __future__ import annotations

from datetime import date
from functools import cache

from scheduler.plan import Batch, Plan, Task
from scheduler.progress import BatchProgress, Entry, PlantingProgress, Progress, Recorded
from scheduler.service import planning, seasons
from tests.command import EXAMPLES

DAY = date(2027, 2, 11)
INOCULATED = date(2027, 1, 24)
DOUBTED = date(2027, 2, 1)
HOSTILE = "\x1b[31m\x07\r\u202e [red]boom[/red] :skull: " + "x" * 10_000
"""What a person may type or paste: codes for the terminal, markup, and a word without an end."""


@cache
def backyard() -> Plan:
    """The plan of the example."""
    clock = seasons.Clock(date(2026, 11, 25), "UTC")
    return planning.plan_season(*seasons.read(EXAMPLES / "backyard", clock, None))


def batch(name: str) -> Batch:
    """A batch of the plan."""
    return next(one for one in backyard().batches if one.id == name)


def progress() -> Progress:
    """Grain of both strains grows; one jar of shiitake is lost and one in doubt; some wood is felled."""
    done = {task.id: task.on for task in backyard().tasks if task.on < DOUBTED}
    return Progress(
        batches={
            "SHI-Aa": BatchProgress(inoculated_on=date(2027, 1, 10), ready_on=date(2027, 1, 20)),
            "WIN-Aa": BatchProgress(inoculated_on=date(2027, 1, 10)),
            "SHI-G1a": BatchProgress(
                cooked_on=date(2027, 1, 23),
                inoculated_on=INOCULATED,
                lost={"SHI-G1a/4": DOUBTED},
                watch={"SHI-G1a/2": DOUBTED},
            ),
            "WIN-G1a": BatchProgress(cooked_on=date(2027, 1, 17), inoculated_on=INOCULATED),
            "WIN-Sa": BatchProgress(cooked_on=date(2027, 2, 6)),
            "SHI-G1z": BatchProgress(lost={"SHI-G1z/1": date(2027, 1, 3)}),
        },
        plantings={
            "Oak stack": PlantingProgress(felled={date(2027, 1, 23): 12}, put_off_until=date(2027, 5, 20)),
            "Currant bed": PlantingProgress(planted={DOUBTED: 2}, picked_g={DAY: 1234.0}),
        },
        done={**done, "cook:WIN-Sa": date(2027, 2, 6)},
    )


def due() -> list[Task]:
    """Open tasks up to the day, in the order of their days."""
    known = progress().done
    return sorted((t for t in backyard().tasks if t.on <= DAY and t.id not in known), key=lambda t: t.on)


def recorded(*entries: Entry) -> tuple[Recorded, ...]:
    """Entries with their numbers."""
    return tuple(Recorded(number, "2027-02-11T18:00:00Z", one) for number, one in enumerate(entries, 1))


def told() -> tuple[Recorded, ...]:
    """A short book: a loss recorded with too many units, taken back, and recorded again."""
    return recorded(
        Entry("inoculated", INOCULATED, "SHI-G1a", count=5),
        Entry("lost", DOUBTED, "SHI-G1a", units=("SHI-G1a/4", "SHI-G1a/5"), seen="green at the shoulder"),
        Entry("undo", DOUBTED, "", corrects=2),
        Entry("lost", DOUBTED, "SHI-G1a", units=("SHI-G1a/4",), forced=True),
        Entry("done", date(2027, 1, 23), "cook:SHI-G1a"),
        Entry("ready", DAY, "WIN-G1a"),
    )
