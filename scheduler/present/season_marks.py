"""What stands in the season's picture for what: letters in frames, bars, windows and days of work."""

from __future__ import annotations

from xml.etree.ElementTree import Element

from scheduler.present.season_rows import LETTERS, LIMITS
from scheduler.present.strokes import GROWS, OPEN, SPANS, SPAWN, WAITS
from scheduler.present.svg import add, line, text

BAR, FRAME, LETTER = 12, 13, 9.5
"""Height of a bar, side of a letter's frame, size of the letter."""
SAMPLE = 24
"""Width of what the legend explains."""
FELLING, WORK_DAY, SMALL_WORK = "felling", "work day", "small work"
LEGEND = {
    **{letter: word for letter, word in LETTERS.items() if letter not in SPANS},
    GROWS: SPAWN[GROWS],
    WAITS: "waits: spawn, or felled wood",
    OPEN: "planting window",
    FELLING: "felling window",
    WORK_DAY: "day of work",
    SMALL_WORK: "small work only",
}
WAITING = "season-waits"
"""Hatching for what waits: lines, so that it is told from what grows in print and by any eye."""


def hatching(parent: Element) -> None:
    """What bars of waiting are filled with, once in a picture."""
    size: dict[str, str | float] = {"width": 5, "height": 5, "pattern_units": "userSpaceOnUse"}
    waits = add(parent, "pattern", id=WAITING, **size)
    add(waits, "path", d="M-1,1 l2,-2 M0,5 l5,-5 M4,6 l2,-2", stroke="currentColor", stroke_width=0.9)


def sample(parent: Element, key: str, x: float, y: float) -> None:
    """What the legend explains, as it is drawn above."""
    if key in (GROWS, WAITS):
        fill(parent, key, x, y, SAMPLE)
    elif key in (OPEN, FELLING):
        window(parent, key == FELLING, x, y, SAMPLE, BAR)
    elif key in (WORK_DAY, SMALL_WORK):
        worked(parent, x + SAMPLE / 2, y, 7, key == SMALL_WORK)
    else:
        frame(parent, key, x + SAMPLE / 2, y)


def fill(parent: Element, letter: str, x: float, y: float, width: float) -> None:
    """A shaded bar for what grows, a hatched one for what waits."""
    look = {"class_": "grows", "fill_opacity": 0.35} if letter == GROWS else {"fill": f"url(#{WAITING})"}
    add(parent, "rect", x=x, y=y - BAR / 2, width=width, height=BAR, **look)


def window(parent: Element, is_felling: bool, x: float, y: float, width: float, height: float) -> None:
    """The days in which something may be planted; those of felling are only dashed."""
    look = {"class_": "window", "fill_opacity": 0.13} if not is_felling else {"fill": "none"}
    add(parent, "rect", x=x, y=y - height / 2, width=width, height=height, rx=2, **look,
         stroke="currentColor", stroke_opacity=0.5, stroke_width=0.8,
         stroke_dasharray="3 2" if is_felling else "")  # fmt: skip


def frame(parent: Element, letter: str, x: float, y: float) -> None:
    """A letter in its frame; last days have a bar on their right, where nothing goes on."""
    if letter in LIMITS:
        line(parent, x + FRAME / 2 - 1, y - FRAME / 2, x + FRAME / 2 - 1, y + FRAME / 2, 1, width=2)
    else:
        add(parent, "rect", x=x - FRAME / 2 + 0.5, y=y - FRAME / 2 + 0.5, width=FRAME - 1, height=FRAME - 1,
             rx=2, fill="none", stroke="currentColor", stroke_width=0.9)  # fmt: skip
    text(parent, letter, x, y + LETTER * 0.36, LETTER, bold=True, anchor="middle")


def worked(parent: Element, x: float, y: float, size: float, is_small: bool) -> None:
    """A day of work: a square, or a dot where all of it is small."""
    if is_small:
        add(parent, "circle", cx=x, cy=y, r=1.6)
    else:
        add(parent, "rect", x=x - size / 2 + 0.5, y=y - 4, width=size - 1, height=8)
