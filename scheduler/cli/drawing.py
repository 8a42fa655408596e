"""What commands share that draw or print: where files go, looked at before what may take its time."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.errors import Fault, UsageError

if TYPE_CHECKING:
    from scheduler.service.under_way import UnderWay

Places = list[tuple[Path, str]]
"""Files with their kinds, which are what their names end in."""


def places(season: Path, svg: Path | None, png: Path | None) -> Places:
    """Where pictures are wanted, each in a file of its own.

    UsageError where nothing may be written, or the season or a picture would be lost.
    """
    wanted = [(path, kind) for path, kind in ((svg, "svg"), (png, "png")) if path is not None]
    if svg and png and os.path.realpath(svg) == os.path.realpath(png):
        hint = f"--png {png.with_suffix('.png')}" if png.suffix != ".png" else ""
        raise UsageError(Fault(str(png), "two files of this call", "a file of its own for each", hint))
    if wanted:
        require_places(season, wanted)
    return wanted


def require_places(season: Path, wanted: Places) -> None:
    """Raises UsageError where a file cannot be written, or is one that the season cannot do without."""
    from scheduler.present.files import require_place
    from scheduler.service.own_files import own_files

    own = own_files(season)
    for path, kind in wanted:
        require_place(path, keep=own, suffix=f".{kind}")


def timeline(state: UnderWay, wanted: Places) -> None:
    """Draws the timeline of a season under way into files."""
    from scheduler.present.files import write_atomically
    from scheduler.present.season_svg import season_svg

    drawn = season_svg(state.plan, state.progress, state.today)
    for path, kind in wanted:
        if kind == "svg":
            write_atomically(path, drawn.encode())
        else:
            from scheduler.present.raster import png

            write_atomically(path, png(drawn))
