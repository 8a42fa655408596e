"""The picture of the season in a narrower page: it scrolls there, while names and today stay in sight."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from xml.etree.ElementTree import Element, tostring

from scheduler.plan import Plan
from scheduler.present.season_svg import GAP, HEAD, SMALL, Picture
from scheduler.present.svg import add, figure
from scheduler.progress import Progress

CONTENT, NAMES = "season-content", "season-names"


@dataclass(frozen=True)
class InPage:
    """A picture for a page in which it is wider than its frame, in the ink of the page."""

    picture: str
    names: str = ""
    """The column of names once more, of the same height, to be laid over it."""
    until: str = ""
    """Nothing, as wide as the picture is up to today."""


def season_in_page(plan: Plan, progress: Progress, today: date, letters: float) -> InPage:
    """The picture with its smallest letters so high, in letters of its page (``rem``)."""
    drawn = Picture(plan, progress, today)
    unit = letters / SMALL
    root = drawn.drawn(own=False)
    across, high = root.attrib["viewBox"].split()[2:]
    root.set("width", f"{figure(float(across) * unit)}rem")
    content = Element("g", {"id": CONTENT})
    content.extend(root[2:])  # all but its title and description
    del root[2:]
    root.append(content)
    wide, top = drawn.left - GAP, HEAD + 1
    names = Element("svg", {"viewBox": f"0 0 {figure(wide)} {high}", "aria-hidden": "true"})
    names.attrib |= {"width": f"{figure(wide * unit)}rem", "fill": "currentColor"}
    area: dict[str, str | float] = {"y": top, "width": wide, "height": drawn.bottom - top}
    add(add(add(names, "defs"), "clipPath", id=NAMES), "rect", **area)
    add(names, "rect", **area, class_="ground")
    add(names, "use", href=f"#{CONTENT}", clip_path=f"url(#{NAMES})")
    until = Element("svg", {"aria-hidden": "true", "width": f"{figure(drawn.middle(today) * unit)}rem"})
    return InPage(_written(root), _written(names), _written(until) if drawn.holds(today, today) else "")


def _written(drawn: Element) -> str:
    return tostring(drawn, encoding="unicode")
