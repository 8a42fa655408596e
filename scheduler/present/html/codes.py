"""An address as a QR code (ISO/IEC 18004) that is drawn into the page; needs segno, an extra."""

from __future__ import annotations

import segno
from markupsafe import Markup


def code(address: str, title: str) -> Markup:
    """The code as SVG, dark on light with its quiet zone in every colour scheme."""
    made = segno.make(address, error="m", micro=False)
    drawn = made.svg_inline(
        scale=1,
        border=4,
        dark="#000000",
        light="#ffffff",
        omitsize=True,
        svgclass=None,
        lineclass=None,
        title=title,
    )
    # Drawn by a library from modules alone; the title is the only text, which it escapes.
    return Markup(drawn.replace("<svg ", '<svg role="img" ', 1))
