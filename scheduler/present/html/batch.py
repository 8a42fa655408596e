"""The page of one batch: its story and its label; and what it would mean if units of it were lost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from scheduler.errors import Fault
from scheduler.plan import Batch, Plan
from scheduler.present import entries, story
from scheduler.present.html.codes import code
from scheduler.present.html.frame import Frame, Sheet, page
from scheduler.present.html.onward import Meaning, faults_said
from scheduler.present.states import living
from scheduler.present.words import stage
from scheduler.progress import Entry, Progress, Recorded, taken_back


def batch_page(
    frame: Frame, batch: Batch, plan: Plan, recorded: Sequence[Recorded], progress: Progress, address: str
) -> str:
    """The story of a batch as of the day of the page; `plan` is the newest that knows it.

    `address` is that of this page, for its label.
    """
    told = story.told_of(batch, plan, progress, frame.day)
    alive = living(batch, told.happened, told.spent)
    titles = {task.id: task.title for task in plan.tasks}
    about = story.entries_about(batch.id, recorded)
    rows = entries.entry_rows(about, taken_back(recorded), titles, plan.season.units)
    begun = told.happened.inoculated_on is not None or batch.state == "in hand"
    return page(
        "batch.html",
        frame,
        batch.id,
        batch=batch,
        headline=story.headline(told),
        facts=story.facts(told),
        alive=[(unit, unit.rpartition("/")[2]) for unit in alive] if begun else [],
        left=sorted(story.work_left(told, progress), key=lambda task: task.on),
        days=Sheet(story.DAY_COLUMNS, story.days(told)),
        units=Sheet(story.UNIT_COLUMNS, story.units(told)),
        family=story.family(told),
        entries=Sheet(entries.COLUMNS, rows),
        code=code(address, f"Code of {batch.id}"),
        address=address,
        label=_label(frame, batch),
    )


def _label(frame: Frame, batch: Batch) -> list[str]:
    """What stands on the label of a batch: what it is, from what, and its days."""
    parents = dict.fromkeys(unit.parent.rpartition("/")[0] for unit in batch.units if unit.parent)
    generation = "" if batch.generation is None else f" G{batch.generation}"
    words = frame.words
    lines = [
        f"{batch.species} ({batch.strain})",
        f"{stage(batch.stage)}{generation}, {len(batch.units)} x {batch.container}",
        f"from {', '.join(parents)}" if parents else "",
        f"inoculated {words.day(batch.inoculate_on)}" if batch.inoculate_on else "",
        f"ready {words.day(batch.ready_on)}",
        f"redo by {words.day(batch.redo_by)}" if batch.redo_by else "",
    ]
    return [line for line in lines if line]


def asked_page(
    frame: Frame,
    about: str,
    would: Sequence[Entry],
    unusual: Sequence[str],
    means: Sequence[str],
    fields: Mapping[str, str],
    onward: Meaning | None,
    failed: Sequence[Fault] = (),
) -> str:
    """What would be recorded and what follows from it; `onward` is None while the plan is worked out."""
    return page(
        "asked.html",
        frame,
        f"If so much of {about} is {_what(would)}",
        about=about,
        said=[entries.said(entry) for entry in would],
        unusual=unusual,
        means=means,
        fields=list(fields.items()),
        onward=onward,
        failed=faults_said(failed),
        adopt=False,
        confirm=f"Record it: {'; '.join(entries.said(entry) for entry in would)[:200]}",
    )


def _what(would: Sequence[Entry]) -> str:
    return "in doubt" if any(entry.kind == "watch" for entry in would) else "lost"
