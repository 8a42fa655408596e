"""`show --svg` and `show --png`, as they are called."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.command import budswell, inside, is_one_block, listing
from tests.february import TODAY, begun, planned


def test_the_timeline_is_drawn(tmp_path: Path) -> None:
    """Both kinds, the same bytes every time and in another process; the plan is named, the book left alone."""
    season = begun(tmp_path)
    book = (season / "season.book").read_bytes()
    call = ("show", "backyard", *TODAY)
    one = inside(*call, "--svg", "a.svg", "--png", "a.png", cwd=tmp_path)
    assert (one.code, one.out) == (0, "a.svg: the timeline of plan 1.\na.png: the timeline of plan 1.\n")
    two = budswell(*call, "--svg", "b.svg", "--png", "b.png", cwd=tmp_path, PYTHONHASHSEED="7")
    assert two.code == 0, two.err
    for kind in ("svg", "png"):
        assert (tmp_path / f"a.{kind}").read_bytes() == (tmp_path / f"b.{kind}").read_bytes()
    words = "".join(ElementTree.parse(tmp_path / "a.svg").getroot().itertext())
    assert "today, Thu 4 Feb" in words and "growing, 5 x quart jar, grain" in words
    assert (tmp_path / "a.png").read_bytes().startswith(b"\x89PNG")
    assert (season / "season.book").read_bytes() == book


def test_a_picture_beside_another_view(tmp_path: Path) -> None:
    """The page that was asked for is printed, and nothing else."""
    begun(tmp_path)
    ended = inside("show", "backyard", "--json", "--svg", "x.svg", *TODAY, cwd=tmp_path)
    assert ended.out.startswith("{") and "timeline" not in ended.out
    assert (tmp_path / "x.svg").exists()


WRONG = [
    (["--svg", "gone/x.svg"], ["gone/x.svg", "the folder is not there"]),
    (["--svg", "backyard"], ["backyard", "this is a folder"]),
    (["--svg", "backyard/season.toml"], ["the season itself", "season.svg"]),
    (["--png", "backyard/season.book"], ["the season itself", "season.png"]),
    (["--svg", "backyard/season.feed"], ["the season itself", "season.svg"]),
    (["--svg"], ["--svg"]),
]


@pytest.mark.parametrize(("options", "words"), WRONG, ids=[" ".join(options) for options, _ in WRONG])
def test_what_cannot_be_drawn_changes_nothing(options: list[str], words: list[str], tmp_path: Path) -> None:
    """One block that says where, and no file is new, changed or gone."""
    planned(tmp_path)
    before = listing(tmp_path)
    ended = inside("show", "backyard", *options, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    for word in words:
        assert word in ended.err
    assert listing(tmp_path) == before


def test_a_season_without_a_plan_is_not_drawn(tmp_path: Path) -> None:
    """It says what to do first."""
    (planned(tmp_path) / "season.book").unlink()
    ended = inside("show", "backyard", "--svg", "x.svg", cwd=tmp_path)
    assert ended.code == 2 and "budswell plan backyard" in ended.err
    assert not (tmp_path / "x.svg").exists()


def test_pixels_need_their_library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where it is not installed one block says what to install; the drawing without pixels needs nothing."""
    planned(tmp_path)
    find = importlib.util.find_spec
    monkeypatch.setattr(
        "importlib.util.find_spec", lambda name, *a: None if name == "resvg_py" else find(name, *a)
    )
    ended = inside("show", "backyard", "--svg", "x.svg", "--png", "x.png", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "budswell[pictures]" in ended.err
    assert not (tmp_path / "x.svg").exists()
    assert inside("show", "backyard", "--svg", "x.svg", cwd=tmp_path).code == 0
