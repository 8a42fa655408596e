"""Lines for a page of text: folded paragraphs and tables without boxes.

Written by hand because no line may end in spaces or run over the page, and hundreds of rows are to cost a
few milliseconds. Widths are terminal cells, so that wide characters line up.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rich.cells import cell_len, chop_cells
from rich.console import Console
from rich.text import Text

Lines = list[str | Text]
INDENT = 2
GAP = 2


def fold(text: str, width: int) -> list[str]:
    """Break a text into lines of at most `width` cells: at line breaks, then at spaces, else inside a word.

    Control characters become spaces, so that nothing a person typed can steer the terminal.
    """
    if text.isprintable() and cell_len(text) <= width:
        return [text.rstrip()]
    lines = []
    for part in text.split("\n"):
        words = "".join(char if char.isprintable() else " " for char in part).split()
        lines += _fill([piece for word in words for piece in _pieces(word, width)], width)
    return lines


def _pieces(word: str, width: int) -> list[str]:
    return [word] if cell_len(word) <= width else chop_cells(word, max(width, 1))


def _fill(words: list[str], width: int) -> list[str]:
    lines: list[str] = []
    line = ""
    for word in words:
        longer = f"{line} {word}" if line else word
        if line and cell_len(longer) > width:
            lines.append(line)
            longer = word
        line = longer
    return [*lines, line]


def paragraph(text: str, width: int, mark: str = "", indent: int = INDENT) -> Lines:
    """An indented paragraph; lines after the first hang under the text that follows the mark."""
    first = " " * indent + mark
    later = " " * cell_len(first)
    folded = fold(text, width - len(later))
    return [((later if number else first) + line).rstrip() for number, line in enumerate(folded)]


@dataclass(frozen=True)
class Column:
    """One column of a table: its heading, and how readily it is folded where the page is too narrow."""

    head: str = ""
    soft: bool = False
    """Folded before the others are."""
    whole: bool = False
    """Never folded while another can be."""
    right: bool = False


def table(
    columns: Sequence[Column], rows: Iterable[Sequence[str]], width: int, indent: int = INDENT
) -> Lines:
    """Rows in columns, headed where a column has a heading; columns with nothing in them are left out.

    A row that is one string runs across the page, further left, and heads the rows below it.
    """
    body = list(rows)
    cells = [row for row in body if not isinstance(row, str)]
    shown = [number for number in range(len(columns)) if any(row[number] for row in cells)]
    if not shown:
        return []
    columns = [columns[number] for number in shown]
    heads = [column.head for column in columns]
    cells = [[row[number] for number in shown] for row in cells]
    widths = _widths(columns, [heads, *cells], width - indent - GAP * (len(columns) - 1))
    lines: Lines = []
    if any(heads):
        lines += [Text(line, style="dim") for line in _row(columns, widths, heads, indent)]
    rest = iter(cells)
    for row in body:
        if isinstance(row, str):
            lines += paragraph(row, width, indent=indent - INDENT)
        else:
            lines += _row(columns, widths, next(rest), indent)
    return lines


def _widths(columns: Sequence[Column], rows: Sequence[Sequence[str]], room: int) -> list[int]:
    """Natural widths, made narrower until they fit: soft columns first, and no word broken without need."""
    numbers = range(len(columns))
    widths = [max(max(map(cell_len, row[number].split("\n"))) for row in rows) for number in numbers]
    if sum(widths) <= room:
        return widths
    words = [max(max(map(cell_len, row[number].split()), default=1) for row in rows) for number in numbers]
    least = [1] * len(widths)
    soft = [number for number in numbers if columns[number].soft]
    most = [number for number in numbers if not columns[number].whole]
    for some, floors in ((soft, words), (most, words), (most, least), (numbers, least)):
        _narrow(widths, some, floors, room)
    return widths


def _narrow(widths: list[int], numbers: Sequence[int], floors: Sequence[int], room: int) -> None:
    """Take from the widest of the given columns, none below its floor, until all of them fit."""
    while sum(widths) > room:
        wider = [number for number in numbers if widths[number] > floors[number]]
        if not wider:
            return
        widths[max(wider, key=widths.__getitem__)] -= 1


def _row(columns: Sequence[Column], widths: list[int], row: Sequence[str], indent: int) -> list[str]:
    cells = [fold(text, wide) for text, wide in zip(row, widths, strict=True)]
    lines = []
    for height in range(max(map(len, cells))):
        line = " " * indent
        for column, wide, cell in zip(columns, widths, cells, strict=True):
            text = cell[height] if height < len(cell) else ""
            space = " " * (wide - cell_len(text))
            line += (space + text if column.right else text + space) + " " * GAP
        lines.append(line.rstrip())
    return lines


def grid(entries: Sequence[str], width: int, indent: int = INDENT) -> Lines:
    """Short entries side by side, read line by line, in as many columns as the page has room for."""
    if not entries:
        return []
    wide = max(map(cell_len, entries))
    across = max(1, (width - indent + GAP) // (wide + GAP))
    rows = [entries[start : start + across] for start in range(0, len(entries), across)]
    padded = [[*row, *[""] * (across - len(row))] for row in rows]
    return table([Column()] * across, padded, width, indent)


def heading(text: str, width: int) -> Lines:
    """A bold line with an empty one before it."""
    return ["", *[Text(line, style="bold") for line in fold(text, width)]]


def section(title: str, lines: Lines, width: int) -> Lines:
    """A heading over its lines; nothing at all where there are no lines."""
    return [*heading(title, width), *lines] if lines else []


def write(lines: Lines, console: Console) -> None:
    """Print finished lines as they are, without an empty one on top; they fit the console's width already."""
    page = Text()
    for number, line in enumerate(lines[1:] if lines[:1] == [""] else lines):
        page.append("\n" if number else "")
        page.append(line)
    console.print(page, soft_wrap=True)
