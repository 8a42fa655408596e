"""A book that cannot be used is refused in one sentence and left as it is, byte for byte."""

from __future__ import annotations

import os
import random
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from scheduler.book import file
from scheduler.book.migrations import MIGRATIONS
from scheduler.book.store import Book
from scheduler.errors import BookError, Fault
from tests.book.written import AT, LOST, PLAIN
from tests.folders import locked_folder
from tests.sample import sample_plan

WHEN = "2026-11-28"
BOTH = pytest.mark.parametrize("create", [False, True], ids=["reading", "writing"])


def use(path: Path, create: bool, text: str = "[season]") -> None:
    """What a command does with the book."""
    with Book.open(path, create) as book:
        book.latest()
        book.entries()
        if create:
            book.keep(replace(sample_plan(), inputs_sha="new"), text, WHEN, "{}")
            book.record(replace(LOST, seen=text), AT)


def refused(path: Path, create: bool, text: str = "[season]") -> Fault:
    """The fault with which the command ends; it names the file."""
    with pytest.raises(BookError) as caught:
        use(path, create, text)
    assert caught.value.exit_code == 3
    assert caught.value.fault.where == str(path)
    assert caught.value.fault.allowed
    return caught.value.fault


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """A sound book with one plan and two entries in it."""
    path = tmp_path / "season.book"
    with Book.open(path, create=True) as book:
        book.keep(sample_plan(), "[season]\n" * 2000, WHEN, "{}")
        book.record(PLAIN, AT)
        book.record(LOST, AT)
    return path


def pragma(path: Path, statement: str) -> None:
    """Changes the file as another program would."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute(statement)


def is_text(path: Path) -> None:
    """Somebody's notes under the name of the book."""
    path.write_text("These are my notes about alder.\n" * 40)


def is_cut(path: Path) -> None:
    """Only half of the file was copied."""
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def is_scrambled(path: Path) -> None:
    """A page in the middle was overwritten."""
    data = bytearray(path.read_bytes())
    data[4096:8192] = random.Random(1).randbytes(4096)
    path.write_bytes(data)


def is_newer(path: Path) -> None:
    """A later version has written it."""
    pragma(path, f"PRAGMA user_version = {len(MIGRATIONS) + 1}")


def is_foreign(path: Path) -> None:
    """A database of another program."""
    pragma(path, "PRAGMA application_id = 7")


def has_no_table(path: Path) -> None:
    """A book from which somebody has taken the table."""
    pragma(path, "DROP TABLE plans")
    pragma(path, "CREATE TABLE scraps (words TEXT)")


def has_a_torn_document(path: Path) -> None:
    """The document of the plan was changed by hand."""
    pragma(path, "DROP TRIGGER plans_are_not_changed")
    pragma(path, "UPDATE plans SET document = replace(document, '\"tasks\"', '\"jobs\"')")


def has_no_entries(path: Path) -> None:
    """A book from which somebody has taken the entries."""
    pragma(path, "DROP TABLE entries")


def entry_two(change: str) -> Callable[[Path], None]:
    """Somebody has changed the second entry by hand."""

    def change_it(path: Path) -> None:
        pragma(path, "DROP TRIGGER entries_are_not_changed")
        pragma(path, f"UPDATE entries SET {change} WHERE entry_no = 2")

    return change_it


@BOTH
@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (is_text, "damaged, or is no book"),
        (is_cut, "damaged, or is no book"),
        (is_scrambled, "damaged, or is no book"),
        (is_newer, f"a newer budswell has written this book (version {len(MIGRATIONS) + 1})"),
        (is_foreign, "another program"),
        (has_no_table, "no such table: plans"),
        (has_a_torn_document, "plan 1 cannot be read: jobs"),
        (has_no_entries, "no such table: entries"),
        (entry_two("data = substr(data, 1, 20)"), "entry 2 cannot be read: no JSON: "),
        (entry_two("data = ''"), "entry 2 cannot be read: no JSON: "),
        (entry_two("data = '[]'"), "entry 2 cannot be read: a JSON object, not []"),
        (entry_two("data = '{\"count\": NaN}'"), "entry 2 cannot be read: no JSON: NaN is no number"),
        (entry_two("data = CAST(data AS BLOB)"), "entry 2 cannot be read: a text, not "),
        (entry_two("data = replace('[[[[[[[[[[', '[', '" + "[" * 20_000 + "')"), "nested too deeply"),
        (entry_two('data = \'{"kind": "clean"}\''), "entry 2 cannot be read: kind has a column of its own"),
        (
            entry_two('data = \'{"weather": "wet"}\''),
            "entry 2 cannot be read: 'weather' is no part of an entry",
        ),
        (entry_two("data = '{\"seen\": 7}'"), "entry 2 cannot be read: seen: a text, not 7"),
        (entry_two("kind = 'eaten'"), 'entry 2 cannot be read: kind: "eaten" is not known'),
        (entry_two("kind = x'00ff'"), "entry 2 cannot be read: kind: "),
        (entry_two("on_day = 'Sunday'"), "entry 2 cannot be read: on: "),
        (entry_two("at = x'00'"), "entry 2 cannot be read: at: a text, not "),
    ],
)
def test_a_spoilt_book_is_left_alone(
    kept: Path, spoil: Callable[[Path], None], words: str, create: bool
) -> None:
    """Whatever is wrong with the file, no byte of it changes and nothing new lies beside it."""
    spoil(kept)
    before = kept.read_bytes()
    assert words in refused(kept, create).found
    assert kept.read_bytes() == before
    assert list(kept.parent.iterdir()) == [kept]


@BOTH
def test_damage_to_an_older_plan_is_seen(kept: Path, create: bool) -> None:
    """Also where the newest plan is whole, nothing is added to a book that has lost an older one."""
    with Book.open(kept, create=True) as book:
        book.keep(replace(sample_plan(), inputs_sha="second"), "[season]", WHEN, "{}")
    data = bytearray(kept.read_bytes())
    page = data.index(b"[season]\n" * 400) // 4096 * 4096
    data[page : page + 4] = b"\xff\xff\xff\xff"  # where the text goes on
    kept.write_bytes(data)
    assert "damaged, or is no book" in refused(kept, create).found
    assert kept.read_bytes() == data


def test_no_damage_escapes_as_another_error(kept: Path) -> None:
    """Any cut and any overwritten stretch leads to a sound reading or to BookError, and changes nothing."""
    sound, chance = kept.read_bytes(), random.Random(7)
    refusals = 0
    for _ in range(150):
        data = bytearray(sound[: chance.choice([len(sound), chance.randrange(1, len(sound))])])
        start = chance.randrange(len(data))
        data[start : start + 40] = chance.randbytes(len(data[start : start + 40]))
        kept.write_bytes(data)
        try:
            use(kept, create=False)
        except BookError:
            refusals += 1
        assert kept.read_bytes() == data
    assert refusals > 50


@BOTH
def test_a_folder_in_its_place(tmp_path: Path, create: bool) -> None:
    """A folder under the name of the book is named as such."""
    path = tmp_path / "season.book"
    path.mkdir()
    assert refused(path, create).found == "a folder lies where the book belongs"
    assert list(tmp_path.iterdir()) == [path]


@BOTH
@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="THIS TEST DID NOT RUN: no named pipes on this system")
def test_a_pipe_in_its_place(tmp_path: Path, create: bool) -> None:
    """A named pipe would make the command wait for ever, so it is refused before it is opened."""
    path = tmp_path / "season.book"
    os.mkfifo(path)
    assert "no file" in refused(path, create).found


def test_a_missing_folder(tmp_path: Path) -> None:
    """A book cannot be made in a folder that is not there; reading finds an empty book."""
    path = tmp_path / "gone" / "season.book"
    assert "cannot be opened or written here" in refused(path, create=True).found
    use(path, create=False)
    assert list(tmp_path.iterdir()) == []


def test_a_new_book_in_a_read_only_folder() -> None:
    """Where nothing may be written no book is begun; reading still finds none."""
    with locked_folder() as folder:
        assert "cannot be opened or written here" in refused(folder / "season.book", create=True).found
        use(folder / "season.book", create=False)
        assert list(folder.iterdir()) == []


def test_a_book_in_a_read_only_folder_is_still_read(kept: Path) -> None:
    """A book on a disk that may not be written gives its plans, and refuses a new one untouched."""
    before = kept.read_bytes()
    with locked_folder(book=before) as folder:
        path = folder / "book"
        use(path, create=False)
        assert "cannot be opened or written here" in refused(path, create=True).found
        assert path.read_bytes() == before
        assert list(folder.iterdir()) == [path]


def test_a_full_disk_keeps_the_book_as_it_was(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A plan that no longer fits is not kept in part; the next command finds the book as it was."""
    before = kept.read_bytes()
    limit = f"PRAGMA max_page_count = {len(before) // 4096 + 2}"
    monkeypatch.setattr(file, "SETTINGS", (*file.SETTINGS, limit))
    assert "disk is full" in refused(kept, create=True, text="x" * 100_000).found
    assert kept.read_bytes() == before
    assert list(kept.parent.iterdir()) == [kept]


def test_a_full_disk_keeps_no_half_entry(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An entry that no longer fits is not kept in part, nor is one that was recorded with it."""
    before = kept.read_bytes()
    monkeypatch.setattr(
        file, "SETTINGS", (*file.SETTINGS, f"PRAGMA max_page_count = {len(before) // 4096 + 2}")
    )
    with pytest.raises(BookError) as caught, Book.open(kept, create=True) as book:
        book.record(PLAIN, AT)
        book.record(replace(LOST, seen="x" * 100_000), AT)
    assert "disk is full" in caught.value.fault.found
    assert kept.read_bytes() == before
    assert list(kept.parent.iterdir()) == [kept]


@pytest.mark.parametrize("pages", [1, 4])
def test_a_full_disk_leaves_no_new_book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, pages: int) -> None:
    """Where the first plan does not fit, whether the tables did or not, no file is left behind."""
    monkeypatch.setattr(file, "SETTINGS", (*file.SETTINGS, f"PRAGMA max_page_count = {pages}"))
    assert "disk is full" in refused(tmp_path / "season.book", create=True, text="x" * 100_000).found
    assert list(tmp_path.iterdir()) == []


def test_a_book_opened_for_reading_keeps_nothing(kept: Path) -> None:
    """No plan or entry can slip into the copy that was opened for reading and be lost with it."""
    with pytest.raises(BookError), Book.open(kept, create=False) as book:
        book.keep(replace(sample_plan(), inputs_sha="new"), "", WHEN, "{}")
    with pytest.raises(BookError), Book.open(kept, create=False) as book:
        book.record(PLAIN, AT)
