"""Where a season file lies, and which day it says it is: what can be known without reading all of it."""

from __future__ import annotations

import tomllib
from datetime import date, datetime
from pathlib import Path

FILE = "season.toml"
"""The season file of a season folder."""


def season_file(path: Path) -> Path:
    """The season file that is meant by a path: itself, or the one of a folder."""
    try:
        return path / FILE if path.is_dir() else path
    except OSError:
        return path  # reading it says why


def told_today(path: Path) -> date | None:
    """The `today` of a season file; None where it has none, or cannot be read."""
    try:
        found = tomllib.loads(season_file(path).read_text(encoding="utf-8-sig"))["season"]["today"]
    except (OSError, ValueError, LookupError, TypeError):
        return None
    return found if isinstance(found, date) and not isinstance(found, datetime) else None


def weather_file(path: Path) -> Path | None:
    """The file of daily weather beside a season file that names one; None where there is none."""
    try:
        name = tomllib.loads(path.read_text(encoding="utf-8-sig"))["site"]["weather"]
        found = path.parent / Path(str(name)).name
        return found if found.is_file() else None
    except (OSError, ValueError, LookupError, TypeError):
        return None
