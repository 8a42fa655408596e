"""What stands of last season, by its own file and book, for the season that continues it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

from scheduler.book.store import Book, book_path
from scheduler.errors import BudswellError
from scheduler.journal.fold import fold
from scheduler.progress import Progress
from scheduler.season.place import season_file
from scheduler.season.season import Season, Standing
from scheduler.season.wrong import Wrong, shown


def standing(path: Path, read: Callable[[Path, date], Season]) -> tuple[Standing, ...]:
    """What was planted in the season at `path`, and what stood there already.

    `read` reads a season as of a day: here of its first plan, as all its windows were open then. Raises Wrong
    where no season lies there, none was planned, or it cannot be read.
    """
    allowed = "the folder of last season, with its book"
    try:
        with Book.open(book_path(season_file(path)), create=False) as book:
            kept, entries, begins = book.latest(), book.entries(), book.begins()
        if kept is None or begins is None:
            raise Wrong(f"{shown(path.name)}, of which no plan was kept", allowed)
        season = read(path, begins)
    except BudswellError as error:
        raise Wrong(f"{shown(path.name)}, which cannot be read: {error}", allowed) from None
    return tuple(_standing(season, fold(entries, kept.plan)))


def _standing(season: Season, progress: Progress) -> Iterator[Standing]:
    yield from season.standing
    for planting in season.plantings:
        planted = progress.planting(planting.name).planted
        if planted:
            yield planting.standing(max(planted), sum(planted.values()))
