"""The book of a season: every plan that was kept, none of them ever changed."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from scheduler.book.file import DAMAGED, first, reading, writing
from scheduler.document import from_json, to_json
from scheduler.errors import BookError, Fault, UsageError
from scheduler.plan import Plan


def book_path(season_path: Path) -> Path:
    """Where the book of a season file lies: beside it, under the same name."""
    return season_path.with_suffix(".book")


@dataclass(frozen=True)
class KeptPlan:
    """A plan as the book keeps it, with the season's text that it was made from."""

    plan_no: int
    kept_at: str
    season_text: str
    plan: Plan


class Book:
    """The plans kept for one season; made by `Book.open`."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self._path = path
        self._connection = connection

    @classmethod
    @contextmanager
    def open(cls, path: Path, create: bool) -> Iterator[Book]:
        """Opens the book for one command.

        With `create` the whole block is one transaction, made at its end or not at all, and other commands
        that want to write wait meanwhile: open it when there is a plan to keep. Without, the book can only
        be read; no file is made or changed, and where there is none the book is empty.

        Raises BookError where the file is damaged, newer than this program, no book at all, or cannot be
        read or written; it is then left as it was.
        """
        with writing(path) if create else reading(path) as connection:
            yield cls(path, connection)

    def keep(self, plan: Plan, season_text: str, kept_at: str) -> int:
        """Keeps a plan and returns its number, counted from 1.

        A plan that says the same as the newest kept one is not kept twice; it has that one's number.
        `kept_at` is the moment, in the caller's words. Raises BookError where the book cannot be written.
        """
        newest = self._newest()
        if newest is not None and to_json(replace(plan, plan_no=newest["plan_no"])) == newest["document"]:
            return int(newest["plan_no"])
        number = 1 if newest is None else int(newest["plan_no"]) + 1
        season = plan.season
        self._connection.execute(
            "INSERT INTO plans VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            (
                number,
                kept_at,
                plan.inputs_sha,
                season.id,
                season.name,
                season_text,
                season.made_with,
                to_json(replace(plan, plan_no=number)),
            ),
        )
        return number

    def latest(self) -> KeptPlan | None:
        """The newest kept plan; None where none was kept. Raises BookError where it cannot be read."""
        row = self._newest()
        if row is None:
            return None
        try:
            plan = from_json(row["document"])
        except UsageError as error:
            found = f"plan {row['plan_no']} cannot be read: {error.fault.where}: {error.fault.found}"
            raise BookError(Fault(str(self._path), found, *DAMAGED[1:])) from error
        return KeptPlan(row["plan_no"], row["kept_at"], row["season_text"], plan)

    def season_id(self, name: str) -> str | None:
        """The id that this season has for good: the one under which its first plan was kept.

        A renamed season keeps the id of the first plan in the book; only where plans were kept under the
        new name with an id of its own is it that one. None where no plan was kept.
        """
        query = "SELECT season_id FROM plans ORDER BY season_name <> ?, plan_no LIMIT 1"
        row = first(self._connection, self._path, query, name)
        return None if row is None else str(row["season_id"])

    def _newest(self) -> sqlite3.Row | None:
        return first(self._connection, self._path, "SELECT * FROM plans ORDER BY plan_no DESC LIMIT 1")
