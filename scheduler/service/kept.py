"""Keeps plans in the season's book and finds the kept one that still holds."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from scheduler.book.store import Book, book_path
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


def entries(season: Season) -> int:
    """How many entries the book of a season holds."""
    path = book_path(season.path)
    if not path.exists():
        return 0
    with Book.open(path, create=False) as book:
        return len(book.entries())


def newest(season: Season) -> Plan | None:
    """The newest kept plan, whatever it was made from; None where none was kept."""
    with Book.open(book_path(season.path), create=False) as book:
        latest = book.latest()
    return latest.plan if latest else None


def kept(season: Season, inputs_sha: str) -> Plan | None:
    """The newest kept plan if it was made from the same inputs, else None."""
    path = book_path(season.path)
    if not path.exists():
        return None
    with Book.open(path, create=False) as book:
        latest = book.latest()
    if latest is None or latest.plan.inputs_sha != inputs_sha:
        return None
    return latest.plan
