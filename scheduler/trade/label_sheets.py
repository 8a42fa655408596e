"""The shape of ``profiles/label-sheets.toml``: paper, and labels on it, in millimetres."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from scheduler.trade.places import data_folder
from scheduler.trade.reading import Folder
from scheduler.trade.shapes import Shape

Side = Annotated[float, Field(gt=0, le=1000)]
Room = Annotated[float, Field(ge=0, le=1000)]
Count = Annotated[int, Field(ge=1, le=100)]


class LabelSheet(Shape):
    """Labels in a grid in the middle of a paper. Table ``[sheet."<name>"]``."""

    paper: str
    label: tuple[Side, Side]
    """Width and height."""
    grid: tuple[Count, Count]
    """Columns and rows."""
    gap: tuple[Room, Room] = (0.0, 0.0)
    """Between labels, across and down."""
    radius: Room = 0.0
    """Of their corners."""


class LabelSheets(Shape):
    """The whole file."""

    sheet: dict[str, LabelSheet]
    paper: dict[str, tuple[Side, Side]]
    """Width and height upright, by name."""


def load() -> LabelSheets:
    """All papers and sheets; ProfileError where the file does not have its shape."""
    return Folder(data_folder("profiles")).file("label-sheets.toml").shaped(LabelSheets)
