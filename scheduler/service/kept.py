"""Keeps plans in the season's book and finds the kept one that still holds."""

from __future__ import annotations

from dataclasses import replace

from scheduler.book.store import Book, book_path
from scheduler.plan import Plan
from scheduler.season.season import Season


def keep(season: Season, plan: Plan, kept_at: str) -> Plan:
    """The plan with the number under which the book keeps it. BookError where the book cannot be written."""
    with Book.open(book_path(season.path), create=True) as book:
        return replace(plan, plan_no=book.keep(plan, season.text, kept_at))


def kept(season: Season, inputs_sha: str) -> Plan | None:
    """The newest kept plan if it was made from the same inputs, else None."""
    path = book_path(season.path)
    if not path.exists():
        return None
    with Book.open(path, create=False) as book:
        latest = book.latest()
    if latest is None or latest.plan.inputs_sha != inputs_sha:
        return None
    return replace(latest.plan, plan_no=latest.plan_no)
