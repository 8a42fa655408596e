"""The season as a drawn picture: SVG that scales, and is read in print, by light and by dark, and aloud.

Everything is drawn in the colour of the text around it (``currentColor``), shades and hatching are thinner
ink, and a day of work is its letter in a frame, so nothing hangs on a colour. Inside a page the picture
takes the page's colour and needs no style sheet; as a file of its own it carries one for light and dark.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from xml.etree.ElementTree import Element, SubElement, tostring

from scheduler.plan import Period, Plan
from scheduler.present.dates import Dates
from scheduler.present.season_marks import FRAME, LEGEND, fill, frame, hatching, sample, window, worked
from scheduler.present.season_places import apart, free, months
from scheduler.present.season_rows import LETTERS, Group, Row, WorkDay, groups, work_days
from scheduler.present.strokes import GROWS, INOCULATE, OPEN, PLANT, SPANS, USE, WAITS, days_shown
from scheduler.present.svg import add, clean, cut, figure, line, text, width
from scheduler.progress import NOTHING, Progress
from scheduler.workdays import MONTHS, full

NAMESPACE = "http://www.w3.org/2000/svg"
FONT = "ui-sans-serif, system-ui, 'DejaVu Sans', sans-serif"
STYLE = """
svg { color: #1f2a24; background: #fff }
.grows { fill: #3f7d4e } .window { fill: #b8860b } .today { color: #a3281b }
@media (prefers-color-scheme: dark) {
svg { color: #e6e9e2; background: #161b18 }
.grows { fill: #8fc79a } .window { fill: #e3c46b } .today { color: #ff9d8a }
}
@media print { svg { color: #000; background: #fff } .today { color: #000 } }
"""
MARGIN, LABEL, GAP = 14, 262, 8
"""Round the picture, room for names on its left, and between these and the first day."""
HEAD, GROUP, BATCH, PLANTING, WORK = 84, 24, 22, 34, 22
"""Heights of the head and of rows."""
NAME, SMALL, TITLE = 11.5, 9.5, 17
CHART = 960
LEAST_DAY, MOST_DAY = 4.5, 16.0
FAINT, SHADE, STRONG = 0.13, 0.3, 0.75
ABOVE_LEGEND, LEGEND_COLUMNS, LEGEND_ROW = 14, 6, 20
LEGEND_ROWS = -(-len(LEGEND) // LEGEND_COLUMNS)
ORDER = tuple(LETTERS)
"""Letters of one day stand in this order."""
NOTHING_DATED = "Nothing of this season has a day yet."


def season_svg(
    plan: Plan,
    progress: Progress = NOTHING,
    today: date | None = None,
    own: bool = True,
    ratio: float = 0.0,
) -> str:
    """The picture of a plan as it stands `today`; with `own` style sheet, or else in the ink of its page.

    It is at least `ratio` times as wide as it is high, to fill a page. The same plan, progress and day give
    the same text. All names are escaped, whatever they hold.
    """
    drawn = Picture(plan, progress, today or plan.season.today, ratio).drawn(own)
    return tostring(drawn, encoding="unicode")


class Picture:
    """One picture while it is drawn, from top to bottom."""

    def __init__(self, plan: Plan, progress: Progress, today: date, ratio: float = 0.0) -> None:
        self.plan, self.today = plan, today
        self.groups = groups(plan, progress, today)
        self.words = Dates(today)
        first, last = _span(plan, today)
        self.first = first - timedelta(days=first.weekday())
        self.days = (last - self.first).days + 7 - last.weekday()
        self.left = MARGIN + LABEL
        room = ratio * self._height() - self.left - FRAME - MARGIN
        self.day = max(min(MOST_DAY, max(LEAST_DAY, CHART / self.days)), room / self.days)
        self.right = self.left + self.days * self.day
        self.y = self.bottom = float(HEAD)
        ids = (width(batch.id, NAME, bold=True) for batch in plan.batches)
        self.name = min(LABEL / 2, max(ids, default=0)) + 6

    def drawn(self, own: bool) -> Element:
        """The whole picture."""
        name = clean(self.plan.season.name)
        root = Element(
            "svg",
            {
                "xmlns": NAMESPACE,
                "role": "graphics-document",
                "font-family": FONT,
                "fill": "currentColor",
                "class": "season",
            },
        )
        SubElement(root, "title").text = f"Timeline of {name}"
        SubElement(root, "desc").text = self._described()
        if own:
            SubElement(root, "style").text = STYLE
        hatching(add(root, "defs"))
        below = add(root, "g")
        self._head(root, name)
        if self.groups:
            top = self.y
            for group in self.groups:
                self._group(root, group)
            for heading, place in (("Days in the lab", "lab"), ("Days in the yard", "yard")):
                self._work(root, heading, work_days(self.plan, place))
            self.bottom = self.y
            self._calendar(below, top)
            self._today(root, top)
        self._legend(root)
        root.set("viewBox", f"0 0 {figure(self.right + FRAME + MARGIN)} {figure(self._height())}")
        return root

    def _height(self) -> float:
        rows = [row for group in self.groups for row in group.rows]
        high = sum(PLANTING if _is_planting(row) else BATCH for row in rows)
        work = len(self.groups) * GROUP + 2 * WORK if self.groups else 0
        return HEAD + work + high + ABOVE_LEGEND + LEGEND_ROWS * LEGEND_ROW + MARGIN

    def _described(self) -> str:
        plan = self.plan
        number = "" if plan.plan_no is None else f"Plan {plan.plan_no} "
        days = days_shown(plan)
        if days is None:
            return NOTHING_DATED
        return (
            f"{number}on {full(self.today)}, {full(days[0])} to {full(days[1])}. Batches: "
            f"{len(plan.batches)}, plantings: {len(plan.plantings)}. A row for each, weeks from left to "
            "right, its days of work as letters that are named below."
        )

    def _head(self, root: Element, name: str) -> None:
        number = "" if self.plan.plan_no is None else f"plan {self.plan.plan_no}, "
        room = self.right - MARGIN
        text(root, cut(name, room, TITLE, bold=True), MARGIN, MARGIN + TITLE, TITLE, bold=True)
        text(root, f"{number}{full(self.today)}", MARGIN, MARGIN + TITLE + 18, NAME)

    def _x(self, day: date) -> float:
        """The left edge of a day."""
        return self.left + (day - self.first).days * self.day

    def middle(self, day: date) -> float:
        """The middle of a day."""
        return self._x(day) + self.day / 2

    def holds(self, first: date, last: date) -> bool:
        """Whether any day of a span is in the picture."""
        return (last - self.first).days >= 0 and (first - self.first).days < self.days

    def _calendar(self, below: Element, top: float) -> None:
        """Months, Mondays and weekends, behind the rows."""
        bottom = self.y
        for week in range(self.days // 7):
            monday = self.first + timedelta(weeks=week)
            x = self._x(monday)
            add(below, "rect", x=x + 5 * self.day, y=top, width=2 * self.day, height=bottom - top,
                 opacity=0.06)  # fmt: skip
            line(below, x, top - 4, x, bottom, FAINT)
            if self.day * 7 >= 18 or week % 2 == 0:
                text(below, str(monday.day), x + 2, top - 7, SMALL, opacity=STRONG)
        for month in months(self.first, self.first + timedelta(days=self.days - 1)):
            x = self._x(max(month, self.first))
            line(below, x, top - 32, x, bottom, SHADE)
            named = MONTHS[month.month - 1]
            is_first = month <= self.first or month.month == 1
            fits = (month.replace(day=28) - max(month, self.first)).days * self.day > 50
            text(below, f"{named} {month.year}" if is_first and fits else named, x + 3, top - 21, NAME,
                  bold=True)  # fmt: skip

    def _today(self, root: Element, top: float) -> None:
        if not self.holds(self.today, self.today):
            return
        group = add(root, "g", class_="today")
        x = self.middle(self.today)
        line(group, x, top - 34, x, self.y, 1, width=1.6, dashes="6 3")
        end = x > self.right - 130
        text(group, f"today, {self.words.day(self.today)}", x - 4 if end else x + 4, top - 36, NAME,
              bold=True, anchor="end" if end else "start")  # fmt: skip

    def _group(self, root: Element, group: Group) -> None:
        self.y += GROUP
        line(root, MARGIN, self.y - GROUP + 4, self.right, self.y - GROUP + 4, SHADE)
        text(root, cut(group.heading, LABEL - GAP, NAME, bold=True), MARGIN, self.y - 6, NAME, bold=True)
        behind = add(root, "g", class_="parents")
        placed = {row.name: self._row(root, row) for row in group.rows}
        for row in group.rows:
            for parent in row.parents:
                if parent in placed:
                    _descent(behind, placed[parent], placed[row.name])

    def _row(self, root: Element, row: Row) -> _Placed:
        """One row, and where the letters of its days stand."""
        is_planting = _is_planting(row)
        height = PLANTING if is_planting else BATCH
        middle = self.y + height / 2
        drawn = add(root, "g", role="graphics-symbol")
        SubElement(drawn, "title").text = clean(row.told)
        self._label(drawn, row, two_lines=is_planting)
        if is_planting:
            self._windows(drawn, row, middle)
        days = {(first, letter) for first, _, letter in [*row.strokes, *row.limits] if letter not in SPANS}
        ordered = sorted(
            (one for one in days if self.holds(one[0], one[0])),
            key=lambda one: (one[0], ORDER.index(one[1])),
        )
        places = apart([self.middle(day) for day, _ in ordered], FRAME + 1)
        for first, last, letter in row.strokes:
            if letter in (GROWS, WAITS) and self.holds(first, last):
                self._bar(drawn, letter, first, last, middle, places)
        for (_, letter), x in zip(ordered, places, strict=True):
            frame(drawn, letter, x, middle)
        self.y += height
        return _Placed(middle, dict(zip(ordered, places, strict=True)))

    def _label(self, drawn: Element, row: Row, two_lines: bool) -> None:
        if two_lines:
            text(drawn, cut(row.name, LABEL - GAP, NAME, bold=True), MARGIN, self.y + 14, NAME, bold=True)
            text(drawn, cut(row.detail, LABEL - GAP, SMALL), MARGIN, self.y + 27, SMALL)
            return
        text(drawn, cut(row.name, self.name, NAME, bold=True), MARGIN, self.y + 15, NAME, bold=True)
        detail = cut(row.detail, LABEL - GAP - self.name, SMALL)
        text(drawn, detail, MARGIN + self.name, self.y + 15, SMALL)

    def _windows(self, drawn: Element, row: Row, middle: float) -> None:
        """When it may be planted, and when its wood may be felled."""
        spans = [(row.fell_between, True)] if row.fell_between else []
        spans += [((first, last), False) for first, last, letter in row.strokes if letter == OPEN]
        for (first, last), is_felling in spans:
            if not self.holds(first, last):
                continue
            left, right = self._ends(first, last)
            window(drawn, is_felling, left, middle, right - left, FRAME + 6)

    def _ends(self, first: date, last: date) -> tuple[float, float]:
        """Where a span begins and ends, within the picture."""
        return max(self._x(first), self.left), min(self._x(last) + self.day, self.right)

    def _bar(
        self, drawn: Element, letter: str, first: date, last: date, middle: float, places: Sequence[float]
    ) -> None:
        """A bar from a day to another, broken where letters stand."""
        left, right = max(self.middle(first), self.left), min(self.middle(last), self.right)
        for begin, end in free(left, right, places):
            fill(drawn, letter, begin, middle, end - begin)

    def _work(self, root: Element, heading: str, days: Iterable[WorkDay]) -> None:
        """A square for each day of work, a dot where there is nothing but small work."""
        self.y += WORK
        middle = self.y - WORK / 2 + 2
        line(root, MARGIN, self.y - WORK + 2, self.right, self.y - WORK + 2, SHADE)
        text(root, heading, MARGIN, middle + 4, NAME, bold=True)
        for day in days:
            if self.holds(day.on, day.on):
                drawn = add(root, "g", role="graphics-symbol")
                SubElement(drawn, "title").text = clean(f"{full(day.on)}\n{day.told}")
                worked(drawn, self.middle(day.on), middle, min(self.day, 7.0), day.is_small)

    def _legend(self, root: Element) -> None:
        """What letters, bars, windows and squares say."""
        self.y += ABOVE_LEGEND
        wide = (self.right - MARGIN) / LEGEND_COLUMNS
        for number, (key, words) in enumerate(LEGEND.items()):
            row, column = divmod(number, LEGEND_COLUMNS)
            x, y = MARGIN + column * wide, self.y + row * LEGEND_ROW + FRAME / 2
            sample(root, key, x, y)
            text(root, words, x + 32, y + 4, SMALL)


@dataclass(frozen=True)
class _Placed:
    """Where a row was drawn: its middle, and the places of its letters."""

    middle: float
    letters: Mapping[tuple[date, str], float]


def _descent(behind: Element, parent: _Placed, child: _Placed) -> None:
    """Lines from where a parent is used to where something is made of it, or planted, on the same day."""
    for (day, letter), end in child.letters.items():
        start = parent.letters.get((day, USE))
        if start is not None and letter in (INOCULATE, PLANT):
            line(behind, start, parent.middle + FRAME / 2, end, child.middle - FRAME / 2, 0.45)


def _span(plan: Plan, today: date) -> Period:
    """The days of the picture: those of spawn and plantings, and the work around them."""
    shown = days_shown(plan)
    if shown is None:
        return today, today
    days = [task.on for task in plan.work() if not task.is_care]
    return min([shown[0], *days]), max([shown[1], *days])


def _is_planting(row: Row) -> bool:
    return any(letter == OPEN for _, _, letter in row.strokes)
