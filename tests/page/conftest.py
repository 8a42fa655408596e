"""A season in February, and a browser before its page."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.february import begun
from tests.page.desk import Browser, opened


@pytest.fixture
def season(tmp_path: Path) -> Path:
    """The backyard in February."""
    return begun(tmp_path)


@pytest.fixture
def browser(season: Path) -> Iterator[Browser]:
    """Its page."""
    with opened(season) as found:
        yield found
