"""Where a season file lies, and which day and zone it says: what can be known without reading all of it."""

from __future__ import annotations

import tomllib
from datetime import date, datetime
from pathlib import Path

FILE = "season.toml"
"""The season file of a season folder."""
FIGURES = "figures.toml"
"""The grower's own record, beside the season file."""


def season_file(path: Path) -> Path:
    """The season file that is meant by a path: itself, or the one of a folder."""
    try:
        return path / FILE if path.is_dir() else path
    except OSError:
        return path  # reading it says why


def figures_file(path: Path) -> Path:
    """Where the grower's own record of a season lies, whether or not one was kept yet."""
    return season_file(path).with_name(FIGURES)


def key_file(path: Path) -> Path:
    """Where the secret of the addresses of a season's calendars lies, whether or not there is one yet."""
    return season_file(path).with_suffix(".feed")


def continued(path: Path) -> Path | None:
    """The season that a season file continues, by what the file says; None where it continues none."""
    found = _told(path, "continues")
    return season_file(path).parent / found.strip() if isinstance(found, str) and found.strip() else None


def told_today(path: Path) -> date | None:
    """The `today` of a season file; None where it has none, or cannot be read."""
    found = _told(path, "today")
    return found if isinstance(found, date) and not isinstance(found, datetime) else None


def told_timezone(path: Path) -> str | None:
    """The `timezone` of a season file; None where it has none, or cannot be read."""
    found = _told(path, "timezone")
    return found if isinstance(found, str) else None


def _told(path: Path, key: str) -> object:
    file = season_file(path)
    try:
        if not file.is_file():
            return None  # what is no file may be read only once
        return tomllib.loads(file.read_text(encoding="utf-8-sig"))["season"][key]
    except (OSError, ValueError, LookupError, TypeError):
        return None


def weather_file(path: Path) -> Path | None:
    """The file of daily weather beside a season file that names one; None where there is none."""
    try:
        name = tomllib.loads(path.read_text(encoding="utf-8-sig"))["site"]["weather"]
        found = path.parent / Path(str(name)).name
        return found if found.is_file() else None
    except (OSError, ValueError, LookupError, TypeError):
        return None
