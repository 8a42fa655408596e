"""The season on one page: its timeline, its plantings with their windows, its batches and their parents."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby

from markupsafe import Markup

from scheduler.plan import Batch, Plan, Task
from scheduler.present import overview
from scheduler.present.html.frame import Frame, Sheet, page
from scheduler.present.layout import Column
from scheduler.present.season_svg import season_svg
from scheduler.progress import Progress

GATES = (
    Column("planting"),
    Column("fell between"),
    Column("window"),
    Column("plant on"),
    Column("redo by"),
    Column("buy by"),
)
SIZES = (("Whole", "whole"), ("Larger", "larger"), ("Largest", "largest"))


def season_page(frame: Frame, plan: Plan, progress: Progress, pieces: Mapping[str, int], size: str) -> str:
    """Where a season stands; `pieces` are those of each planting as it was wished at first."""
    words = frame.words
    left = tuple(task for task in plan.tasks if task.id not in progress.done)
    size = size if size in {name for _, name in SIZES} else "whole"
    # Drawn from names that are escaped there.
    picture = Markup(season_svg(plan, progress, frame.day, own=False))
    gates = [
        (
            one.name,
            words.span(one.fell_between) if one.fell_between else "nothing to fell",
            words.span(one.window),
            words.days(one.plant_on),
            words.maybe(one.redo_by, "none"),
            words.maybe(one.buy_by, "none"),
        )
        for one in plan.plantings
    ]
    return page(
        "season.html",
        frame.at("/season"),
        "Season",
        picture=picture,
        sizes=[(name, value, value == size) for name, value in SIZES],
        size=size,
        plantings=Sheet(overview.PLANTING_COLUMNS, overview.planting_rows(plan, progress, words, pieces)),
        gates=Sheet(GATES, gates),
        batches=_batches(frame, plan, progress, left),
        over=overview.no_longer(plan, progress, words),
    )


def _batches(
    frame: Frame, plan: Plan, progress: Progress, left: tuple[Task, ...]
) -> list[tuple[str, list[dict[str, str]]]]:
    """Every batch under its strain: what it is, how it stands, and from which it is made."""
    rows_ = overview.batch_rows(plan, progress, frame.words, left)
    told = {row[0]: row for row in rows_ if not isinstance(row, str)}
    groups = []
    for kind, same in groupby(plan.batches, lambda batch: f"{batch.species} ({batch.strain})"):
        rows = []
        for batch in same:
            name, stage, state, living, ready, following = tuple(told[batch.id])
            rows.append(
                {
                    "id": name,
                    "stage": stage,
                    "state": state,
                    "living": living,
                    "ready": ready,
                    "next": following,
                    "parents": _parents(batch),
                }
            )
        groups.append((kind, rows))
    return groups


def _parents(batch: Batch) -> str:
    return ", ".join(dict.fromkeys(unit.parent.rpartition("/")[0] for unit in batch.units if unit.parent))
