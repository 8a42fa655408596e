"""The table of papers and sheets of labels."""

from __future__ import annotations

import itertools

import pytest

from scheduler.present.sheets.geometry import Grid, Paper
from scheduler.trade.label_sheets import load

KNOWN = load()


def test_papers_have_their_standard_sizes() -> None:
    """ISO 216: A4 and A3; ANSI/ASME Y14.1: 8.5 x 11 and 11 x 17 inches."""
    assert KNOWN.paper["A4"] == (210, 297) and KNOWN.paper["A3"] == (297, 420)
    for name, inches in {"letter": (8.5, 11), "tabloid": (11, 17)}.items():
        assert KNOWN.paper[name] == pytest.approx([25.4 * inch for inch in inches])


@pytest.mark.parametrize("name", sorted(KNOWN.sheet))
def test_all_labels_lie_on_their_paper(name: str) -> None:
    """The name says the paper and how many there are; the block lies in the middle, and none over another."""
    sheet = KNOWN.sheet[name]
    grid = Grid(
        Paper(sheet.paper, *KNOWN.paper[sheet.paper]), *sheet.label, *sheet.grid, sheet.gap, sheet.radius
    )
    assert name == f"{sheet.paper} {grid.on_a_sheet}"
    assert grid.is_on_paper()
    places = list(grid.places(grid.on_a_sheet + 1))
    assert [place.sheet for place in places] == [0] * grid.on_a_sheet + [1]
    lefts, tops = sorted({place.left for place in places}), sorted({place.top for place in places})
    assert len(lefts) == sheet.grid[0] and len(tops) == sheet.grid[1]
    for sides, size in ((lefts, grid.width), (tops, grid.height)):
        assert all(after - before >= size - 1e-9 for before, after in itertools.pairwise(sides))
    assert lefts[0] == pytest.approx(grid.paper.width - lefts[-1] - grid.width)
    assert tops[0] == pytest.approx(grid.paper.height - tops[-1] - grid.height)
