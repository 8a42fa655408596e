"""The book keeps plans in order, gives them back, and never loses or changes one."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from scheduler.book import file
from scheduler.book.migrations import MIGRATIONS
from scheduler.book.store import Book, KeptPlan, book_path
from scheduler.errors import BookError
from scheduler.plan import Plan
from tests.sample import SEASON, sample_plan

ROOT = Path(__file__).parents[2]
WHEN = "2026-11-28T09:30:00-05:00"
BASIS = '{"text": "[season]"}'


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where a book may be made, under a name that is awkward in an address."""
    return tmp_path / "Näme ?ko #1 50%.book"


def other(number: int) -> Plan:
    """A plan that is not like the others."""
    return replace(sample_plan(), inputs_sha=f"sha {number}")


def keep(path: Path, *plans: Plan) -> list[int]:
    """Keeps each plan with a command of its own."""
    numbers = []
    for plan in plans:
        with Book.open(path, create=True) as book:
            numbers.append(book.keep(plan, "[season]", WHEN, BASIS))
    return numbers


def latest(path: Path) -> KeptPlan | None:
    """The newest plan, read by a command of its own."""
    with Book.open(path, create=False) as book:
        return book.latest()


def test_book_lies_beside_its_season() -> None:
    """The book takes the stem of the season file."""
    assert book_path(Path("farm/season.toml")) == Path("farm/season.book")
    assert book_path(Path("farm/alder.2027.toml")) == Path("farm/alder.2027.book")


def test_a_kept_plan_comes_back_with_its_number(path: Path) -> None:
    """What was kept is read again whole: plan, season text, moment and basis, under the number it was given."""
    assert keep(path, replace(sample_plan(), plan_no=None)) == [1]
    assert latest(path) == KeptPlan(1, WHEN, "[season]", replace(sample_plan(), plan_no=1), BASIS)


def test_plans_are_numbered_from_one_and_the_newest_is_latest(path: Path) -> None:
    """Numbers follow one another, and the number a plan came with does not matter."""
    assert keep(path, other(1), other(2), replace(other(3), plan_no=99)) == [1, 2, 3]
    newest = latest(path)
    assert newest is not None
    assert (newest.plan_no, newest.plan.plan_no, newest.plan.inputs_sha) == (3, 3, "sha 3")


def test_the_same_plan_again_is_not_kept_twice(path: Path) -> None:
    """Only a plan that equals the newest one is left out; an older one coming back is news."""
    assert keep(path, other(1), other(1), other(2), other(2), other(1)) == [1, 1, 2, 2, 3]


def test_what_stands_beside_a_plan_stays_with_it(path: Path) -> None:
    """Where the same plan comes from something else, the kept one still says what it was made from."""
    with Book.open(path, create=True) as book:
        assert [book.keep(other(1), "[season]", WHEN, basis) for basis in ("first", "second")] == [1, 1]
        newest = book.latest()
        assert newest is not None
        assert newest.basis == "first"


def test_any_plan_is_found_by_its_number(path: Path) -> None:
    """Also an older one, whole; there is none under a number that was not given yet."""
    keep(path, other(1), other(2), other(3))
    with Book.open(path, create=False) as book:
        for number in (1, 2, 3):
            plan = replace(other(number), plan_no=number)
            assert book.plan(number) == KeptPlan(number, WHEN, "[season]", plan, BASIS)
        assert book.plan(3) == book.latest()
        assert (book.plan(0), book.plan(4)) == (None, None)


def test_one_command_may_keep_several(path: Path) -> None:
    """Within one command the book already knows what was kept a moment ago."""
    with Book.open(path, create=True) as book:
        assert [book.keep(other(n), "", WHEN, BASIS) for n in (1, 1, 2)] == [1, 1, 2]
        newest = book.latest()
        assert newest is not None
        assert newest.plan_no == 2


def test_a_missing_book_is_empty_and_stays_missing(path: Path) -> None:
    """Reading never makes a file."""
    with Book.open(path, create=False) as book:
        assert book.latest() is None
        assert book.season_id(SEASON.name) is None
    assert list(path.parent.iterdir()) == []


def test_an_empty_file_is_an_empty_book(path: Path) -> None:
    """A file without a byte holds no plan; reading leaves it so, keeping makes it a book."""
    path.touch()
    assert latest(path) is None
    assert path.read_bytes() == b""
    assert keep(path, other(1)) == [1]


def test_reading_changes_nothing(path: Path) -> None:
    """A book that was only looked at has the same bytes, and nothing lies beside it."""
    keep(path, other(1))
    before = path.read_bytes()
    latest(path)
    assert path.read_bytes() == before
    assert list(path.parent.iterdir()) == [path]


def test_a_command_that_fails_keeps_nothing(path: Path) -> None:
    """The whole block is one transaction: an error in it undoes what it kept, down to the new file."""
    for plans, left in (([], []), ([other(1)], [path])):
        keep(path, *plans)
        with pytest.raises(RuntimeError), Book.open(path, create=True) as book:
            book.keep(other(7), "", WHEN, BASIS)
            raise RuntimeError
        assert list(path.parent.iterdir()) == left
    newest = latest(path)
    assert newest is not None
    assert newest.plan_no == 1


def test_the_first_id_is_frozen(path: Path) -> None:
    """A season keeps the id of its first plan, also under a new name; an id of its own goes with its name."""

    def season(name: str, id_: str) -> Plan:
        return replace(sample_plan(), season=replace(SEASON, name=name, id=id_))

    keep(path, season("Alder Bend", "first"), season("Alder Bend", "second"), season("Mill Lot", "third"))
    with Book.open(path, create=False) as book:
        assert book.season_id("Alder Bend") == "first"
        assert book.season_id("Alder Bend 2027") == "first"
        assert book.season_id("Mill Lot") == "third"


@pytest.mark.parametrize("recursive", ["ON", "OFF"])
@pytest.mark.parametrize(
    ("statement", "reason"),
    [
        ("UPDATE plans SET kept_at = 'never' WHERE plan_no = 1", "never changed"),
        ("DELETE FROM plans", "never deleted"),
        ("INSERT OR REPLACE INTO plans SELECT 1, '', '', '', '', '', '', '', ''", "one after the other"),
        ("INSERT INTO plans SELECT 7, '', '', '', '', '', '', '', ''", "one after the other"),
        ("INSERT INTO plans SELECT NULL, '', '', '', '', '', '', '', ''", "one after the other"),
    ],
)
def test_the_book_only_grows(path: Path, statement: str, reason: str, recursive: str) -> None:
    """No other program can change, remove, replace or misnumber a plan by accident."""
    keep(path, other(1), other(2))
    before = path.read_bytes()
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute(f"PRAGMA recursive_triggers = {recursive}")
        with pytest.raises(sqlite3.IntegrityError, match=reason):
            connection.execute(statement)
    assert path.read_bytes() == before


def test_connection_is_set_up_for_a_power_cut(path: Path) -> None:
    """Full synchronisation, rollback journal, foreign keys, recursive triggers, and some patience."""
    with Book.open(path, create=True) as book:
        found = {
            name: book._connection.execute(f"PRAGMA {name}").fetchone()[0]
            for name in ("synchronous", "journal_mode", "foreign_keys", "recursive_triggers", "busy_timeout")
        }
    assert found == {
        "synchronous": 2,  # FULL
        "journal_mode": "delete",
        "foreign_keys": 1,
        "recursive_triggers": 1,
        "busy_timeout": 10_000,
    }


def test_a_half_written_command_is_undone_by_the_next(path: Path) -> None:
    """After a process dies in the middle of its writing, the book holds what it held before."""
    keep(path, other(1))
    code = (
        "import os, sys; from pathlib import Path; from tests.book.test_store import *\n"
        "with Book.open(Path(sys.argv[1]), create=True) as book:\n"
        "    book._connection.execute('PRAGMA cache_size = 1'); book._connection.execute('PRAGMA cache_spill = 1')\n"
        "    for n in range(2, 40): book.keep(other(n), 'x' * 50_000, WHEN, BASIS)\n"
        "    os._exit(9)\n"
    )
    assert subprocess.run([sys.executable, "-c", code, str(path)], cwd=ROOT).returncode == 9
    assert path.with_name(path.name + "-journal").exists()
    newest = latest(path)
    assert newest is not None
    assert newest.plan_no == 1


def test_two_processes_keep_plans_side_by_side(path: Path) -> None:
    """Two commands that write a new book at the same time lose no plan and share no number."""
    code = (
        "import sys; from pathlib import Path; from tests.book.test_store import keep, other\n"
        "print(*[keep(Path(sys.argv[1]), other(int(sys.argv[2]) * 100 + n))[0] for n in range(15)])"
    )
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", code, str(path), str(n)], cwd=ROOT, stdout=subprocess.PIPE, text=True
        )
        for n in (1, 2)
    ]
    numbers = [int(word) for writer in writers for word in writer.communicate()[0].split()]
    assert sorted(numbers) == list(range(1, 31))
    with closing(sqlite3.connect(path)) as connection:
        kept = {sha for (sha,) in connection.execute("SELECT inputs_sha FROM plans")}
    assert kept == {f"sha {writer * 100 + n}" for writer in (1, 2) for n in range(15)}


def test_the_next_version_is_one_entry(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An older book is read as if it were new, untouched, and brought up to date by the next writing."""
    keep(path, other(1))
    before = path.read_bytes()
    note = ("CREATE TABLE notes (words TEXT)",)
    for module in ("migrations", "file"):
        monkeypatch.setattr(f"scheduler.book.{module}.MIGRATIONS", (*MIGRATIONS, note))
    with Book.open(path, create=False) as book:
        assert book._connection.execute("SELECT count(*) FROM notes").fetchone()[0] == 0
        assert book.latest() is not None
    assert path.read_bytes() == before
    assert keep(path, other(1), other(2)) == [1, 2]
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA user_version").fetchone()[0] == len(MIGRATIONS) + 1
        assert connection.execute("SELECT count(*) FROM notes").fetchone()[0] == 0


def test_a_second_writer_waits_for_the_first(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """From its first moment a writing command is alone: others may read, a second writer is told why not."""
    keep(path, other(1))
    monkeypatch.setattr(file, "BUSY_SECONDS", 0.05)
    with Book.open(path, create=True) as book:
        with pytest.raises(BookError) as caught:
            keep(path, other(3))
        book.keep(other(2), "", WHEN, BASIS)
        assert "another command is writing" in caught.value.fault.found
        newest = latest(path)
        assert newest is not None
        assert newest.plan_no == 1


@pytest.mark.parametrize("refilled", [[], [1]], ids=["gone", "made anew"])
def test_a_file_that_is_taken_away_meanwhile_takes_no_plan_with_it(
    path: Path, monkeypatch: pytest.MonkeyPatch, refilled: list[int]
) -> None:
    """A command that opened a book which another one then removed says so, and never writes into nowhere."""
    path.touch()
    connect = file._connect

    def overtaken(uri: str) -> sqlite3.Connection:
        monkeypatch.undo()
        connection = connect(uri)
        path.unlink()
        assert keep(path, *map(other, refilled)) == refilled
        return connection

    monkeypatch.setattr(file, "_connect", overtaken)
    with pytest.raises(BookError) as caught:
        keep(path, other(7))
    assert "another command is writing" in caught.value.fault.found
    assert path.exists() == bool(refilled)
    assert keep(path, other(8)) == [len(refilled) + 1]
