"""Keeps plans in the season's book and finds the kept one that still holds."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.book.store import Book, KeptPlan, book_path
from scheduler.plan import Plan
from scheduler.season.season import Season
from scheduler.service import basis_text

if TYPE_CHECKING:
    from scheduler.service.attempt import Made


def keep(season: Season, made: Made, kept_at: str) -> Plan:
    """The plan with the number under which the book keeps it. BookError where the book cannot be written."""
    with Book.open(book_path(season.path), create=True) as book:
        return replace(
            made.plan, plan_no=book.keep(made.plan, season.text, kept_at, basis_text.to_text(made.basis))
        )


def entries(file: Path) -> int:
    """How many entries the book of the season in a file holds."""
    path = book_path(file)
    if not path.exists():
        return 0
    with Book.open(path, create=False) as book:
        return len(book.entries())


def newest(season: Season) -> KeptPlan | None:
    """The newest kept plan, whatever it was made from; None where none was kept."""
    with Book.open(book_path(season.path), create=False) as book:
        return book.latest()
