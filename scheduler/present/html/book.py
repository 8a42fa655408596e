"""The book: every entry with the way to take it back, the newest first; a line for any other words."""

from __future__ import annotations

from collections.abc import Sequence

from scheduler.plan import Plan
from scheduler.present.entries import entry_rows
from scheduler.present.html.frame import Frame, page
from scheduler.progress import Recorded, taken_back

FIRST = 60
"""So many are shown until all are asked for."""


def book_page(
    frame: Frame, plan: Plan, recorded: Sequence[Recorded], examples: Sequence[tuple[str, str]], every: bool
) -> str:
    """The entries of a book, those that were taken back marked."""
    gone = taken_back(recorded)
    titles = {task.id: task.title for task in plan.tasks}
    newest = sorted(recorded, key=lambda one: one.entry_no, reverse=True)
    shown = newest if every else newest[:FIRST]
    rows = {row[0]: row for row in entry_rows(shown, gone, titles, plan.season.units)}
    found = []
    for one in shown:
        number, day, what, marks = rows[str(one.entry_no)]
        can_go = one.entry_no not in gone
        found.append(
            {
                "number": number,
                "day": day,
                "what": what,
                "marks": marks,
                "gone": one.entry_no in gone,
                "can_go": can_go,
            }
        )
    return page(
        "book.html",
        frame.at("/book"),
        "Book",
        entries=found,
        examples=examples,
        example=plan.plantings[0].name if plan.plantings else "Oak stack",
        more=len(newest) if len(shown) < len(newest) else 0,
    )
