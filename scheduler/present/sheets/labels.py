"""What stands on the label of a unit: who it is, where it came from, its days, and a code for a phone."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from math import floor
from urllib.parse import quote

from scheduler.plan import Batch, Unit
from scheduler.present.states import living
from scheduler.present.svg import clean, cut, width
from scheduler.present.words import stage
from scheduler.progress import BatchProgress
from scheduler.workdays import MONTHS

PAD = 1.8
"""From the text to the border of a label; round a code its quiet modules are room enough."""
CODE_SHARE, CODE_MOST = 0.36, 26.0
"""Side of a code: at most this part of a label's width, and never more than so many millimetres."""
QUIET, MODULE_LEAST = 4, 0.3
"""Light modules round a code, and millimetres of a module that a phone still reads (ISO/IEC 18004 asks for
the first; the second is common practice for paper printed at 300 dots an inch)."""
SIZE_MOST, SIZE_GOOD, SIZE_LEAST, LINE, NAME = 4.0, 2.3, 1.4, 1.25, 1.5
"""Sizes of letters in millimetres, height of a line in letters, and how much larger the id is."""
NEEDED = 6
"""Lines that no label goes without, where there is something to say: id, strain, parent, days, redo."""


@dataclass(frozen=True)
class Line:
    """A line of text on a label, already cut to its room."""

    text: str
    size: float
    is_name: bool = False


@dataclass(frozen=True)
class Code:
    """A code as a drawing: its modules across, quiet ones included, and its dark ones as a path."""

    modules: int
    path: str
    side: float
    """Millimetres across, quiet modules included."""


@dataclass(frozen=True)
class Label:
    """One label as it is printed."""

    unit: str
    lines: tuple[Line, ...]
    code: Code


def units_of(batch: Batch, happened: BatchProgress) -> list[Unit]:
    """Units of a batch that are there or still to be made, by their numbers; none that is lost or used up."""
    parents = {unit.id: unit.parent for unit in batch.units}
    return [Unit(name, parents.get(name)) for name in living(batch, happened)]


def label(batch: Batch, unit: Unit, wide: float, high: float, address: str = "") -> Label:
    """The label of a unit on so many millimetres; its code holds the id, or the address of its batch.

    Raises ValueError where the label is too small for its code or its text.
    """
    code = code_of(page(address, batch.id) if address else unit.id, wide, high)
    room = wide - code.side - PAD
    texts = facts(batch, unit)
    needed = min(NEEDED, len(texts))
    for many in range(len(texts), needed - 1, -1):  # what matters less gives way to larger letters
        size = min(SIZE_MOST, (high - 2 * PAD) / (LINE * (many + NAME - 1)))
        if size >= SIZE_GOOD:
            break
    if size < SIZE_LEAST:
        raise ValueError("too low for what has to stand on it")
    name = min(size * NAME, room / width(unit.id, 1, bold=True))
    if name < SIZE_LEAST:
        raise ValueError("too narrow for the ids of units")
    lines = [_fitted(text, room, size) for text in texts[1:many]]
    return Label(unit.id, (Line(unit.id, _rounded(name), True), *lines), code)


def _fitted(text: str, room: float, size: float) -> Line:
    """A line in smaller letters where it is long, and cut off only where they would be too small."""
    whole = room / width(text, 1)
    if whole < SIZE_LEAST:
        return Line(cut(text, room, SIZE_LEAST), SIZE_LEAST)
    return Line(text, _rounded(min(size, whole)))


def _rounded(size: float) -> float:
    """A size to the hundredth below, so that what fits still does."""
    return floor(size * 100) / 100


def facts(batch: Batch, unit: Unit) -> list[str]:
    """What is told of a unit, most important first."""
    made = batch.inoculate_on
    told = [
        unit.id,
        f"{batch.species} ({batch.strain})",
        f"from {unit.parent}" if unit.parent else batch.state,
        f"made {_day(made)}" if made else "",
        f"ready {_day(batch.ready_on)}",
        f"redo by {_day(batch.redo_by)}" if batch.redo_by else "no redo",
        f"{stage(batch.stage)}, {batch.container}",
        f"for {'; '.join(batch.plantings)}" if batch.plantings else "",
    ]
    return [clean(one) for one in told if one]


def page(address: str, batch: str) -> str:
    """Where the page of a batch is, below the address that is served."""
    return f"{address.rstrip('/')}/batch/{quote(batch, safe='')}"


def code_of(content: str, wide: float, high: float) -> Code:
    """A QR code (ISO/IEC 18004) that fits a label. ValueError where it would be too fine to be read."""
    import segno

    made = segno.make(content, error="m", micro=False, boost_error=False)
    side = min(high - PAD, wide * CODE_SHARE, CODE_MOST)
    modules = round(made.symbol_size(border=QUIET)[0])
    if side / modules < MODULE_LEAST:
        raise ValueError(f"too small for a code of {modules} modules ({content})")
    path = "".join(
        f"M{x + QUIET} {y + QUIET}h1v1h-1z"
        for y, row in enumerate(made.matrix)
        for x, module in enumerate(row)
        if module
    )
    return Code(modules, path, round(side, 2))


def _day(day: date) -> str:
    """A label may outlive its year."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"
