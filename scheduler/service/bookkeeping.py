"""Looks into a season's book, and carries it out of this program and back.

Only the place of the season file counts here: what stands in it may be wrong, or the file be gone.
"""

from __future__ import annotations

from pathlib import Path

from scheduler.book import transfer
from scheduler.book.store import Book, book_path
from scheduler.book.transfer import Contents
from scheduler.errors import Fault, UsageError
from scheduler.present.files import require_place, write_atomically
from scheduler.progress import Recorded
from scheduler.season.place import season_file
from scheduler.service.own_files import own_files


def show(season_path: Path) -> tuple[Recorded, ...]:
    """Every entry of the book in order, also those that a later one takes back; none where there is no book.

    Raises UsageError where nothing lies at `season_path`, BookError where the book cannot be read.
    """
    with Book.open(_book(season_path), create=False) as book:
        return book.entries()


def export(season_path: Path, file: Path | None) -> str:
    """The whole book as JSON Lines, also written to `file` where one is given, as a whole or not at all.

    Raises UsageError where there is no book or the file cannot be written, BookError where the book cannot
    be read.
    """
    book = _book(season_path)
    if not _lies_there(book):
        allowed = "a season whose plans or entries were kept"
        raise UsageError(Fault(str(book), "there is no book yet", allowed, f"budswell plan {season_path}"))
    if file is not None:
        require_place(file, keep=own_files(season_path))
    text = "".join(transfer.export(book))
    if file is not None:
        write_atomically(file, text.encode())
    return text


def import_(season_path: Path, file: Path) -> Contents:
    """Puts an exported book beside a season that has none, or an empty one; says how much was in it.

    Raises UsageError where nothing lies at `season_path`, the file is damaged or the season has a book with
    something in it, BookError where the book cannot be written; nothing is then changed.
    """
    return transfer.import_(_book(season_path), file)


def _book(season_path: Path) -> Path:
    """Where the book belongs. UsageError where neither a season nor its book is there: a name mistyped."""
    book = book_path(season_file(season_path))
    if not _lies_there(season_path) and not _lies_there(book):
        allowed = "a season folder, or its .toml file"
        raise UsageError(Fault(str(season_path), "no season and no book lie here", allowed))
    return book


def _lies_there(path: Path) -> bool:
    try:
        return path.exists()
    except OSError:
        return True  # opening it says what keeps it from being seen
