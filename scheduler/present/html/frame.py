"""What stands around every page, and the one place that knows the templates."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from pathlib import Path

from jinja2 import Environment
from markupsafe import Markup, escape

from scheduler.present.cautions import in_full, mind
from scheduler.present.dates import Dates
from scheduler.present.layout import Column
from scheduler.present.templates import environment
from scheduler.present.todo import hours, waits
from scheduler.workdays import full

_ID = re.compile(r"\b[A-Z]{2,5}-[A-Z][A-Za-z0-9]{1,4}(?:/[0-9]+(?:-[0-9]+)?)?\b")
FOLDER = Path(__file__).parent
STYLE, ICON = "style.css", "icon.svg"
PAGES = (
    ("/", "Today"),
    ("/season", "Season"),
    ("/shopping", "Shopping"),
    ("/outlook", "Outlook"),
    ("/remedies", "Remedies"),
    ("/calendar", "Calendar"),
    ("/book", "Book"),
)


@dataclass(frozen=True)
class Frame:
    """Of which season a page is, of which day, and where on it one is."""

    season: str
    plan_no: int | None
    day: date
    mark: str
    """Stands where the token of the forms goes."""
    stamp: str = ""
    """Says how the season stood when the page was made."""
    is_locked: bool = False
    """Whether one came in with a passphrase, and can leave."""
    broken: tuple[str, ...] = ()
    """What is wrong with the season file, where it cannot be read."""
    here: str = ""
    """The path of the page, where it is one of those that are always named."""

    @property
    def words(self) -> Dates:
        """The writer of days."""
        return Dates(self.day)

    def at(self, here: str) -> Frame:
        """The frame of a page."""
        return replace(self, here=here)


@dataclass(frozen=True)
class Sheet:
    """A table; a row that is one text heads the rows below it, lines within a cell stand below each other."""

    columns: tuple[Column, ...]
    rows: Sequence[Sequence[str] | str]

    @property
    def shown(self) -> list[Column]:
        """The columns in which something stands."""
        return [self.columns[number] for number in self._numbers]

    @property
    def body(self) -> list[str | list[tuple[Column, str]]]:
        """The rows, each cell with its column."""
        return [
            row if isinstance(row, str) else [(self.columns[n], row[n]) for n in self._numbers]
            for row in self.rows
        ]

    @property
    def is_headed(self) -> bool:
        """Whether any column has a heading."""
        return any(column.head for column in self.shown)

    @property
    def _numbers(self) -> list[int]:
        cells = [row for row in self.rows if not isinstance(row, str)]
        return [number for number in range(len(self.columns)) if any(row[number] for row in cells)]


def page(template: str, frame: Frame, title: str, **values: object) -> str:
    """A page from its template, within its frame."""
    return _templates().get_template(template).render(frame=frame, title=title, **values)


@cache
def style() -> bytes:
    """The style sheet."""
    return (FOLDER / STYLE).read_bytes()


@cache
def icon() -> bytes:
    """The picture that a browser shows beside the title."""
    return (FOLDER / ICON).read_bytes()


@cache
def _templates() -> Environment:
    found = environment(FOLDER / "templates")
    found.globals.update(pages=PAGES, mind=mind, waits=waits, hours=hours, in_full=in_full)
    found.filters.update(full=full, lines=_lines, whole=_whole)
    return found


def _whole(text: str) -> Markup:
    """A text in which no line ends within the name of a batch or a unit."""
    return Markup(_ID.sub(r'<span class="whole">\g<0></span>', str(escape(text))))


def _lines(text: str) -> Iterable[str]:
    return text.split("\n")
