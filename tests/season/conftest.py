"""Reads season texts against the catalogue that comes with the package, on one fixed day."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from scheduler.errors import Fault, SeasonError
from scheduler.season.load import load_season
from scheduler.season.season import Season
from scheduler.trade.catalogue import Catalogue, load
from scheduler.weather import norms

CLOCK = date(2026, 11, 28)

Read = Callable[..., Season]
Faults = Callable[[str], list[Fault]]


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    """The catalogue of the package."""
    return load()


@pytest.fixture
def read(catalogue: Catalogue, tmp_path: Path) -> Read:
    """Loads a text, or a file, as a season."""

    def read(source: str | Path, **asked: Any) -> Season:
        path = source
        if isinstance(path, str):
            path = tmp_path / "season.toml"
            path.write_text(str(source), encoding="utf-8")
        usual = {
            "clock": CLOCK,
            "system_timezone": "Europe/Zurich",
            "weather": norms.reader(catalogue),
        }
        return load_season(path, catalogue, **{**usual, **asked})

    return read


@pytest.fixture
def faults(read: Read) -> Faults:
    """The faults of a text; the test fails where it has none."""

    def faults(text: str) -> list[Fault]:
        with pytest.raises(SeasonError) as caught:
            read(text)
        return caught.value.faults

    return faults
