"""The book adds entries one after the other and gives every one of them back as it was."""

from __future__ import annotations

import json
import sqlite3
import subprocess
import sys
from contextlib import closing
from dataclasses import fields, replace
from datetime import date
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.book import entry_text
from scheduler.book.store import Book
from scheduler.errors import BookError, UsageError
from scheduler.plan import Rewrite
from scheduler.progress import Entry, Kind
from tests.book.written import AT, DAY, ENTRIES, FULL, LOST, PLAIN, numbered, record, recorded
from tests.command import ROOT
from tests.sample import sample_plan

TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)
ANY_ENTRY = st.builds(
    Entry,
    kind=st.sampled_from(get_args(Kind)),
    on=st.dates(),
    subject=TEXTS,
    units=st.lists(TEXTS, max_size=3).map(tuple),
    count=st.none() | st.integers(),
    amount=st.none() | st.floats(allow_nan=False, allow_infinity=False),
    parent=st.none() | TEXTS,
    until=st.none() | st.dates(),
    seen=TEXTS,
    stage=st.none() | TEXTS,
    strain=st.none() | TEXTS,
    forced=st.booleans(),
    corrects=st.none() | st.integers(),
    changes=st.lists(st.builds(Rewrite, TEXTS, st.none() | TEXTS, st.none() | TEXTS), max_size=2).map(tuple),
)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where a book may be made."""
    return tmp_path / "season.book"


def test_entries_come_back_in_order_with_their_numbers(path: Path) -> None:
    """Every field of every entry is as it was, also of one that a later one takes back."""
    assert record(path, *ENTRIES) == [1, 2, 3, 4, 5]
    assert recorded(path) == numbered(ENTRIES)


def test_a_book_without_entries_has_none(path: Path) -> None:
    """Where there is no book, or one with plans only, no entry is found and no file is made."""
    assert recorded(path) == ()
    assert list(path.parent.iterdir()) == []
    with Book.open(path, create=True) as book:
        book.keep(sample_plan(), "", AT, "{}")
    assert recorded(path) == ()


def test_the_same_entry_again_is_another_entry(path: Path) -> None:
    """A grower who picks twice a day says the same thing twice, within one command as well."""
    with Book.open(path, create=True) as book:
        assert [book.record(PLAIN, AT), book.record(PLAIN, "later")] == [1, 2]
        assert [entry.at for entry in book.entries()] == [AT, "later"]


def test_plans_and_entries_are_numbered_apart(path: Path) -> None:
    """An entry does not move the number of the next plan, nor a plan that of the next entry."""
    with Book.open(path, create=True) as book:
        assert book.record(PLAIN, AT) == 1
        assert book.keep(sample_plan(), "", AT, "{}") == 1
        assert book.record(LOST, AT) == 2
        assert book.keep(replace(sample_plan(), inputs_sha="new"), "", AT, "{}") == 2


def test_an_entry_and_a_plan_are_one_transaction(path: Path) -> None:
    """What a command recorded before it failed is not there afterwards."""
    record(path, PLAIN)
    with pytest.raises(RuntimeError), Book.open(path, create=True) as book:
        book.record(LOST, AT)
        book.keep(sample_plan(), "", AT, "{}")
        raise RuntimeError
    assert recorded(path) == numbered([PLAIN])


def test_long_words_are_kept_whole(path: Path) -> None:
    """Ten thousand letters of any script are as welcome as three."""
    entry = replace(LOST, seen="Ж🍄\u2028" * 3334)
    record(path, entry)
    assert recorded(path) == numbered([entry])


@given(ANY_ENTRY)
def test_any_entry_can_be_written_and_read(entry: Entry) -> None:
    """The data of an entry lead back to it, as values and as the text beside the columns."""
    data = entry_text.to_data(entry)
    assert entry_text.from_data(json.loads(json.dumps(data))) == entry
    columns = {key: data.get(key) for key in entry_text.COLUMNS}
    assert entry_text.from_text(entry_text.to_text(entry), columns) == entry


def test_only_what_differs_from_its_default_is_written(path: Path) -> None:
    """The text beside the columns is as short as the entry, dates in it stand as ISO days."""
    record(path, PLAIN, FULL)
    with closing(sqlite3.connect(path)) as connection:
        found = connection.execute("SELECT on_day, kind, subject, data, corrects FROM entries").fetchall()
    assert found[0] == ("2027-02-14", "clean", "NAM-G1a", "{}", None)
    assert found[1][:3] == ("2028-02-29", "found", "old jar")
    assert found[1][4] == 1
    data = json.loads(found[1][3])
    assert list(data) == [field.name for field in fields(Entry) if field.name not in entry_text.COLUMNS]
    assert data["until"] == "2028-03-01"
    assert data["changes"] == [
        {"key": "[[help]]", "was": None, "now": 'date = "2027-03-06"\nhours = 4'},
        {"key": "[people].hours.sat", "was": "4", "now": None},
    ]


GOOD = {"kind": "clean", "on": "2027-02-14", "subject": "NAM-G1a"}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"kind": "eaten"}, 'kind: "eaten" is not known'),
        ({"kind": None}, "kind: null is not known"),
        ({"kind": ["clean"]}, "kind: .* is not known"),
        ({"on": "14 February"}, "on: "),
        ({"on": "20270214"}, 'on: a day as YYYY-MM-DD, not "20270214"'),
        ({"on": "2027-02-29"}, "on: "),
        ({"on": 20270214}, "on: a text, not 20270214"),
        ({"subject": None}, "subject: a text, not null"),
        ({"units": "NAM-G1a/1"}, "units: a list, not"),
        ({"units": [1]}, "units: a text, not 1"),
        ({"count": 3.0}, "count: a whole number, not 3.0"),
        ({"count": True}, "count: a whole number, not true"),
        ({"amount": "450"}, 'amount: a number, not "450"'),
        ({"amount": True}, "amount: a number, not true"),
        ({"amount": float("inf")}, "amount: a number that is not too large"),
        ({"amount": 10**400}, "amount: "),
        ({"until": ""}, "until: "),
        ({"forced": 1}, "forced: true or false, not 1"),
        ({"corrects": "1"}, "corrects: a whole number"),
        ({"changes": {}}, "changes: a list"),
        ({"changes": ["[[help]]"]}, "changes: a list of objects"),
        ({"changes": [{"key": "a", "was": None}]}, "changes: each change has key, was and now"),
        ({"changes": [{"key": "a", "was": None, "now": None, "why": ""}]}, "changes: each change has"),
        ({"changes": [{"key": "a", "was": 4, "now": None}]}, "changes: a text, not 4"),
        ({"weather": "wet"}, "'weather' is no part of an entry"),
        ({"seen": {"words": "x" * 100}}, r"seen: a text, not .{40}\.\.\.$"),
    ],
)
def test_what_is_no_entry_is_named(change: dict[str, object], words: str) -> None:
    """An unknown key and a value of the wrong kind are refused, and the key is said."""
    assert entry_text.from_data(GOOD) == PLAIN
    with pytest.raises(ValueError, match=words):
        entry_text.from_data({**GOOD, **change})


@pytest.mark.parametrize("key", list(GOOD))
def test_what_every_entry_has_cannot_be_missing(key: str) -> None:
    """An entry without its kind, day or subject is none."""
    with pytest.raises(ValueError, match=f"{key} is missing"):
        entry_text.from_data({k: v for k, v in GOOD.items() if k != key})


@pytest.mark.parametrize("number", [0, -1, 2, 3, 10**30])
def test_only_an_earlier_entry_can_be_taken_back(path: Path, number: int) -> None:
    """The number of no entry, and the entry's own, are refused before anything is written."""
    record(path, PLAIN)
    before = path.read_bytes()
    with pytest.raises(UsageError) as caught:
        record(path, Entry("undo", DAY, "", corrects=number))
    assert caught.value.fault.where == f"entry {number}"
    assert path.read_bytes() == before


@pytest.mark.parametrize("entry", [replace(LOST, seen="\udcff"), replace(LOST, subject="\ud800")])
def test_letters_that_no_file_can_hold_are_refused(path: Path, entry: Entry) -> None:
    """A word that came from a terminal in another encoding ends the command in one sentence."""
    with pytest.raises(UsageError) as caught:
        record(path, entry)
    assert "not UTF-8" in caught.value.fault.found
    caught.value.fault.where.encode()
    assert list(path.parent.iterdir()) == []


@pytest.mark.parametrize("recursive", ["ON", "OFF"])
@pytest.mark.parametrize(
    ("statement", "reason"),
    [
        ("UPDATE entries SET kind = 'clean' WHERE entry_no = 2", "never changed"),
        ("UPDATE entries SET entry_no = 9 WHERE entry_no = 2", "never changed"),
        ("DELETE FROM entries", "never deleted"),
        ("DELETE FROM entries WHERE entry_no = 2", "never deleted"),
        ("INSERT OR REPLACE INTO entries SELECT 1, '', '', '', '', '', NULL", "one after the other"),
        ("REPLACE INTO entries SELECT 2, '', '', '', '', '', NULL", "one after the other"),
        ("INSERT INTO entries SELECT 7, '', '', '', '', '', NULL", "one after the other"),
        ("INSERT INTO entries SELECT NULL, '', '', '', '', '', NULL", "one after the other"),
        ("INSERT INTO entries SELECT 3, '', '', '', '', '', 3", "CHECK"),
        ("INSERT INTO entries SELECT 3, '', '', '', '', NULL, NULL", "NOT NULL"),
        (
            "INSERT INTO entries SELECT 2, '', '', '', '', '', NULL ON CONFLICT DO UPDATE SET kind = 'x'",
            "one after the other",
        ),
    ],
)
def test_entries_only_grow(path: Path, statement: str, reason: str, recursive: str) -> None:
    """No other program can change, remove, replace or misnumber an entry by accident."""
    record(path, PLAIN, LOST)
    before = path.read_bytes()
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute(f"PRAGMA recursive_triggers = {recursive}")
        with pytest.raises(sqlite3.IntegrityError, match=reason):
            connection.execute(statement)
    assert path.read_bytes() == before


def test_an_entry_corrects_one_that_is_there(path: Path) -> None:
    """The book itself refuses a correction of nothing, whatever the command has missed."""
    record(path, PLAIN)
    with pytest.raises(BookError) as caught, Book.open(path, create=True) as book:
        book._connection.execute("INSERT INTO entries SELECT 2, '', '', '', '', '', 0")
    assert "FOREIGN KEY" in caught.value.fault.found
    assert recorded(path) == numbered([PLAIN])


def test_entries_are_written_and_read_without_heavy_libraries(path: Path) -> None:
    """To record and to list costs the standard library only."""
    code = (
        "import sys; from pathlib import Path; from tests.book.written import *\n"
        "print(*record(Path(sys.argv[1]), *ENTRIES), len(recorded(Path(sys.argv[1]))))\n"
        "print(*sorted({name.partition('.')[0] for name in sys.modules}))"
    )
    ended = subprocess.run(
        [sys.executable, "-c", code, str(path)], cwd=ROOT, capture_output=True, text=True, check=True
    )
    numbers, modules = ended.stdout.splitlines()
    assert numbers == "1 2 3 4 5 5"
    assert {"pydantic", "rich", "pint", "typer", "numpy", "ortools"}.isdisjoint(modules.split())
    assert recorded(path) == numbered(ENTRIES)


def test_two_processes_record_side_by_side(path: Path) -> None:
    """Two commands that record 500 entries each at the same time lose none and share no number."""
    code = (
        "import sys; from pathlib import Path; from tests.book.written import *\n"
        "entries = [Entry('picked', DAY, f'{sys.argv[2]} {n}') for n in range(500)]\n"
        "print(*record(Path(sys.argv[1]), *entries))"
    )
    writers = {
        name: subprocess.Popen(
            [sys.executable, "-c", code, str(path), name], cwd=ROOT, stdout=subprocess.PIPE, text=True
        )
        for name in ("left", "right")
    }
    given_to = {
        int(number): f"{name} {n}"
        for name, writer in writers.items()
        for n, number in enumerate(writer.communicate()[0].split())
    }
    assert {name: writer.returncode for name, writer in writers.items()} == {"left": 0, "right": 0}
    assert sorted(given_to) == list(range(1, 1001))
    assert {found.entry_no: found.entry.subject for found in recorded(path)} == given_to


def test_a_day_of_long_ago_or_far_ahead_is_kept(path: Path) -> None:
    """The book does not judge days, and writes each with four figures of its year."""
    entries = [replace(PLAIN, on=day) for day in (date.min, date(999, 2, 3), date.max)]
    record(path, *entries)
    assert recorded(path) == numbered(entries)
