"""A book goes out as JSON Lines and comes back as it was, or not at all."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scheduler.book import file, ledger_text
from scheduler.book.migrations import MIGRATIONS
from scheduler.book.store import Book
from scheduler.book.transfer import Contents, export, import_
from scheduler.document import to_json
from scheduler.errors import BookError, Fault, UsageError
from scheduler.progress import Entry
from tests.book.test_entries import ANY_ENTRY
from tests.book.written import AT, ENTRIES, LOST, PLAIN, TOLD, record, recorded
from tests.folders import locked_folder
from tests.sample import SEASON, sample_plan

AWKWARD = "Näme 🍄 \u2028\u2029\u0085\x0b\x0c\r\n\x00 \\u2028 \"'"
LONG = AWKWARD * (10_000 // len(AWKWARD))


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A book with three plans and five entries, and awkward letters everywhere."""
    path = tmp_path / "season.book"
    with Book.open(path, create=True) as opened:
        opened.keep(sample_plan(), "[season]", AT, '{"text": "[season]"}')
        named = replace(sample_plan(), season=replace(SEASON, name=AWKWARD), notes=(LONG,))
        opened.keep(named, LONG, AWKWARD, AWKWARD)
        opened.keep(replace(sample_plan(), inputs_sha="third"), "", AT, "")
        for entry in ENTRIES:
            opened.record(entry, AT)
        opened.record(replace(LOST, seen=LONG), AWKWARD)
        opened.tell(TOLD)
    return path


def exported(path: Path) -> str:
    """The whole export of a book."""
    return "".join(export(path))


def imported(path: Path, text: str | bytes) -> Contents:
    """Imports a text as a command would."""
    source = path.with_name("exported.jsonl")
    source.write_bytes(text if isinstance(text, bytes) else text.encode())
    try:
        return import_(path, source)
    finally:
        source.unlink()


def refused(path: Path, text: str | bytes) -> Fault:
    """The fault with which an import ends; nothing lies there afterwards that was not there before."""
    before = {found: found.read_bytes() for found in path.parent.iterdir()}
    with pytest.raises(UsageError) as caught:
        imported(path, text)
    assert caught.value.exit_code == 2
    assert {found: found.read_bytes() for found in path.parent.iterdir()} == before
    return caught.value.fault


def tables(path: Path) -> list[list[tuple[object, ...]]]:
    """Everything that stands in the tables of a book."""
    with closing(sqlite3.connect(path)) as connection:
        return [
            connection.execute(f"SELECT * FROM {name}").fetchall()
            for name in ("plans", "entries", "calendar")
        ]


def test_what_goes_out_comes_back(book: Path, tmp_path: Path) -> None:
    """The book that was imported has the same rows, and leads to the same bytes again."""
    text = exported(book)
    copy = tmp_path / "copy.book"
    assert imported(copy, text) == Contents(3, 6, 3)
    assert tables(copy) == tables(book)
    assert exported(copy) == text
    assert recorded(copy) == recorded(book)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=30, deadline=None)
@given(st.lists(ANY_ENTRY, max_size=4), st.text(st.characters(exclude_categories=["Cs"])))
def test_any_book_comes_back(tmp_path: Path, entries: list[Entry], text: str) -> None:
    """Whatever was kept, the export of the import of an export is the export."""
    book, copy = tmp_path / "season.book", tmp_path / "copy.book"
    try:
        with Book.open(book, create=True) as opened:
            opened.keep(sample_plan(), text, text, text)
            for entry in entries:
                opened.record(replace(entry, corrects=None), text)
        lines = exported(book)
        imported(copy, lines)
        assert exported(copy) == lines
        assert tables(copy) == tables(book)
    finally:
        book.unlink()
        copy.unlink()


def test_the_lines_are_json_that_any_program_can_read(book: Path) -> None:
    """A header, then one line for each plan and each entry; only a line feed ends a line."""
    text = exported(book)
    head, *rest = [json.loads(line) for line in text.removesuffix("\n").split("\n")]
    assert head == {"budswell_book": 1, "version": len(MIGRATIONS), "plans": 3, "entries": 6, "calendar": 3}
    assert [line.get("plan_no") for line in rest] == [1, 2, 3] + 9 * [None]
    assert [line.get("entry_no") for line in rest] == 3 * [None] + [1, 2, 3, 4, 5, 6] + 3 * [None]
    assert [(line["uid"], line["sequence"]) for line in rest[9:]] == [
        ("2b1c", 0),
        ("2b1c", 1),
        ("7f00", 2_000_000_000),
    ]
    assert rest[0]["document"] == json.loads(to_json(replace(sample_plan(), plan_no=1)))
    assert rest[1]["season_text"] == LONG
    assert rest[1]["basis"] == AWKWARD
    assert rest[3] == {
        "entry_no": 1, "at": AT, "kind": "clean", "on": "2027-02-14", "subject": "NAM-G1a",
    }  # fmt: skip
    assert "🍄" in text


def test_an_export_changes_nothing(book: Path) -> None:
    """The book is read like by any other view."""
    before = book.read_bytes()
    exported(book)
    assert book.read_bytes() == before
    assert list(book.parent.iterdir()) == [book]


def test_an_empty_book_goes_out_and_comes_back(tmp_path: Path) -> None:
    """Where nothing was kept there is a header; it makes a book with nothing in it."""
    text = exported(tmp_path / "none.book")
    assert text.count("\n") == 1
    assert imported(tmp_path / "season.book", text) == Contents(0, 0)
    assert exported(tmp_path / "season.book") == text


def test_a_plan_of_version_1_comes_back_without_a_basis(book: Path, tmp_path: Path) -> None:
    """Where nobody knows what a plan was made from, that is still so after the way out and back."""
    with closing(sqlite3.connect(book, isolation_level=None)) as connection:
        connection.execute("DROP TRIGGER plans_are_not_changed")
        connection.execute("UPDATE plans SET basis = NULL WHERE plan_no = 2")
    imported(tmp_path / "copy.book", exported(book))
    assert tables(tmp_path / "copy.book") == tables(book)


def test_an_older_document_stays_as_it_was_kept(book: Path, tmp_path: Path) -> None:
    """A plan that was kept before its words had a key of today is not rewritten in today's words."""
    with closing(sqlite3.connect(book, isolation_level=None)) as connection:
        connection.execute("DROP TRIGGER plans_are_not_changed")
        connection.execute(
            """UPDATE plans SET document = replace(document, '"late": false', '"late": true')"""
        )
        text = connection.execute("SELECT document FROM plans WHERE plan_no = 1").fetchone()[0]
        older = json.loads(text)
        del older["notes"], older["changes"]
        kept = json.dumps(older, ensure_ascii=False, indent=1) + "\n"
        connection.execute("UPDATE plans SET document = ? WHERE plan_no = 1", (kept,))
    imported(tmp_path / "copy.book", exported(book))
    assert tables(tmp_path / "copy.book") == tables(book)
    with Book.open(tmp_path / "copy.book", create=False) as opened:
        first = opened.plan(1)
        assert first is not None
        assert first.plan.notes == ()


@pytest.mark.parametrize(
    "make", [Path.touch, lambda path: imported(path, exported(path))], ids=["bare", "made"]
)
def test_an_empty_book_may_be_filled(book: Path, tmp_path: Path, make: Callable[[Path], object]) -> None:
    """An empty file, and a book in which nothing was kept yet, are as good as none."""
    copy = tmp_path / "copy.book"
    make(copy)
    imported(copy, exported(book))
    assert tables(copy) == tables(book)


@pytest.mark.parametrize(
    ("plans", "entries", "words"), [(1, 0, "1 plan and 0 entries"), (0, 1, "0 plans and 1 entry")]
)
def test_two_books_are_never_mixed(book: Path, tmp_path: Path, plans: int, entries: int, words: str) -> None:
    """A book with something in it is left alone, and the reason is said."""
    other = tmp_path / "other.book"
    with Book.open(other, create=True) as opened:
        for _ in range(plans):
            opened.keep(sample_plan(), "", AT, "")
        for _ in range(entries):
            opened.record(PLAIN, AT)
    fault = refused(other, exported(book))
    assert fault.where == str(other)
    assert words in fault.found
    assert "never mixed" in fault.found


def test_other_ways_of_writing_the_same_lines_are_read(book: Path, tmp_path: Path) -> None:
    """Line ends of another system, a mark at the file's start and letters spelled as numbers do no harm."""
    text = exported(book)
    lines = [
        json.dumps(json.loads(line), separators=(",", ":")) for line in text.removesuffix("\n").split("\n")
    ]
    imported(tmp_path / "copy.book", b"\xef\xbb\xbf" + "\r\n".join(lines).encode())
    assert exported(tmp_path / "copy.book") == text


HEAD = {"budswell_book": 1, "version": 3, "plans": 1, "entries": 2, "calendar": 2}
NUMBERED = replace(sample_plan(), plan_no=1)
PLAN: dict[str, Any] = {
    "plan_no": 1,
    "kept_at": AT,
    "basis": None,
    "season_text": "",
    "document": json.loads(to_json(NUMBERED)),
}
FIRST = {"entry_no": 1, "at": AT, "kind": "clean", "on": "2027-02-14", "subject": "NAM-G1a"}
SECOND = {"entry_no": 2, "at": AT, "kind": "undo", "on": "2027-02-14", "subject": "", "corrects": 1}
TOLD_ONCE, TOLD_TWICE = (ledger_text.to_data(row) for row in TOLD[:2])
GOOD = (HEAD, PLAN, FIRST, SECOND, TOLD_ONCE, TOLD_TWICE)


def changed(line: int, **change: object) -> str:
    """A good file in which one line, counted from 1, says something else; None takes a key out."""
    lines = [dict(data) for data in GOOD]
    merged = {**lines[line - 1], **change}
    lines[line - 1] = {
        key: value for key, value in merged.items() if value is not None or key in ("basis", "removed_on")
    }
    return "".join(json.dumps(data) + "\n" for data in lines)


@pytest.mark.parametrize(
    ("line", "change", "words"),
    [
        (1, {"budswell_book": None}, "budswell_book: a whole number, not null"),
        (1, {"budswell_book": 2}, "a newer budswell has written this book"),
        (
            1,
            {"version": len(MIGRATIONS) + 1},
            f"a newer budswell has written this book (version {len(MIGRATIONS) + 1})",
        ),
        (1, {"version": "2"}, 'version: a whole number, not "2"'),
        (1, {"entries": None}, "entries: a whole number, not null"),
        (1, {"calendar": "2"}, 'calendar: a whole number, not "2"'),
        (2, {"plan_no": 2}, "plan 2 where plan 1 is due"),
        (2, {"plan_no": "1"}, 'plan_no: a whole number, not "1"'),
        (2, {"kept_at": None}, "a plan has plan_no, kept_at, basis, season_text and document"),
        (2, {"kept_at": 7}, "kept_at: a text, not 7"),
        (2, {"made_by": "me"}, "a plan has plan_no, kept_at, basis, season_text and document"),
        (2, {"basis": {}}, "basis: a text or null, not {}"),
        (2, {"season_text": 1}, "season_text: a text, not 1"),
        (2, {"season_text": "\ud800"}, "letters that are not UTF-8"),
        (2, {"document": "{}"}, "document: "),
        (2, {"document": {}}, "document: "),
        (2, {"document": {**PLAN["document"], "jobs": []}}, "document: jobs: "),
        (2, {"document": {**PLAN["document"], "plan_no": 3}}, "document: it is that of plan 3"),
        (2, {"document": {**PLAN["document"], "schema": "budswell.plan/2"}}, "document: "),
        (3, {"entry_no": 2}, "entry 2 where entry 1 is due"),
        (3, {"entry_no": None}, "entry_no: a whole number, not null"),
        (3, {"entry_no": True}, "entry_no: a whole number, not true"),
        (3, {"at": None}, "at: a text, not null"),
        (3, {"kind": "eaten"}, 'kind: "eaten" is not known'),
        (3, {"on": "2027-02-30"}, "on: "),
        (3, {"subject": None}, "subject is missing"),
        (3, {"weather": "wet"}, "'weather' is no part of an entry"),
        (3, {"\ud800": "wet"}, "letters that are not UTF-8"),
        (3, {"seen": "half a mushroom \ud83c"}, "letters that are not UTF-8"),
        (3, {"amount": 10**400}, "amount: "),
        (3, {"corrects": 1}, "corrects: entry 1 does not come before it"),
        (4, {"corrects": 0}, "corrects: entry 0 does not come before it"),
        (4, {"entry_no": 1}, "entry 1 where entry 2 is due"),
        (5, {"colour": "green"}, "what a calendar was told has uid, sequence, kind"),
        (5, {"name": None}, "what a calendar was told has uid, sequence, kind"),
        (5, {"kind": "VJOURNAL"}, "kind: 'VJOURNAL' is not known"),
        (5, {"sequence": "0"}, 'sequence: a whole number, not "0"'),
        (5, {"sha": 7}, "sha: a text, not 7"),
        (5, {"first_day": "20270214"}, "first_day: a day as YYYY-MM-DD"),
        (5, {"last_day": "2027-02-30"}, "day is out of range"),
        (5, {"created": "2026-11-28"}, "created: "),
        (5, {"modified": "2026-11-28T00:00:00+01:00"}, "modified: "),
        (5, {"removed_on": 3}, "removed_on: a text, not 3"),
        (6, {"sequence": 0}, "lines of calendars stand by uid, and their sequence rises"),
        (6, {"uid": "1aaa"}, "lines of calendars stand by uid, and their sequence rises"),
    ],
)
def test_a_line_that_is_not_right_is_named(
    tmp_path: Path, line: int, change: dict[str, object], words: str
) -> None:
    """One wrong line anywhere, and nothing is imported; the file and the number of the line are said."""
    assert imported(tmp_path / "good.book", changed(3, seen="green")) == Contents(1, 2, 2)
    fault = refused(tmp_path / "season.book", changed(line, **change))
    assert fault.where == f"{tmp_path / 'exported.jsonl'}:{line}"
    assert fault.found.startswith(f"this line cannot be read: {words}")
    assert fault.allowed
    assert fault.hint


@pytest.mark.parametrize(
    ("bytes_", "words"),
    [
        (b"{", "no JSON"),
        (b"", "no JSON"),
        (b"[]", "a JSON object, not []"),
        (b"7", "a JSON object, not 7"),
        (b'{"seen": "gr\xfcn"}', "letters that are not UTF-8"),
        (b"\x00" * 50, "no JSON"),
        (b'{"amount": NaN}', "no JSON: NaN is no number"),
        (b'{"amount": 1e999}', ""),
        (b'{"amount": ' + b"9" * 5000 + b"}", ""),
        (b"[" * 200_000, "nested too deeply"),
    ],
)
@pytest.mark.parametrize("line", [1, 3])
def test_bytes_that_are_no_line_are_named(tmp_path: Path, line: int, bytes_: bytes, words: str) -> None:
    """Scrambled bytes lead to the same one sentence as a wrong value."""
    lines = [json.dumps(data).encode() for data in GOOD]
    lines[line - 1] = bytes_
    fault = refused(tmp_path / "season.book", b"\n".join(lines))
    assert fault.where.endswith(f"exported.jsonl:{line}")
    assert words in fault.found


@pytest.mark.parametrize("left", range(6))
def test_a_file_that_is_cut_off_is_refused(tmp_path: Path, left: int) -> None:
    """Also where it ends between two lines, since the first one says how many there have to be."""
    lines = changed(3).split("\n")
    fault = refused(tmp_path / "season.book", "\n".join(lines[:left]))
    assert (
        "an empty file" if left == 0 else "promises 1 plan, 2 entries and 2 calendar lines"
    ) in fault.found


def test_a_cut_anywhere_is_noticed(book: Path, tmp_path: Path) -> None:
    """No prefix of an export is taken for a whole one, but for a missing last line end."""
    data = exported(book).encode()
    for length in (*range(0, len(data) - 1, 997), len(data) - 2):
        refused(tmp_path / "copy.book", data[:length])
    assert imported(tmp_path / "copy.book", data[:-1]) == Contents(3, 6, 3)


def test_a_file_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    """A missing file, and a folder in its place, are said; no book is begun."""
    for source in (tmp_path / "none.jsonl", tmp_path):
        with pytest.raises(UsageError) as caught:
            import_(tmp_path / "season.book", source)
        assert caught.value.fault.where == str(source)
        assert "cannot be read (" in caught.value.fault.found
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_imports_nothing(book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An import is one transaction: where it does not fit no book is left behind."""
    text = exported(book)
    monkeypatch.setattr(file, "SETTINGS", (*file.SETTINGS, "PRAGMA max_page_count = 10"))
    with pytest.raises(BookError) as caught:
        imported(tmp_path / "copy.book", text)
    assert "disk is full" in caught.value.fault.found
    assert list(tmp_path.iterdir()) == [book]


def test_a_read_only_folder_imports_nothing_and_still_exports(book: Path) -> None:
    """A book on a disk that may not be written goes out; none can be put there."""
    text = exported(book)
    with locked_folder(book=book.read_bytes(), lines=text.encode()) as folder:
        assert exported(folder / "book") == text
        with pytest.raises(BookError) as caught:
            import_(folder / "season.book", folder / "lines")
        assert "cannot be opened or written here" in caught.value.fault.found


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ("document = 'none'", "plan 2 cannot be read: no JSON"),
        ("document = '{\"minutes\": 1e999}'", "plan 2 cannot be read: "),
        ("season_text = x'ff'", "plan 2 cannot be read: season_text: a text, not "),
    ],
)
def test_a_plan_changed_by_hand_is_not_exported(book: Path, change: str, words: str) -> None:
    """What is no text or no JSON any more is named, as where it is read for a view."""
    with closing(sqlite3.connect(book, isolation_level=None)) as connection:
        connection.execute("DROP TRIGGER plans_are_not_changed")
        connection.execute(f"UPDATE plans SET {change} WHERE plan_no = 2")
    with pytest.raises(BookError) as caught:
        exported(book)
    assert words in caught.value.fault.found


def test_a_book_goes_on_after_an_import(book: Path, tmp_path: Path) -> None:
    """The next plan and the next entry get the next numbers."""
    copy = tmp_path / "copy.book"
    imported(copy, exported(book))
    assert record(copy, PLAIN) == [7]
    with Book.open(copy, create=True) as opened:
        assert opened.keep(replace(sample_plan(), inputs_sha="third"), "", AT, "") == 3
        assert opened.keep(sample_plan(), "", AT, "") == 4
        assert opened.season_id(SEASON.name) == SEASON.id
