"""`today` and `show` as they come out on a screen: what they say first, their width, and what they refuse."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from rich.cells import cell_len

from scheduler.document import from_json, to_json
from tests.command import budswell, inside, is_one_block, listing
from tests.february import TODAY, begun, newest, planned

PAGES = [
    ["today", "backyard"],
    ["show", "backyard"],
    ["show", "backyard", "--batch", "SHI-G1a"],
    ["show", "backyard", "--changes"],
    ["book", "show", "backyard"],
    ["replan", "backyard", "--what-if", "lost SHI-G1a"],
]


@pytest.fixture
def lost(tmp_path: Path) -> Path:
    """The season with three jars lost, one in doubt, and replanned."""
    season = begun(tmp_path)
    for words in (["lost", "SHI-G1a", "3", "green at the shoulder"], ["watch", "WIN-G1a/2"]):
        assert inside("record", "backyard", *words, *TODAY, cwd=tmp_path).code == 0
    assert inside("replan", "backyard", *TODAY, cwd=tmp_path).code == 0
    return season


@pytest.mark.parametrize("columns", [80, 100])
def test_pages_keep_to_the_width_of_the_screen(columns: int, lost: Path, tmp_path: Path) -> None:
    """No line of a page is wider than the screen or ends in blanks, and no page writes anything."""
    before = listing(tmp_path)
    for page in PAGES:
        today = () if page[0] == "book" else TODAY
        ended = inside(*page, *today, cwd=tmp_path, COLUMNS=str(columns))
        assert (ended.code, ended.err) == (0, "")
        lines = ended.out.splitlines()
        assert len(lines) > 5
        assert [line for line in lines if cell_len(line) > columns or line != line.rstrip()] == []
    assert listing(tmp_path) == before


def test_a_page_from_a_process_of_its_own(lost: Path, tmp_path: Path) -> None:
    """What is told above within one process is what a grower sees."""
    for page in PAGES[:2]:
        assert budswell(*page, *TODAY, cwd=tmp_path) == inside(*page, *TODAY, cwd=tmp_path)


def test_today_says_first_what_to_do(lost: Path, tmp_path: Path) -> None:
    """On a day with work the first line names it, then what is due, the week and what waits for a look."""
    ended = inside("today", "backyard", "--today", "2027-02-07", cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    assert ended.out.startswith("Do today (overdue since Fri 5 Feb): Wet the pellets for WIN-Sa")
    assert "OVERDUE since Sat 6 Feb" in ended.out
    headings = [line for line in ended.out.splitlines() if line and not line.startswith(" ")]
    wanted = ["To do now", "The week ahead", "Waits for a look", "Cautions", "How to record it"]
    assert [line for line in headings if line in wanted] == wanted
    assert "in doubt since Thu 4 Feb" in ended.out


def test_what_today_proposes_to_type_can_be_typed(lost: Path, tmp_path: Path) -> None:
    """Every line under "How to record it" is accepted as it stands."""
    page = inside("today", "backyard", "--today", "2027-02-05", cwd=tmp_path).out
    typed = [line.split("budswell ")[1].split() for line in page.splitlines() if "budswell record" in line]
    assert len(typed) >= 3
    for words in typed:
        assert inside(*words, "--today", "2027-02-05", cwd=tmp_path).code == 0, words


def test_show_says_where_the_season_stands(lost: Path, tmp_path: Path) -> None:
    """Plantings, batches with what lives of them, and the next work."""
    ended = inside("show", "backyard", *TODAY, cwd=tmp_path)
    rows = [" ".join(line.split()) for line in ended.out.splitlines()]
    assert "SHI-G1a grain G1 growing 2 of 5 Wed 10 Feb check Wed 10 Feb" in rows
    assert any(row.startswith("WIN-G1a grain G1 watch 5 of 5") for row in rows)
    assert any(row.startswith("Oak stack 20 of 20 logs felled") for row in rows)
    assert {"Plantings", "Batches", "Next work"} <= set(rows)


def test_show_tells_the_story_of_a_batch(lost: Path, tmp_path: Path) -> None:
    """Parents, children, days as planned and as they were, and every entry about it."""
    told = inside("show", "backyard", "--batch", "shi-g1", *TODAY, cwd=tmp_path).out
    assert told.startswith("SHI-G1a: growing since Sun 24 Jan\n")
    assert "SHI-G1a/2-4" in told
    assert "SHI-La/1 -> SHI-G1a/1-5" in told
    assert "SHI-G1a/2-4 (3 units) lost; green at the shoulder" in " ".join(told.split())


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("NAM-G1a", '"NAM-G1a" is no batch of this season'),
        ("shi", '"shi" may mean 4 batches'),
        ("g1a", '"g1a" may mean 2 batches'),
        ("", '"" is no batch of this season'),
        ("[red]\x1b[31m", "is no batch of this season"),
        ("x" * 10_000, "is no batch of this season"),
    ],
    ids=["unknown", "several", "without code", "empty", "codes", "long"],
)
def test_a_batch_that_nobody_knows(name: str, said: str, tmp_path: Path) -> None:
    """It is refused, and the batches that there are are named."""
    begun(tmp_path)
    ended = inside("show", "backyard", "--batch", name, *TODAY, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    told = " ".join(ended.err.split())
    assert said in told
    assert "SHI-G1a" in told
    assert "\x1b" not in ended.err
    assert len(ended.err) < 1_000


def test_changes_are_those_of_the_last_replan(lost: Path, tmp_path: Path) -> None:
    """The table of a replan can be seen again; a first plan changed nothing."""
    replanned = inside("show", "backyard", "--changes", *TODAY, cwd=tmp_path).out
    assert "lost units are heated through before they are emptied" in replanned
    (tmp_path / "first").mkdir()
    planned(tmp_path / "first")
    first = inside("show", "backyard", "--changes", cwd=tmp_path / "first")
    assert (first.code, first.out) == (0, "  This plan changed nothing of another.\n")


def test_show_json_is_the_kept_plan(lost: Path, tmp_path: Path) -> None:
    """The newest plan, letter for letter as the book holds it."""
    ended = inside("show", "backyard", "--json", cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    assert json.loads(ended.out)["plan_no"] == 2
    assert from_json(ended.out) == newest(lost).plan
    assert ended.out == to_json(newest(lost).plan)


def test_pages_do_not_ask_the_season_file(lost: Path, tmp_path: Path) -> None:
    """A file with a fault in it keeps nobody from the day's work; only a new plan needs it whole."""
    pages = [inside(*page, *TODAY, cwd=tmp_path) for page in PAGES[:4]]
    (lost / "season.toml").write_text("[season\n", encoding="utf-8")
    assert [inside(*page, *TODAY, cwd=tmp_path) for page in PAGES[:4]] == pages
    assert inside("record", "backyard", "clean", "SHI-G1a", *TODAY, cwd=tmp_path).code == 0
    ended = inside("replan", "backyard", *TODAY, cwd=tmp_path)
    assert ended.code == 2
    assert "season.toml:1" in ended.err
