"""README shows the table that was kept last, and what has changed since is said."""

from __future__ import annotations

import json
from dataclasses import replace

import jsonschema
import pytest

from tests.bench import kept
from tests.bench.__main__ import TABLES, text
from tests.bench.kept import README
from tests.bench.table import Column, Table

OLD = kept.Measured({"tiers": {"market": {"took_s": 4.0, "risk": 3, "ratio": 2.0, "gone": 1}}}, 0.5, False)


def last() -> kept.Measured:
    """The run that was kept last."""
    return kept.read(kept.FILE.read_text(encoding="utf-8"))


def test_readme_shows_the_run_that_was_kept() -> None:
    """Its block is what the command prints for the kept figures: all tables, each of them whole."""
    measured = last()
    assert set(measured.tables) == set(TABLES)
    assert all(measured.tables.values())
    readme = README.read_text(encoding="utf-8")
    assert kept.shown(readme, text(measured)) == readme


def test_only_the_block_of_the_table_is_written_anew() -> None:
    """The text around it stays, and so do other blocks; without its sentence there is nothing to write into."""
    before = f"# Title\n```text\nother\n```\n{kept.SENTENCE} and on\nand on.\n\n```text\nold\n```\nend\n"
    assert kept.shown(before, "new\nrows\n") == before.replace("old\n", "new\nrows\n")
    with pytest.raises(ValueError, match="prints this table"):
        kept.shown("nothing", "new\n")


def test_lines_of_the_table_fit_the_page() -> None:
    """No line is wider than README's blocks."""
    assert max(map(len, text(last()).splitlines())) <= 100


def test_a_kept_run_has_its_shape() -> None:
    """The file is of the schema that is written down, and comes back as it was."""
    found = kept.FILE.read_text(encoding="utf-8")
    jsonschema.validate(json.loads(found), kept.SHAPE)
    assert last().to_json() == found


def test_another_schema_is_refused() -> None:
    """What a later version kept is not taken for one of ours."""
    with pytest.raises(ValueError, match=r"budswell\.bench/1"):
        kept.read(OLD.to_json().replace("bench/1", "bench/2"))


def test_what_has_changed_is_said_at_the_pace_of_this_machine() -> None:
    """Seconds are scaled by the import of the solver; small changes are noise, and whole numbers never are."""
    twice_as_slow = replace(OLD, import_s=1.0)
    same = {"took_s": 9.0, "risk": 3, "ratio": 2.2, "new": 5}
    worse = {"took_s": 11.0, "risk": 4, "ratio": 2.6, "new": 5}
    assert list(kept.changes(OLD, replace(twice_as_slow, tables={"tiers": {"market": same}}))) == []
    assert list(kept.changes(OLD, replace(twice_as_slow, tables={"tiers": {"market": worse}}))) == [
        "tiers: market: took_s: 8.00 -> 11.00",
        "tiers: market: risk: 3 -> 4",
        "tiers: market: ratio: 2.00 -> 2.60",
    ]
    assert (
        list(kept.changes(OLD, replace(OLD, tables={"other": {"market": worse}, "tiers": {"x": worse}})))
        == []
    )


def test_a_run_of_some_tables_keeps_the_others() -> None:
    """Seconds of the tables that were not measured again are those of this machine."""
    new = kept.Measured({"outlook": {"market": {"played_s": 0.3}}}, 1.0, True)
    found = kept.merged(OLD, new)
    assert found.tables["outlook"] == new.tables["outlook"]
    assert found.tables["tiers"]["market"] == {"took_s": 8.0, "risk": 3, "ratio": 2.0, "gone": 1}
    assert (found.import_s, found.quick) == (1.0, True)
    assert kept.merged(None, new) == new


def test_a_table_is_written_in_columns() -> None:
    """Figures stand under their heads; what was not measured is a dash."""
    table = Table(
        "Times",
        (Column("a_s", "seconds", "{:.2f}"), Column("n", "works"), Column("ok", "ok")),
        lambda run: {},
        ("A note.",),
    )
    assert table.text({"one": {"a_s": 1.234, "n": 12, "ok": True}, "second": {"a_s": None, "ok": "so"}}) == (
        "Times\n         seconds works  ok\n  one       1.23    12 yes\n  second       -     -  so\nA note.\n"
    )
