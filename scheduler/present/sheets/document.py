"""Sheets as one page of HTML that needs nothing from anywhere, and that page as PDF.

Only this module knows weasyprint, which is an extra.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module
from itertools import groupby
from pathlib import Path
from xml.etree.ElementTree import fromstring

from scheduler import measures
from scheduler.errors import Fault, UsageError
from scheduler.plan import Plan
from scheduler.present.extras import require
from scheduler.present.sheets.days import DaySheet
from scheduler.present.sheets.geometry import Grid, Paper, Place
from scheduler.present.sheets.labels import Label
from scheduler.present.templates import environment
from scheduler.workdays import full

TEMPLATES = Path(__file__).parent / "templates"
MARGIN_MM = 14.0
"""White round what is printed on ordinary paper; most printers leave less."""


@dataclass(frozen=True)
class Labels:
    """Labels on sheets of a grid; the first sheet is used up to the `start`-th."""

    labels: tuple[Label, ...]
    grid: Grid
    start: int = 1
    outline: bool = False
    """Whether borders are printed, to be cut out or to see whether the sheet fits."""

    def sheets(self) -> list[list[tuple[Place, Label]]]:
        """Sheet by sheet, each label with its place."""
        placed = zip(self.grid.places(len(self.labels), self.start), self.labels, strict=True)
        return [list(sheet) for _, sheet in groupby(placed, lambda one: one[0].sheet)]


@dataclass(frozen=True)
class Sheets:
    """All that is put on paper in one go."""

    plan: Plan
    paper: Paper
    days: tuple[DaySheet, ...] = ()
    labels: Labels | None = None
    poster: str = ""
    """The season's picture as SVG in the ink of its page."""


def require_libraries(option: str, kinds: Sequence[str]) -> None:
    """Raises UsageError where sheets of these kinds, ``html`` or ``pdf``, cannot be made."""
    needed = ["jinja2", "segno", *(["weasyprint"] if "pdf" in kinds else [])]
    require(option, "sheets are made", "paper", *needed, instead="see it on the screen: budswell show SEASON")
    if "pdf" in kinds:
        try:
            import_module("weasyprint")
        except OSError as error:  # its own libraries are the system's
            raise UsageError(
                Fault(
                    option,
                    f"PDF is set with pango, which is not there: {str(error).partition(chr(10))[0]}",
                    "the system's libraries pango and harfbuzz, or a .html file",
                    "on Debian: apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0",
                )
            ) from None


def html(sheets: Sheets) -> str:
    """One page of HTML. The same sheets give the same text; whatever a name holds is escaped."""
    page = environment(TEMPLATES).get_template("sheets.html")
    season = sheets.plan.season
    number = "" if sheets.plan.plan_no is None else f"plan {sheets.plan.plan_no}, "
    return page.render(
        season=season.name,
        plan=f"{number}as of {full(season.today)}",
        paper=sheets.paper,
        margin=MARGIN_MM,
        days=sheets.days,
        labels=sheets.labels,
        poster=sheets.poster,
        poster_size=_fitted(sheets.poster, sheets.paper.landscape) if sheets.poster else (0, 0),
    )


def pdf(page: str) -> bytes:
    """A page of HTML as PDF. The same page gives the same bytes with the same fonts and libraries."""
    from weasyprint import HTML

    written = HTML(string=page, url_fetcher=_nothing_from_anywhere).write_pdf()
    assert written is not None  # only where a file is named
    return bytes(written)


def _nothing_from_anywhere(url: str) -> dict[str, object]:
    raise ValueError(f"sheets hold all that they need, and nothing is fetched: {url}")


def _fitted(svg: str, paper: Paper) -> tuple[float, float]:
    """Width and height in millimetres at which a picture fits within the margins."""
    _, _, wide, high = map(float, fromstring(svg).attrib["viewBox"].split())
    scale = min((paper.width - 2 * MARGIN_MM) / wide, (paper.height - 2 * MARGIN_MM - 1) / high)
    return round(wide * scale, 2), round(high * scale, 2)


def counted(sheets: Sheets) -> str:
    """What is on paper, in words: ``3 bench sheets, 1 yard sheet and 20 labels``."""
    benches = sum(day.place == "lab" for day in sheets.days)
    parts = [
        (benches, "bench sheet"),
        (len(sheets.days) - benches, "yard sheet"),
        (len(sheets.labels.labels) if sheets.labels else 0, "label"),
        (1 if sheets.poster else 0, "poster"),
    ]
    told = [measures.counted(count, word) for count, word in parts if count]
    return " and ".join(filter(None, (", ".join(told[:-1]), told[-1])))
