"""A book is found by the place of its season, shown, carried out and brought back."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.book.store import Book
from scheduler.book.transfer import Contents
from scheduler.errors import BookError, Fault, UsageError
from scheduler.service import bookkeeping
from tests.book.written import AT, ENTRIES, numbered, record
from tests.command import listing
from tests.folders import locked_folder
from tests.sample import sample_plan


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    """A season folder whose season file nobody can read, with a book."""
    (tmp_path / "season.toml").write_text("this is = no season [")
    with Book.open(tmp_path / "season.book", create=True) as book:
        book.keep(sample_plan(), "[season]", AT, "{}")
    record(tmp_path / "season.book", *ENTRIES)
    return tmp_path


def wrong(error: pytest.ExceptionInfo[UsageError]) -> Fault:
    """What a use case ended with."""
    return error.value.fault


def test_entries_are_shown_by_folder_and_by_file(farm: Path) -> None:
    """A season folder, its file, and a place from which only the file is gone lead to the same book."""
    assert bookkeeping.show(farm) == bookkeeping.show(farm / "season.toml") == numbered(ENTRIES)
    (farm / "season.toml").unlink()
    assert bookkeeping.show(farm) == bookkeeping.show(farm / "season.toml") == numbered(ENTRIES)


def test_a_season_without_a_book_has_no_entries(tmp_path: Path) -> None:
    """Nothing was recorded yet: that is no error, and no book is made."""
    (tmp_path / "season.toml").touch()
    assert bookkeeping.show(tmp_path) == ()
    assert list(listing(tmp_path)) == ["season.toml"]


def test_a_mistyped_season_is_named(tmp_path: Path) -> None:
    """Where neither a season nor a book lies, nothing is shown, exported or made."""
    gone = tmp_path / "faarm"
    for use in (
        lambda: bookkeeping.show(gone),
        lambda: bookkeeping.export(gone, None),
        lambda: bookkeeping.import_(gone, tmp_path / "lines"),
    ):
        with pytest.raises(UsageError) as caught:
            use()
        assert (wrong(caught).where, wrong(caught).found) == (str(gone), "no season and no book lie here")
    assert listing(tmp_path) == {}


def test_a_season_file_under_another_name_has_a_book_of_its_own(farm: Path) -> None:
    """The book lies beside the file that is named, under the same stem."""
    (farm / "oak.2028.toml").touch()
    assert bookkeeping.show(farm / "oak.2028.toml") == ()
    record(farm / "oak.2028.book", ENTRIES[0])
    assert bookkeeping.show(farm / "oak.2028.toml") == numbered(ENTRIES[:1])


def test_an_export_is_brought_back_beside_another_season(
    farm: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """The text is the same with and without a file; the book that comes from it leads to the same text."""
    text = bookkeeping.export(farm, None)
    lines = farm / "book.jsonl"
    assert bookkeeping.export(farm, lines) == text
    assert lines.read_bytes() == text.encode()
    assert sorted(listing(farm)) == ["book.jsonl", "season.book", "season.toml"]
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    assert bookkeeping.import_(elsewhere, lines) == Contents(1, len(ENTRIES))
    assert bookkeeping.export(elsewhere, None) == text
    assert list(listing(elsewhere)) == ["season.book"]


def test_nothing_is_exported_where_nothing_was_kept(tmp_path: Path) -> None:
    """A file with nothing in it is never taken for a copy of a book."""
    (tmp_path / "season.toml").touch()
    with pytest.raises(UsageError) as caught:
        bookkeeping.export(tmp_path, tmp_path / "book.jsonl")
    assert wrong(caught).found == "there is no book yet"
    assert list(listing(tmp_path)) == ["season.toml"]


@pytest.mark.parametrize("name", ["season.toml", "season.book", "link"])
def test_an_export_never_replaces_the_season(farm: Path, name: str) -> None:
    """Neither the season file nor the book can be written over, under whatever name."""
    (farm / "link").symlink_to(farm / "season.book")
    before = listing(farm)
    with pytest.raises(UsageError) as caught:
        bookkeeping.export(farm, farm / name)
    assert "the season itself" in wrong(caught).found
    assert listing(farm) == before


def test_an_export_that_cannot_be_written_leaves_nothing(farm: Path) -> None:
    """A missing folder and a locked one are named before the book is read; nothing is left there."""
    before = listing(farm)
    with pytest.raises(UsageError) as caught:
        bookkeeping.export(farm, farm / "gone" / "book.jsonl")
    assert wrong(caught).found == "the folder is not there"
    with locked_folder(lines=b"old") as folder:
        with pytest.raises(UsageError) as caught:
            bookkeeping.export(farm, folder / "lines")
        assert wrong(caught).found == "nothing may be written here"
        assert listing(folder) == {"lines": b"old"}
    assert listing(farm) == before


def test_a_damaged_book_leaves_the_last_export(farm: Path) -> None:
    """The file of an earlier export stays where the book can no longer be read."""
    lines = farm / "book.jsonl"
    bookkeeping.export(farm, lines)
    (farm / "season.book").write_bytes(b"scrambled" * 1000)
    before = listing(farm)
    with pytest.raises(BookError):
        bookkeeping.export(farm, lines)
    with pytest.raises(BookError):
        bookkeeping.show(farm)
    with pytest.raises(BookError):
        bookkeeping.import_(farm, lines)
    assert listing(farm) == before


def test_a_damaged_file_changes_nothing(farm: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    """The line that is not right is named, and no book is begun."""
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    lines = farm / "book.jsonl"
    lines.write_text(
        bookkeeping.export(farm, None).replace('"clean"', '"cleaned"'), encoding="utf-8", newline=""
    )
    with pytest.raises(UsageError) as caught:
        bookkeeping.import_(elsewhere, lines)
    assert wrong(caught).where == f"{lines}:3"
    assert listing(elsewhere) == {}


def test_a_book_with_something_in_it_is_not_mixed(farm: Path) -> None:
    """Importing a book over itself is refused, too."""
    lines = farm / "book.jsonl"
    bookkeeping.export(farm, lines)
    before = listing(farm)
    with pytest.raises(UsageError) as caught:
        bookkeeping.import_(farm, lines)
    assert "1 plan and 5 entries" in wrong(caught).found
    assert listing(farm) == before
