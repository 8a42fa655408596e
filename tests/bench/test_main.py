"""The one command: it measures what is named, says what has changed, and keeps a run where it is told to."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.bench import __main__ as bench
from tests.bench import kept
from tests.bench.table import Column, Rows, Run, Table


@pytest.fixture
def seen(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[Run]:
    """Two tables that cost no time, and a repository of their own; the runs that the tables are given."""
    runs: list[Run] = []
    figures: Iterator[float] = iter((1.0, 1.1, 2.0))

    def measure(run: Run) -> Rows:
        runs.append(run)
        return {"row": {"took_s": next(figures), "plans": 3}}

    columns = (Column("took_s", "seconds", "{:.1f}"), Column("plans", "plans"))
    monkeypatch.setattr(
        bench,
        "TABLES",
        {
            "one": Table("One", columns, measure),
            "two": Table("Two", columns, lambda run: {"row": {"plans": 1}}),
        },
    )
    monkeypatch.setattr("tests.bench.processes.bare_import", lambda: 0.5)
    monkeypatch.setattr(kept, "FILE", tmp_path / "last.json")
    monkeypatch.setattr(kept, "README", tmp_path / "README.md")
    kept.README.write_text(f"{kept.SENTENCE}:\n\n```text\n```\n")
    return runs


def test_a_run_is_kept_and_shown_and_the_next_compared(
    seen: list[Run], capsys: pytest.CaptureFixture[str]
) -> None:
    """What is kept is in the file and in README; a later run of one table says what has changed in it."""
    bench.main(["--keep"])
    first = kept.FILE.read_text()
    assert "Changed" not in capsys.readouterr().out
    readme = kept.README.read_text()
    assert f"```text\n{bench.text(kept.read(first))}```" in readme
    assert "One\n      seconds plans\n  row     1.0     3\n" in readme

    bench.main(["one"])
    assert capsys.readouterr().out.endswith("Changed against the run that was kept last:\n  nothing\n")
    bench.main(["one", "--quick"])
    assert capsys.readouterr().out.endswith("  one: row: took_s: 1.00 -> 2.00\n")
    assert [run.quick for run in seen] == [False, False, True]
    assert kept.FILE.read_text() == first


def test_a_table_that_is_not_there_is_named(seen: list[Run], capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing is measured, and those that are there are listed."""
    with pytest.raises(SystemExit) as ended:
        bench.main(["three"])
    assert ended.value.code == 2
    assert "no table three; there are: one, two" in capsys.readouterr().err
    assert seen == []
