"""Where things lie on paper, in millimetres from its upper left corner."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True)
class Paper:
    """A size of paper, as it is held."""

    name: str
    width: float
    height: float

    @property
    def landscape(self) -> Paper:
        """The same with its long side across."""
        return Paper(self.name, max(self.width, self.height), min(self.width, self.height))


@dataclass(frozen=True)
class Place:
    """Where one label lies: on which sheet, from 0, and its upper left corner."""

    sheet: int
    left: float
    top: float


@dataclass(frozen=True)
class Grid:
    """Labels in columns and rows on a paper."""

    paper: Paper
    width: float
    height: float
    columns: int
    rows: int
    gap: tuple[float, float] = (0.0, 0.0)
    """Between labels, across and down."""
    radius: float = 0.0
    margin: tuple[float, float] | None = None
    """Left of the first label and above it; None puts them all in the middle of the paper."""

    @property
    def on_a_sheet(self) -> int:
        """Labels of one sheet."""
        return self.columns * self.rows

    @property
    def block(self) -> tuple[float, float]:
        """Width and height of all labels of a sheet with the room between them."""
        return (
            self.columns * self.width + (self.columns - 1) * self.gap[0],
            self.rows * self.height + (self.rows - 1) * self.gap[1],
        )

    @property
    def corner(self) -> tuple[float, float]:
        """Upper left corner of the first label."""
        if self.margin is not None:
            return self.margin
        return (self.paper.width - self.block[0]) / 2, (self.paper.height - self.block[1]) / 2

    def is_on_paper(self) -> bool:
        """Whether all labels of a sheet lie on the paper; a hundredth of a millimetre is nothing."""
        (left, top), (wide, high) = self.corner, self.block
        return (
            min(left, top) > -0.01
            and left + wide < self.paper.width + 0.01
            and top + high < self.paper.height + 0.01
        )

    def places(self, count: int, start: int = 1) -> Iterator[Place]:
        """Places of so many labels, row by row; the first sheet is used up to the `start`-th label."""
        left, top = self.corner
        for number in range(start - 1, start - 1 + count):
            sheet, on_it = divmod(number, self.on_a_sheet)
            row, column = divmod(on_it, self.columns)
            yield Place(
                sheet, left + column * (self.width + self.gap[0]), top + row * (self.height + self.gap[1])
            )


def filled(
    paper: Paper, width: float, height: float, gap: tuple[float, float], margin: tuple[float, float] | None
) -> tuple[int, int]:
    """Columns and rows of labels that a paper has room for; the same margins are left on its other sides."""
    left, top = margin or (0.0, 0.0)
    columns = (paper.width - 2 * left + gap[0] + 0.01) // (width + gap[0])
    rows = (paper.height - 2 * top + gap[1] + 0.01) // (height + gap[1])
    return int(columns), int(rows)
