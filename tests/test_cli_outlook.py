"""The outlook on the command line: page, document, pictures, bad input, and the README's copy of it."""

from __future__ import annotations

import importlib.util
import json
import re
import struct
from pathlib import Path
from xml.etree import ElementTree

import jsonschema
import pytest

from scheduler.book.store import Book
from scheduler.present.chances import percent, sure
from tests.command import ROOT, budswell, inside, is_one_block, listing
from tests.february import TODAY, begun, planned

FEW = ("--seasons", "300")


def test_the_page_is_the_one_in_the_readme(tmp_path: Path) -> None:
    """What the README shows of the backyard is what the command prints, line by line."""
    season = planned(tmp_path)
    ended = budswell("outlook", "backyard", cwd=tmp_path)
    assert ended.code == 0, ended.err
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = re.search(
        r"^budswell outlook examples/backyard\n```\n\n```text\n(.*?)\n\.\.\.\n```$", text, re.M | re.S
    )
    assert shown is not None
    assert ended.out.startswith(shown[1])
    assert season.is_dir()


@pytest.mark.parametrize("columns", [60, 80, 100, 200])
def test_the_page_fits_its_width_and_is_plain(columns: int, tmp_path: Path) -> None:
    """No line is longer than the terminal is wide, none ends in spaces, and every character is ASCII."""
    planned(tmp_path)
    ended = inside("outlook", "backyard", *FEW, cwd=tmp_path, COLUMNS=str(columns))
    lines = ended.out.splitlines()
    assert max(map(len, lines)) <= columns
    assert all(line == line.rstrip() for line in lines)
    assert ended.out.isascii()
    assert len([line for line in lines if re.match(r" +\d+ % \|", line)]) == 11
    for heading in ("Chance", "What it hangs on", "Later starts", "last start"):
        assert heading in ended.out


def test_the_document_is_what_its_schema_says(tmp_path: Path) -> None:
    """Valid against the printed schema, with the seed and number of seasons in it, and the same every time."""
    planned(tmp_path)
    schema = json.loads(inside("schema", "outlook", cwd=tmp_path).out)
    jsonschema.Draft202012Validator.check_schema(schema)
    first, again = (
        inside("outlook", "backyard", "--json", "--seed", "5", *FEW, cwd=tmp_path) for _ in range(2)
    )
    assert first == again
    read = json.loads(first.out)
    jsonschema.Draft202012Validator(schema, format_checker=jsonschema.FormatChecker()).validate(read)
    assert (read["schema"], read["seed"], read["seasons"]) == ("budswell.outlook/1", 5, 300)
    assert [planting["name"] for planting in read["plantings"]] == ["Oak stack", "Currant bed"]
    other = json.loads(inside("outlook", "backyard", "--json", "--seed", "6", *FEW, cwd=tmp_path).out)
    assert other["plantings"] != read["plantings"]


def test_a_season_that_was_not_planned_is_planned_and_kept(tmp_path: Path) -> None:
    """As for a calendar; nothing else is written."""
    season = planned(tmp_path)
    (season / "season.book").unlink()
    ended = inside("outlook", "backyard", *FEW, cwd=tmp_path)
    assert ended.code == 0
    assert "plan 1" in ended.out.splitlines()[0]
    assert set(listing(season)) == {"season.toml", "season.book"}


def test_a_season_under_way_is_seen_as_its_newest_plan_has_it(tmp_path: Path) -> None:
    """What was recorded after the plan is named; after a replan, what grows already has no later start."""
    begun(tmp_path)
    before = inside("outlook", "backyard", *FEW, *TODAY, cwd=tmp_path)
    assert re.search(r"Recorded since plan 1 was made: \d+ entries\.", before.out)
    inside("record", "backyard", "lost", "SHI-G1a", "3", "green", *TODAY, cwd=tmp_path)
    assert inside("replan", "backyard", *TODAY, cwd=tmp_path).code == 0
    after = inside("outlook", "backyard", *FEW, *TODAY, cwd=tmp_path)
    assert after.code == 0, after.err
    assert "plan 2" in after.out.splitlines()[0]
    assert "Recorded since" not in after.out
    assert "Later starts" not in after.out


def test_an_entry_that_was_taken_back_is_news_for_one_plan_only(tmp_path: Path) -> None:
    """Until the plan that knows it; after that nothing asks for another replan."""
    begun(tmp_path)

    def named() -> list[str]:
        page = inside("outlook", "backyard", *FEW, *TODAY, cwd=tmp_path)
        return re.findall(r"Recorded since plan \d was made: \d+ \w+", page.out)

    assert inside("replan", "backyard", *TODAY, cwd=tmp_path).code == 0
    assert inside("record", "backyard", "lost", "SHI-G1a", "3", "green", *TODAY, cwd=tmp_path).code == 0
    assert inside("replan", "backyard", *TODAY, cwd=tmp_path).code == 0
    assert named() == []
    assert inside("record", "backyard", "undo", *TODAY, cwd=tmp_path).code == 0
    assert named() == ["Recorded since plan 3 was made: 1 entry"]
    assert inside("replan", "backyard", *TODAY, cwd=tmp_path).code == 0
    assert named() == []


def test_what_is_cooked_waits_for_no_other_cook(tmp_path: Path) -> None:
    """On the day after the cook both lines have begun: no later start is left, and the grain is not late."""
    planned(tmp_path)
    assert inside("record", "backyard", "done", "all", "--today", "2027-01-23", cwd=tmp_path).code == 0
    today = ("--today", "2027-01-24")
    assert inside("replan", "backyard", *today, cwd=tmp_path).code == 0
    read = json.loads(inside("outlook", "backyard", "--json", *today, cwd=tmp_path).out)
    assert read["starts"] == []
    assert read["chance"] > 0.97


def test_looking_ahead_changes_nothing(tmp_path: Path) -> None:
    """The season and its book are left as they were, byte for byte."""
    season = begun(tmp_path)
    was = listing(season)
    assert inside("outlook", "backyard", *FEW, *TODAY, cwd=tmp_path).code == 0
    assert listing(season) == was


def test_pictures_are_drawn(tmp_path: Path) -> None:
    """An SVG file with the names of the plantings as text, a PNG file of a size to print; the same every time."""
    planned(tmp_path)
    drawn = []
    for name in ("a", "b"):
        ended = inside(
            "outlook", "backyard", *FEW, "--svg", f"{name}.svg", "--png", f"{name}.png", cwd=tmp_path
        )
        assert ended.code == 0, ended.err
        drawn.append([(tmp_path / f"{name}.{kind}").read_bytes() for kind in ("svg", "png")])
    assert drawn[0] == drawn[1]
    svg, png = drawn[0]
    words = "".join(ElementTree.fromstring(svg).itertext())
    for text in ("Oak stack", "Currant bed", "all of them", "10 Jan"):
        assert text in words
    assert png.startswith(b"\x89PNG")
    assert struct.unpack(">II", png[16:24]) == (1200, 675)


def test_pictures_need_their_library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where it is not installed, one block says what to install, and nothing is planned or written."""
    season = planned(tmp_path)
    (season / "season.book").unlink()
    find = importlib.util.find_spec
    monkeypatch.setattr(
        "importlib.util.find_spec", lambda name, *a: None if name == "matplotlib" else find(name, *a)
    )
    ended = inside("outlook", "backyard", "--svg", "x.svg", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "budswell[pictures]" in ended.err
    assert set(listing(tmp_path)) == {"backyard", "backyard/season.toml"}


WRONG = [
    (["--seasons", "99"], ["--seasons", '"99"', "from 100 to 1000000", "--seasons 20000"]),
    (["--seasons", "many"], ["--seasons", '"many"', "a whole number"]),
    (["--seed", "-1"], ["--seed", '"-1"', "from 0"]),
    (["--seed", "1.5"], ["--seed", '"1.5"']),
    (["--seed", "9" * 30], ["--seed", "a whole number"]),
    (["--svg", "gone/x.svg"], ["gone/x.svg", "the folder is not there"]),
    (["--png", "backyard/season.toml"], ["this is the season itself", "season.png"]),
    (["--svg", "backyard/season.book"], ["this is the season itself"]),
    (["--today", "soon"], ['"soon"', "YYYY-MM-DD"]),
]


@pytest.mark.parametrize(("options", "said"), WRONG, ids=[" ".join(options) for options, _ in WRONG])
def test_a_call_that_cannot_work_is_one_block(options: list[str], said: list[str], tmp_path: Path) -> None:
    """Exit code 2, and nothing is changed."""
    planned(tmp_path)
    was = listing(tmp_path)
    ended = inside("outlook", "backyard", *options, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert all(words in ended.err for words in said), ended.err
    assert listing(tmp_path) == was


def test_two_pictures_never_lie_in_one_file(tmp_path: Path) -> None:
    """Under whatever name: refused before anything is played or drawn, by `outlook` and by `show`."""
    planned(tmp_path)
    was = listing(tmp_path)
    for command in ("outlook", "show"):
        ended = inside(command, "backyard", "--svg", "x.svg", "--png", "backyard/../x.svg", cwd=tmp_path)
        assert ended.code == 2
        is_one_block(ended)
        assert "two files of this call" in ended.err
        assert "x.png" in ended.err
    assert listing(tmp_path) == was


def test_few_seasons_claim_no_more_than_they_bear() -> None:
    """A hundred of a hundred is over 99 %, with an error; a thousand are over 99.9 %; so at the other end."""
    assert sure(1.0, 0.00985, 100) == "over 99.0 % +- 1.0"
    assert sure(1.0, 0.001, 1000) == "over 99.9 % +- 0.1"
    assert sure(1.0, 0.00005, 20_000) == "over 99.9 % +- under 0.1"
    assert percent(0.0, 100) == "under 1.0 %"
    assert percent(0.0, 20_000) == "under 0.1 %"
    assert sure(0.984, 0.001, 20_000) == "98.4 % +- 0.1"


def test_the_wish_is_printed_as_it_was_made(tmp_path: Path) -> None:
    """Nothing is rounded to what was not asked for."""
    season = planned(tmp_path)
    file = season / "season.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("[season]\n", "[season]\ncertainty = 0.999\n", 1), encoding="utf-8")
    ended = inside("outlook", "backyard", *FEW, cwd=tmp_path)
    assert ended.code == 0, ended.err
    assert "(wished: 99.9 %)" in " ".join(ended.out.split())
    assert "(wished: 99.9 %)" in inside("plan", "backyard", "--no-keep", cwd=tmp_path).out


def test_a_season_that_is_not_there_is_named(tmp_path: Path) -> None:
    """As every other command does."""
    ended = inside("outlook", "nowhere", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "nowhere" in ended.err


def test_a_book_of_an_older_version_says_what_to_do(tmp_path: Path) -> None:
    """A plan that was kept without what it was written from cannot be played."""
    season = planned(tmp_path)
    with Book.open(season / "season.book", create=False) as book:
        kept = book.latest()
    assert kept is not None
    (season / "season.book").unlink()
    with Book.open(season / "season.book", create=True) as book:
        book.keep(kept.plan, kept.season_text, kept.kept_at, "{}")
    ended = inside("outlook", "backyard", *FEW, cwd=tmp_path)
    assert ended.code == 3
    is_one_block(ended)
    assert "budswell plan" in ended.err


def test_everything_begun_leaves_no_start_to_draw(tmp_path: Path) -> None:
    """A picture of nothing is refused, and no file is left."""
    begun(tmp_path)
    assert inside("replan", "backyard", *TODAY, cwd=tmp_path).code == 0
    ended = inside("outlook", "backyard", *FEW, *TODAY, "--svg", "x.svg", cwd=tmp_path)
    assert ended.code == 2
    assert "everything has begun" in ended.err
    assert not (tmp_path / "x.svg").exists()
