"""README's pictures are what the commands draw."""

from __future__ import annotations

from pathlib import Path

from tests.command import inside
from tests.february import planned

PICTURES = Path(__file__).with_name("pictures")


def test_the_timeline_of_the_backyard_is_drawn_as_readme_shows_it(tmp_path: Path) -> None:
    """Where it is not, draw it anew: plan examples/backyard, then budswell show --svg tests/pictures/backyard.svg."""
    planned(tmp_path)
    ended = inside("show", "backyard", "--svg", "now.svg", cwd=tmp_path)
    assert ended.code == 0, ended.err
    assert (tmp_path / "now.svg").read_bytes() == (PICTURES / "backyard.svg").read_bytes()
