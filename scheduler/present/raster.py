"""A drawn picture as pixels; the only place that knows resvg, which is an extra."""

from __future__ import annotations

from pathlib import Path

from scheduler.present.extras import require

PAPER = "#ffffff"
ZOOM = 2
"""Pixels for each unit of the drawing: letters of small print stay legible on paper."""


def require_library(option: str) -> None:
    """Raises UsageError where no pixels can be drawn."""
    require(option, "pixels are drawn", "pictures", "resvg_py", "matplotlib")


def png(svg: str) -> bytes:
    """An SVG document as PNG on white paper. The same document gives the same bytes with the same fonts.

    Letters are those of DejaVu Sans, which comes with matplotlib; what it lacks is taken from the fonts of
    the machine.
    """
    import matplotlib
    import resvg_py

    fonts = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    drawn = resvg_py.svg_to_bytes(
        svg_string=svg,
        background=PAPER,
        zoom=ZOOM,
        font_files=[str(fonts / "DejaVuSans.ttf"), str(fonts / "DejaVuSans-Bold.ttf")],
        font_family="DejaVu Sans",
        sans_serif_family="DejaVu Sans",
    )
    return bytes(drawn)
