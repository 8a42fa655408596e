"""Where a season stands: its kept plan, all that was recorded, and what a new plan has to keep to."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.book.store import Book, KeptPlan, book_path
from scheduler.errors import BookError, Fault, UsageError
from scheduler.journal.fold import fold, standing
from scheduler.plan import Plan, Rewrite
from scheduler.progress import Progress, Recorded
from scheduler.season.place import season_file, told_today

if TYPE_CHECKING:
    from scheduler.lines.shapes import Basis
    from scheduler.season.notation import Document


@dataclass(frozen=True)
class UnderWay:
    """A season with a kept plan."""

    file: Path
    today: date
    kept: KeptPlan
    recorded: tuple[Recorded, ...]
    begins: date
    """Day of the season's first plan."""

    @property
    def plan(self) -> Plan:
        """The kept plan, under its number."""
        return self.kept.plan

    @property
    def progress(self) -> Progress:
        """What all entries that still stand say together."""
        return fold(self.recorded, self.plan)

    @property
    def seen(self) -> tuple[int, ...]:
        """Numbers of the entries that still stand."""
        return tuple(sorted(standing(self.recorded)))


def under_way(path: Path, clock: date, today: date | None) -> UnderWay:
    """The season at `path` as its book has it; the season file is asked for nothing but its `today`.

    Raises UsageError where no plan was kept yet, BookError as the book does.
    """
    file = season_file(path)
    with Book.open(book_path(file), create=False) as book:
        kept, recorded, first = book.latest(), book.entries(), book.plan(1)
    if kept is None:
        raise UsageError(
            Fault(
                str(path),
                "no plan of this season is kept yet",
                "a season that was planned",
                f"budswell plan {path}",
            )
        )
    begins = first.plan.season.today if first else kept.plan.season.today
    return UnderWay(file, today or told_today(path) or clock, kept, recorded, begins)


def seen_by(kept: KeptPlan) -> tuple[int, ...]:
    """Numbers of the entries that a kept plan knew."""
    if kept.basis is None:
        return ()
    try:
        return tuple(json.loads(kept.basis)["seen"])
    except (ValueError, LookupError, TypeError):
        return ()


def basis_for(file: Path, seen: Sequence[int]) -> tuple[KeptPlan, Basis]:
    """The newest kept plan that knew nothing but entries that still stand, and what it was written from.

    So an entry that is taken back leads back to the plan before it. Raises BookError where no plan of the
    book says what it was written from.
    """
    from scheduler.service import basis_text

    with Book.open(book_path(file), create=False) as book:
        newest = book.latest()
        for number in range(newest.plan_no if newest else 0, 0, -1):
            kept = book.plan(number)
            if kept is None or kept.basis is None:
                continue
            try:
                basis = basis_text.from_text(kept.basis)
            except ValueError:
                continue
            if set(basis.seen) <= set(seen):
                return kept, basis
    raise BookError(
        Fault(
            str(book_path(file)),
            "no kept plan says what it was written from: an older budswell has kept them",
            "a plan that was kept by this one",
            "budswell plan SEASON keeps one",
        )
    )


def adopted(progress: Progress, document: Document) -> tuple[Rewrite, ...]:
    """What remedies that were adopted, and plantings put off, change in a season file."""
    from scheduler.season.notation import apply
    from scheduler.season.put_off import put_off

    changes = list(progress.changes)
    try:
        document = apply(document, changes)
    except (LookupError, ValueError, TypeError, AttributeError):
        return tuple(changes)  # whoever reads the file says that they no longer fit it
    for name, happened in progress.plantings.items():
        if happened.put_off_until is not None:
            changes += put_off(document, name, happened.put_off_until)
    return tuple(changes)
