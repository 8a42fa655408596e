"""The season on one page: its timeline, its plantings with their windows, its batches and their parents."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from itertools import groupby

from markupsafe import Markup

from scheduler.plan import Batch, Plan, Task
from scheduler.present import overview
from scheduler.present.html.frame import Frame, Sheet, page
from scheduler.present.layout import Column
from scheduler.present.season_in_page import InPage, season_in_page
from scheduler.present.season_svg import season_svg
from scheduler.progress import Progress

GATES = (
    Column("planting", soft=True),
    Column("fell between"),
    Column("window"),
    Column("plant on"),
    Column("redo by"),
    Column("buy by"),
)
SIZES = {"whole": ("Whole", None), "larger": ("Larger", 0.65), "largest": ("Largest", 1.0)}
"""What each size of the timeline is called, and how high its smallest letters are, in letters of the page;
the whole one is as wide as its frame."""
USUAL = "larger"


def season_page(frame: Frame, plan: Plan, progress: Progress, pieces: Mapping[str, int], size: str) -> str:
    """Where a season stands; `pieces` are those of each planting as it was wished at first."""
    words = frame.words
    left = tuple(task for task in plan.tasks if task.id not in progress.done)
    size = size if size in SIZES else USUAL
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
        picture=_picture(plan, progress, frame.day, SIZES[size][1]),
        sizes=[(name, value, value == size) for value, (name, _) in SIZES.items()],
        size=size,
        plantings=Sheet(overview.PLANTING_COLUMNS, overview.planting_rows(plan, progress, words, pieces)),
        gates=Sheet(GATES, gates),
        batches=_batches(frame, plan, progress, left),
        over=overview.no_longer(plan, progress, words),
    )


def _picture(plan: Plan, progress: Progress, day: date, letters: float | None) -> dict[str, Markup]:
    """The timeline, with what keeps its names and today in sight; names are escaped where it is drawn."""
    if letters is None:
        drawn = InPage(season_svg(plan, progress, day, own=False))
    else:
        drawn = season_in_page(plan, progress, day, letters)
    return {"whole": Markup(drawn.picture), "names": Markup(drawn.names), "until": Markup(drawn.until)}


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
