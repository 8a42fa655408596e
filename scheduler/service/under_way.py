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

    Raises UsageError where no season lies there or no plan was kept yet, BookError as the book does.
    """
    file = season_file(path)
    with Book.open(book_path(file), create=False) as book:
        kept, recorded, begins = book.latest(), book.entries(), book.begins()
    if kept is None or begins is None:
        raise UsageError(_not_planned(path, file))
    return UnderWay(file, today or told_today(path) or clock, kept, recorded, begins)


def kept_plans(state: UnderWay) -> list[KeptPlan]:
    """All kept plans, the newest first. BookError as the book does."""
    with Book.open(book_path(state.file), create=False) as book:
        kept = [book.plan(number) for number in range(state.kept.plan_no, 0, -1)]
    return [one for one in kept if one is not None]


def plans(state: UnderWay) -> list[Plan]:
    """All kept plans without what the book has beside them, the newest first. BookError as the book does."""
    return [one.plan for one in kept_plans(state)]


def _not_planned(path: Path, file: Path) -> Fault:
    if not file.exists():
        return Fault(str(path), "no season lies here", "a season folder, or its .toml file")
    found, hint = "no plan of this season is kept yet", f"budswell plan {path}"
    return Fault(str(path), found, "a season that was planned", hint)


def seen_by(kept: KeptPlan) -> tuple[int, ...]:
    """Numbers of the entries that a kept plan knew."""
    return () if kept.basis is None else _seen(kept.basis)


def news(kept: KeptPlan, recorded: Sequence[Recorded]) -> tuple[Recorded, ...]:
    """Entries that stand, and that a kept plan did not know; of one that was taken back, that it was."""
    known, still = set(seen_by(kept)), standing(recorded)
    return tuple(one for one in recorded if one.entry_no in still and one.entry_no not in known)


def _seen(basis: str) -> tuple[int, ...]:
    try:
        return tuple(json.loads(basis)["seen"])
    except (ValueError, LookupError, TypeError):
        return ()


def basis_for(file: Path, seen: Sequence[int]) -> Basis:
    """What the newest plan was written from that knew nothing but entries that still stand.

    So an entry that is taken back leads back to the plan before it. Raises BookError where no plan of the
    book says what it was written from.
    """
    from scheduler.service import basis_text

    with Book.open(book_path(file), create=False) as book:
        for text in book.bases():
            if set(_seen(text)) <= set(seen):
                try:
                    return basis_text.from_text(text)
                except ValueError:
                    continue
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
