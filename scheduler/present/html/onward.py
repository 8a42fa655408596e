"""What a replan means, and the remedies where it does not fit: asked about, worked out, and kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from scheduler.errors import Fault
from scheduler.plan import Plan, Task
from scheduler.present import changes, refusal, replanned
from scheduler.present.cautions import kind_rows, mind
from scheduler.present.dates import dates_of
from scheduler.present.html.frame import Frame, Sheet, page
from scheduler.present.layout import Column
from scheduler.progress import Entry

WAITS = {
    "onward": "Looking what a replan would change, and for remedies where it does not fit.",
    "remedy": "Planning the season with this remedy.",
    "keep": "Planning onward.",
    "take": "Adopting the remedy, and planning with it.",
}


@dataclass(frozen=True)
class Remedied:
    """A remedy in words."""

    text: str
    terms: str
    changes: str


@dataclass(frozen=True)
class Meaning:
    """What a replan comes to, in words and tables."""

    fits: bool
    headline: str
    chances: Sheet
    counts: str
    changes: tuple[tuple[str, Sheet], ...]
    minds: Sheet
    unfrozen: str
    clashes: tuple[str, ...] = ()
    confirmed: str = ""
    remedies: tuple[Remedied, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Keep:
    """The button below: what it does, and what it says."""

    action: str
    label: str


def meaning(
    plan: Plan, before: Plan, news: Sequence[Entry], way: str | None, unfrozen: bool, remedy: str = ""
) -> Meaning:
    """What a replan, or the refusal of one, comes to beside the plan `before` it."""
    words = dates_of(plan)
    fits = plan.status != "none"
    tasks = {task.id: task for one in (before, plan) for task in one.tasks}
    tables = []
    for kind in changes.KINDS if fits else ():
        some = [change for change in plan.changes if change.kind == kind]
        columns = (Column("work", soft=True), *map(Column, changes.HEADS[kind]))
        if some:
            tables.append((kind, Sheet(columns, _work_first(changes.change_rows(some, tasks, words)))))
    ahead = [tasks[c.task] for c in plan.changes if c.kind in changes.AHEAD and c.task in tasks]
    said = replanned.summed_up(news, before)
    means = remedy or (replanned.meaning(way, news) if fits else replanned.NO_LONGER)
    return Meaning(
        fits=fits,
        headline=f"{said} {means}",
        chances=Sheet(replanned.CHANCE_COLUMNS, replanned.chance_rows(plan, before, words) if fits else []),
        counts=changes.counts(plan),
        changes=tuple(tables),
        minds=Sheet((Column("mind at", soft=True), Column("what to mind", soft=True)), kind_rows(ahead)),
        unfrozen=replanned.UNFROZEN if unfrozen else "",
        clashes=() if fits else tuple(refusal.clashes(plan)),
        confirmed=refusal.CONFIRMED if plan.confirmed else refusal.NOT_CONFIRMED,
        remedies=tuple(
            Remedied(one.text, refusal.terms(one), refusal.rewrites(one.changes)) for one in plan.remedies
        ),
        notes=() if fits else plan.notes,
    )


def _work_first(rows: Sequence[str | Sequence[str]]) -> list[str | tuple[str, ...]]:
    """The rows of changes with their work first; work of the same days says those of the row before."""
    found: list[str | tuple[str, ...]] = []
    days: tuple[str, ...] = ("", "")
    for row in rows:
        if isinstance(row, str):
            found.append(row)
        else:
            *own, title = row
            days = tuple(own) if any(own) else days
            found.append((title, *days))
    return found


def onward_page(
    frame: Frame,
    kind: str,
    onward: Meaning | None,
    *,
    failed: Sequence[Fault] = (),
    late: Sequence[Task] = (),
    keep: Keep | None = None,
    title: str = "Remedies",
    lead: str = "",
    adopt: bool = True,
    back: tuple[str, str] | None = None,
) -> str:
    """What a replan would change or has changed; where it does not fit, every remedy.

    `kind` says what is worked out, as long as there is no `onward`. `late` is work that nobody recorded.
    """
    return page(
        "remedies.html",
        frame,
        title,
        onward=onward,
        waits=WAITS[kind],
        failed=faults_said(failed),
        late=[{"day": frame.words.day(task.on), "title": task.title, "mind": mind(task)} for task in late],
        keep=keep,
        lead=lead,
        adopt=adopt,
        back=back,
    )


def faults_said(faults: Sequence[Fault]) -> list[str]:
    """Each fault in a few words."""
    return [fault_said(fault) for fault in faults]


def fault_said(fault: Fault) -> str:
    """What was found, what is allowed and what most likely mends it."""
    return " ".join(f"{part}." for part in (fault.found, fault.allowed, fault.hint) if part)
