"""`book` as it is called: every entry is listed, all of it goes out and comes back, nothing is overwritten."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from scheduler.book.store import Book
from tests.command import budswell, example, inside, is_one_block, listing
from tests.february import TODAY, begun, entries, newest


def test_every_entry_is_listed(tmp_path: Path) -> None:
    """Also one that was taken back, which says by which other."""
    begun(tmp_path)
    for words in (["lost", "SHI-G1a", "3"], ["undo"]):
        assert inside("record", "backyard", *words, *TODAY, cwd=tmp_path).code == 0
    ended = inside("book", "show", "backyard", cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    rows = [" ".join(line.split()) for line in ended.out.splitlines()]
    assert rows[0].startswith("no. day what")
    assert len(rows) == 35
    assert rows[33].startswith("33 Thu 4 Feb 2027 SHI-G1a/2-4 (3 units) lost")
    assert "34" in rows[33].removeprefix("33")
    assert rows[34].startswith("34 Thu 4 Feb 2027 entry 33 taken back")


def test_a_book_goes_out_and_comes_back(tmp_path: Path) -> None:
    """From the screen or a file, beside a season without a book: the same entries, plans and pages."""
    season = begun(tmp_path)
    printed = budswell("book", "export", "backyard", cwd=tmp_path)
    assert (printed.code, printed.err) == (0, "")
    ended = inside("book", "export", "backyard", "all.jsonl", cwd=tmp_path)
    assert (ended.code, ended.out) == (0, "all.jsonl: the whole book.\n")
    assert (tmp_path / "all.jsonl").read_bytes() == printed.out.encode()
    there = entries(season), newest(season)
    page = inside("show", "backyard", *TODAY, cwd=tmp_path)
    (season / "season.book").unlink()
    ended = inside("book", "import", "backyard", "all.jsonl", cwd=tmp_path)
    assert (ended.code, ended.out) == (0, "all.jsonl: 1 plan and 32 entries read.\n")
    assert (entries(season), newest(season)) == there
    assert inside("show", "backyard", *TODAY, cwd=tmp_path) == page
    assert inside("replan", "backyard", *TODAY, cwd=tmp_path).code == 0


def test_two_books_are_not_mixed(tmp_path: Path) -> None:
    """A season that has a book with something in it takes no other; nothing is changed."""
    begun(tmp_path)
    assert inside("book", "export", "backyard", "all.jsonl", cwd=tmp_path).code == 0
    before = listing(tmp_path)
    ended = inside("book", "import", "backyard", "all.jsonl", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "already holds 1 plan and 32 entries" in ended.err
    assert listing(tmp_path) == before


@pytest.mark.parametrize(
    "damage",
    [
        lambda text: "",
        lambda text: text[: len(text) // 2],
        lambda text: text.rsplit("\n", 2)[0] + "\n",
        lambda text: text.replace('"clean"', '"cleen"', 1),
        lambda text: text.replace("2027-01-14", "2027-01-32", 1),
        lambda text: text + text.splitlines()[-1] + "\n",
        lambda text: "\n".join(reversed(text.splitlines())),
        lambda text: "PK\x03\x04\x00",
    ],
    ids=[
        "empty",
        "half",
        "last line gone",
        "unknown kind",
        "no such day",
        "line twice",
        "upside down",
        "other",
    ],
)
def test_a_damaged_export_is_refused(damage: Callable[[str], str], tmp_path: Path) -> None:
    """Nothing of it is read in: no book is made beside the season."""
    begun(tmp_path)
    text = inside("book", "export", "backyard", cwd=tmp_path).out
    (tmp_path / "all.jsonl").write_text(damage(text), encoding="utf-8")
    (tmp_path / "backyard/season.book").unlink()
    before = listing(tmp_path)
    ended = inside("book", "import", "backyard", "all.jsonl", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "all.jsonl" in ended.err
    assert listing(tmp_path) == before


@pytest.mark.parametrize("arguments", [["show"], ["export"], ["import", "all.jsonl"]], ids=lambda a: a[0])
def test_a_name_mistyped_is_no_season(arguments: list[str], tmp_path: Path) -> None:
    """A book is looked for beside a season only."""
    command, *file = arguments
    ended = inside("book", command, "nowhere", *file, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "no season and no book lie here" in ended.err
    assert listing(tmp_path) == {}


def test_a_season_that_has_no_book_yet(tmp_path: Path) -> None:
    """Its list of entries is empty, and there is nothing to export."""
    example("backyard", tmp_path)
    before = listing(tmp_path)
    shown = inside("book", "show", "backyard", cwd=tmp_path)
    assert (shown.code, shown.out) == (0, "  Nothing is recorded yet.\n")
    ended = inside("book", "export", "backyard", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "there is no book yet" in ended.err
    assert listing(tmp_path) == before


@pytest.mark.parametrize(
    "place", ["backyard/season.toml", "backyard/season.book", "gone/all.jsonl", "backyard"]
)
def test_an_export_overwrites_nothing_of_the_season(place: str, tmp_path: Path) -> None:
    """Neither the season nor its book is a place for it, nor a folder, nor one that is not there."""
    begun(tmp_path)
    before = listing(tmp_path)
    ended = inside("book", "export", "backyard", place, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert listing(tmp_path) == before


@pytest.mark.parametrize(
    "arguments",
    [
        ["record", "backyard", "clean", "SHI-G1a"],
        ["today", "backyard"],
        ["show", "backyard"],
        ["replan", "backyard"],
        ["book", "show", "backyard"],
        ["book", "export", "backyard"],
    ],
    ids=lambda a: " ".join(a[:2]),
)
def test_a_damaged_book_is_left_alone(arguments: list[str], tmp_path: Path) -> None:
    """Exit code 3 from every command that opens it, and the file is as it was."""
    season = begun(tmp_path)
    book = season / "season.book"
    book.write_bytes(book.read_bytes()[:5000] + b"\xff" * 20_000)
    before = listing(tmp_path)
    ended = inside(*arguments, cwd=tmp_path)
    assert ended.code == 3
    is_one_block(ended)
    assert "season.book" in ended.err
    assert listing(tmp_path) == before


def test_a_command_waits_for_its_turn_and_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """While another command writes for too long a record ends with exit code 3, and nothing is lost."""
    monkeypatch.setattr("scheduler.book.file.BUSY_SECONDS", 0.05)
    season = begun(tmp_path)
    there = entries(season)
    with Book.open(season / "season.book", create=True):
        ended = inside("record", "backyard", "clean", "SHI-G1a", *TODAY, cwd=tmp_path)
    assert ended.code == 3
    is_one_block(ended)
    assert "another command is writing" in ended.err
    assert entries(season) == there
