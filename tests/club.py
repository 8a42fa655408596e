"""A club: folders of backyard seasons, each a little different, made by seeded dice."""

from __future__ import annotations

import random
import re
import sqlite3
import subprocess
import time
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path

from tests.command import COMMAND, EXAMPLES, environment

LONG = 600
"""Seconds after which what should have ended makes a test fail."""
PERIOD = re.compile(r'"(\d{4}-\d\d-\d\d)/(\d{4}-\d\d-\d\d)"')


def write_club(folder: Path, seasons: int, seed: int = 1) -> list[Path]:
    """Writes so many season folders; the same seed writes the same ones. Gives them in their order."""
    dice = random.Random(seed)
    text = (EXAMPLES / "backyard" / "season.toml").read_text(encoding="utf-8")
    made = []
    for number in range(seasons):
        season = folder / f"grower-{number + 1:03}"
        season.mkdir(parents=True)
        (season / "season.toml").write_text(_varied(text, number + 1, dice), encoding="utf-8")
        made.append(season)
    return made


def _varied(text: str, number: int, dice: random.Random) -> str:
    """A season with other amounts, hours and windows, and another wish."""
    certainty, later = dice.choice([0.8, 0.85, 0.9, 0.95]), timedelta(dice.randrange(15))
    for old, new in (
        ('"Fern Hollow, spring 2027"', f'"Garden {number}, spring 2027"\ncertainty = {certainty}'),
        ("count = 20", f"count = {dice.randint(6, 30)}"),
        ('"5 in"', f'"{dice.choice([4, 4.5, 5, 6])} in"'),
        ('"45 ft2"', f'"{dice.randrange(20, 95, 5)} ft2"'),
        ("{ sat = 6, sun = 4 }", f"{{ sat = {dice.randint(4, 8)}, sun = {dice.randint(2, 6)} }}"),
        ('"80 L"', f'"{dice.choice([60, 80, 100])} L"'),
    ):
        assert old in text
        text = text.replace(old, new)
    head, plantings = text.split("[[planting]]", 1)
    return f"{head}[[planting]]{PERIOD.sub(lambda found: _moved(found, later), plantings)}"


def _moved(found: re.Match[str], later: timedelta) -> str:
    first, last = (date.fromisoformat(day) + later for day in found.groups())
    return f'"{first}/{last}"'


def planning(folder: Path, after: int, *options: str) -> subprocess.Popen[str]:
    """A run of the club in a folder that is at work, once so many of its seasons are planned."""
    running = subprocess.Popen(
        [*COMMAND, "plan-many", "club", "-o", "club.csv", *options],
        cwd=folder,
        env=environment(),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
    )
    while planned_by_now(folder / "club.planned") < after:
        assert running.poll() is None
        time.sleep(0.02)
    return running


def planned_by_now(file: Path) -> int:
    """How many seasons are kept in the file beside a table."""
    if not file.exists():
        return 0
    with closing(sqlite3.connect(f"{file.absolute().as_uri()}?mode=ro", uri=True, timeout=30)) as connection:
        try:
            return int(connection.execute("SELECT count(*) FROM results").fetchone()[0])
        except sqlite3.OperationalError:
            return 0
