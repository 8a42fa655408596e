"""Templates of HTML, for the page and for paper: everything they are given is escaped and legible."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.present.svg import clean

if TYPE_CHECKING:
    from jinja2 import Environment


def environment(folder: Path) -> Environment:
    """The templates of a folder; needs jinja2, which is an extra."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    return Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_plain,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def _plain(value: object) -> object:
    """What a name holds beside letters (codes, marks that turn the direction of reading) becomes spaces."""
    return clean(value) if type(value) is str else value
