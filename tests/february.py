"""The backyard example in February, as a folder with a book: planned once, then copied for every test."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from scheduler.book.store import Book, KeptPlan
from scheduler.progress import Recorded
from scheduler.service import planning, recording, seasons
from tests.command import example, listing

LETTERS = {
    "Fern Hollow, spring 2027": "春の茸, 榾木; a\\\\New 🍄",
    "Oak stack": '椎茸の山; 北, \\"上\\" \\\\n 👩‍🌾🪵',
    "Currant bed": "Clôture, côté est; C:\\\\North",
}
"""Names of the backyard, as its file writes them in other letters, with all that a calendar file escapes."""

DAY = "2027-02-04"
"""The day of the story: grain of both strains grows, the wood is felled, no bag is made yet."""
TODAY = ("--today", DAY)
TOO_LATE = "2027-04-24"
"""The day on which bags of shiitake spawn are lost: too late to make them again."""
AT = "2027-02-04T18:00:00+00:00"


def planned(folder: Path) -> Path:
    """The season with its first plan and no entry."""
    return _written(_planned(), folder)


def begun(folder: Path) -> Path:
    """The season with everything before the day done as it was planned, each task on its own day."""
    return _written(_begun(), folder)


def lost(folder: Path) -> Path:
    """The season in April, with everything done but all bags of shiitake spawn lost."""
    return _written(_lost(), folder)


def newest(season: Path) -> KeptPlan:
    """The newest plan of a season folder's book."""
    with Book.open(season / "season.book", create=False) as book:
        kept = book.latest()
    assert kept is not None
    return kept


def entries(season: Path) -> tuple[Recorded, ...]:
    """Every entry of a season folder's book."""
    with Book.open(season / "season.book", create=False) as book:
        return book.entries()


def in_other_letters(folder: Path) -> Path:
    """The season under other names, not planned yet."""
    season = example("backyard", folder)
    text = (season / "season.toml").read_text(encoding="utf-8")
    for old, new in LETTERS.items():
        assert f'"{old}"' in text
        text = text.replace(f'"{old}"', f'"{new}"')
    (season / "season.toml").write_text(text, encoding="utf-8")
    return season


@cache
def _planned() -> dict[str, bytes]:
    with TemporaryDirectory() as folder:
        season = example("backyard", Path(folder))
        clock = seasons.Clock(date(2026, 11, 25), "UTC")
        planning.plan_and_keep(*seasons.read(season, clock, None), kept_at="2026-11-28T09:00:00+00:00")
        return listing(season)


@cache
def _begun() -> dict[str, bytes]:
    with TemporaryDirectory() as folder:
        season = _written(_planned(), Path(folder))
        day = date.fromisoformat(DAY)
        recording.record(season, ["done", "all"], clock=day, today=day, on=None, force=False, at=AT)
        return listing(season)


@cache
def _lost() -> dict[str, bytes]:
    with TemporaryDirectory() as folder:
        season = _written(_planned(), Path(folder))
        day = date.fromisoformat(TOO_LATE)
        for words in (["done", "all"], ["lost", "SHI-Sa"]):
            recording.record(season, words, clock=day, today=day, on=None, force=False, at=AT)
        return listing(season)


def _written(files: dict[str, bytes], folder: Path) -> Path:
    season = folder / "backyard"
    season.mkdir()
    for name, data in files.items():
        (season / name).write_bytes(data)
    return season
