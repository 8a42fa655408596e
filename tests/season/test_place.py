"""Where a season file lies, and which day it says it is: known without reading all of it."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from scheduler.season.place import FILE, season_file, told_today


def test_a_folder_means_the_file_in_it(tmp_path: Path) -> None:
    """A file is itself, and so is what is not there: reading it says what is wrong."""
    assert season_file(tmp_path) == tmp_path / FILE
    file = tmp_path / "other.toml"
    file.write_text("", encoding="utf-8")
    assert season_file(file) == file
    assert season_file(tmp_path / "missing") == tmp_path / "missing"


def test_a_path_that_cannot_be_looked_at_is_itself() -> None:
    """A name longer than any file system takes is no reason to break."""
    path = Path("x" * 5000)
    assert season_file(path) == path
    assert told_today(path) is None


@pytest.mark.parametrize(
    ("text", "today"),
    [
        ("[season]\ntoday = 2027-02-11", date(2027, 2, 11)),
        ("\ufeff[season]\ntoday = 2027-02-11", date(2027, 2, 11)),
        ("season = { today = 2028-02-29 }", date(2028, 2, 29)),
        ("[season]\nname = 'x'", None),
        ("[season]\ntoday = '2027-02-11'", None),
        ("[season]\ntoday = 2027-02-11T10:00:00", None),
        ("[season]\ntoday = 20270211", None),
        ("season = 'x'", None),
        ("season = [1]", None),
        ("[[season]]\ntoday = 2027-02-11", None),
        ("today = 2027-02-11", None),
        ("no toml at all", None),
        ("", None),
    ],
)
def test_the_day_that_a_season_file_says(tmp_path: Path, text: str, today: date | None) -> None:
    """A date under its key; anything else is no day, and is complained of where the file is read."""
    (tmp_path / FILE).write_text(text, encoding="utf-8")
    assert told_today(tmp_path) == today
    assert told_today(tmp_path / FILE) == today


def test_what_cannot_be_read_says_no_day(tmp_path: Path) -> None:
    """Nothing there, a folder in its place, or letters that are none."""
    assert told_today(tmp_path) is None
    (tmp_path / FILE).mkdir()
    assert told_today(tmp_path) is None
    (tmp_path / "latin.toml").write_bytes(b"[season]\nname = '\xe4'\ntoday = 2027-02-11")
    assert told_today(tmp_path / "latin.toml") is None
