"""The files that a season cannot do without: nothing else is written over them."""

from __future__ import annotations

from pathlib import Path

from scheduler.book.store import book_path
from scheduler.season.place import figures_file, key_file, season_file, weather_file


def own_files(season: Path) -> tuple[Path, ...]:
    """Its file, its book, the grower's own figures, the secret of its calendars, and its weather."""
    file = season_file(season)
    weather = weather_file(file)
    return (file, book_path(file), figures_file(file), key_file(file), *([weather] if weather else []))
