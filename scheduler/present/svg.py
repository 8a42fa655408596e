"""Elements of a drawing: lines, and text that is cut to its room, in the ink of what holds the drawing."""

from __future__ import annotations

from collections.abc import Mapping
from xml.etree.ElementTree import Element, SubElement

from rich.cells import cell_len, chop_cells

WIDE, WIDE_BOLD = 0.58, 0.72
"""Width of a terminal cell of common sans-serif letters, in parts of their size: the wide ones' average."""
CAPITAL, CAPITAL_BOLD = 0.79, 0.88
WIDEST, WIDEST_BOLD = 1.05, 1.2
BROAD = frozenset("MWmw@%\N{HORIZONTAL ELLIPSIS}\N{EM DASH}ŒœÆæЖМФШЩЫЮжмфшщыю")
"""Letters that are as wide as high; a name may be nothing but these."""


def line(
    parent: Element, x1: float, y1: float, x2: float, y2: float, opacity: float, width: float = 1,
    dashes: str = "",
) -> None:  # fmt: skip
    """A line between two points, as dark as `opacity` says."""
    add(parent, "line", x1=x1, y1=y1, x2=x2, y2=y2, stroke="currentColor", stroke_opacity=opacity,
         stroke_width=width, stroke_dasharray=dashes)  # fmt: skip


def text(
    parent: Element, text: str, x: float, y: float, size: float, *, bold: bool = False, anchor: str = "",
    opacity: float = 1,
) -> None:  # fmt: skip
    """A text that begins at a point of its base line, or has its middle or end there."""
    named: Mapping[str, str | float] = {"font_weight": "bold" if bold else "", "text_anchor": anchor}
    faint: Mapping[str, float] = {} if opacity == 1 else {"fill_opacity": opacity}
    add(parent, "text", x=x, y=y, font_size=size, **named, **faint).text = text


def add(parent: Element, tag: str, **attributes: str | float) -> Element:
    """An element; what is empty is left out, and an underscore is written as a dash."""
    written = {
        name.rstrip("_").replace("_", "-") if name != "pattern_units" else "patternUnits": figure(value)
        for name, value in attributes.items()
        if value != ""
    }
    return SubElement(parent, tag, written)


def figure(value: str | float) -> str:
    """A number to a hundredth of a unit, and never ``-0``."""
    if isinstance(value, str):
        return value
    return f"{round(value, 2) + 0.0:g}"


def width(text: str, size: float, bold: bool = False) -> float:
    """About how wide a text is in letters of a size, in the unit of the size."""
    broad = sum(char in BROAD for char in text)
    capitals = sum(char.isupper() for char in text) - sum(char.isupper() for char in text if char in BROAD)
    cell, capital, widest = (WIDE_BOLD, CAPITAL_BOLD, WIDEST_BOLD) if bold else (WIDE, CAPITAL, WIDEST)
    return size * (cell_len(text) * cell + capitals * (capital - cell) + broad * (widest - cell))


def cut(text: str, room: float, size: float, bold: bool = False) -> str:
    """A text that fits into so much room, with a mark where something is cut off."""
    text = clean(text)
    if width(text, size, bold) <= room:
        return text
    most = int(room / (size * (WIDE_BOLD if bold else WIDE)))
    for cells in range(most, 1, -1):
        left = f"{chop_cells(text, cells)[0].rstrip()}…"
        if width(left, size, bold) <= room:
            return left
    return f"{chop_cells(text, 1)[0].rstrip()}…"


def clean(text: str) -> str:
    """Without what no document may hold: control characters, and halves of letters."""
    return "".join(char if char.isprintable() or char == "\n" else " " for char in text)
