"""The use case of `sheets`: which days, labels and picture of a kept plan are put on paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from scheduler.errors import Fault, UsageError
from scheduler.journal.find import batch_or_none
from scheduler.plan import Batch
from scheduler.present.season_svg import season_svg
from scheduler.present.sheets import labels as on_labels
from scheduler.present.sheets.days import DaySheet, Where, day_sheet, days_of
from scheduler.present.sheets.document import Labels, Sheets
from scheduler.present.sheets.geometry import Grid, Paper, filled
from scheduler.season.wrong import Wrong, listed, meant, shown
from scheduler.service.under_way import UnderWay
from scheduler.trade import label_sheets

USUAL_LABELS = {"A4": "A4 24", "letter": "letter 30"}
CALL = "budswell sheets"


@dataclass(frozen=True)
class Asked:
    """Which sheets are wanted. Where no kind is named, those of the bench and the yard."""

    bench: bool = False
    yard: bool = False
    labels: bool = False
    poster: bool = False
    days: tuple[date, ...] = ()
    since: date | None = None
    until: date | None = None
    batches: tuple[str, ...] = ()
    """Labels of these alone, whenever they are made."""
    paper: str | None = None


@dataclass(frozen=True)
class Sticky:
    """The sheet of labels that is wanted: a name of the table, or a size of one's own in millimetres."""

    name: str | None = None
    size: tuple[float, float] | None = None
    grid: tuple[int, int] | None = None
    gap: tuple[float, float] = (0.0, 0.0)
    margin: tuple[float, float] | None = None
    start: int = 1
    outline: bool = False
    address: str = ""


def sheets(state: UnderWay, asked: Asked, sticky: Sticky) -> Sheets:
    """What is put on paper. UsageError for a day, batch or paper there is not, and where nothing is left."""
    known = label_sheets.load()
    paper = _paper(known, asked.paper or _usual_paper(state), "--paper")
    every = not (asked.bench or asked.yard or asked.labels or asked.poster or asked.batches)
    days: list[DaySheet] = []
    if asked.bench or every:
        days += _days(state, asked, "lab")
    if asked.yard or every:
        days += _days(state, asked, "yard")
    _require_days(state, asked, days)
    batches = _batches(state, asked) if asked.labels or asked.batches else []
    made = Sheets(
        plan=state.plan,
        paper=paper,
        days=tuple(sorted(days, key=lambda day: (day.iso, day.place))),
        labels=_labels(state, batches, _grid(known, paper, sticky), sticky) if batches else None,
        poster=_poster(state, paper.landscape) if asked.poster else "",
    )
    if not (made.days or made.labels or made.poster):
        found = "there is nothing to print in these days"
        allowed = "days with work, or batches that are still to be made"
        raise UsageError(Fault(CALL, found, allowed, "--since 2000-01-01 takes those that are gone by too"))
    return made


def _poster(state: UnderWay, paper: Paper) -> str:
    ratio = paper.width / paper.height
    return season_svg(state.plan, state.progress, state.today, own=False, ratio=ratio)


def _usual_paper(state: UnderWay) -> str:
    return "letter" if state.plan.season.units == "imperial" else "A4"


def _paper(known: label_sheets.LabelSheets, name: str, option: str) -> Paper:
    found = next((one for one in known.paper if one.casefold() == name.casefold()), None)
    if found is None:
        names = list(known.paper)
        raise UsageError(Fault(option, f"{shown(name)} is no paper", listed(names), meant(name, names)))
    return Paper(found, *known.paper[found])


def _wanted(state: UnderWay, asked: Asked, day: date) -> bool:
    """Whether a day is asked for: named, or between both ends; nothing that is gone by where none is said."""
    if asked.days:
        return day in asked.days
    return (asked.since or state.today) <= day and (asked.until is None or day <= asked.until)


def _days(state: UnderWay, asked: Asked, place: Where) -> list[DaySheet]:
    days = [on for on in days_of(state.plan, place) if _wanted(state, asked, on)]
    return [day_sheet(state.plan, place, on, state.progress) for on in days]


def _require_days(state: UnderWay, asked: Asked, sheets: Sequence[DaySheet]) -> None:
    """Raises UsageError where a day was named and has nothing at all."""
    known = {date.fromisoformat(sheet.iso) for sheet in sheets}
    known |= {on for batch in state.plan.batches if (on := _made_on(batch))} if asked.labels else set()
    for day in asked.days:
        if day not in known and not asked.batches:
            near = sorted(
                {*days_of(state.plan, "lab"), *days_of(state.plan, "yard")}, key=lambda on: abs(on - day)
            )[:4]
            allowed = "a day of the plan with such work"
            hint = f"near it: {', '.join(on.isoformat() for on in sorted(near))}" if near else ""
            raise UsageError(Fault("--day", f"nothing to print for {day.isoformat()}", allowed, hint))


def _made_on(batch: Batch) -> date | None:
    """The day on which a batch wants its labels; what is in hand has them."""
    if batch.state == "in hand":
        return None
    return batch.inoculate_on or batch.ready_on


def _batches(state: UnderWay, asked: Asked) -> list[Batch]:
    """Batches whose units get labels: those that are named, or made on the days that are asked for."""
    known = {batch.id: batch for batch in state.plan.batches}
    if not asked.batches:
        return [batch for batch in known.values() if (on := _made_on(batch)) and _wanted(state, asked, on)]
    found = []
    for name in asked.batches:
        try:
            batch = batch_or_none(name, known)
        except Wrong as wrong:
            raise UsageError(Fault("--batch", wrong.found, wrong.allowed, wrong.hint)) from None
        if batch is None:
            raise UsageError(
                Fault("--batch", f"{shown(name)} is no batch of this plan", listed(sorted(known)))
            )
        found.append(known[batch])
    return found


def _grid(known: label_sheets.LabelSheets, paper: Paper, sticky: Sticky) -> Grid:
    """The sheet of labels. UsageError for a name there is not, and for labels that leave the paper."""
    if sticky.size is None:
        name = sticky.name or USUAL_LABELS.get(paper.name, "A4 24")
        found = next((one for one in known.sheet if one.casefold() == name.casefold()), None)
        if found is None:
            names = list(known.sheet)
            allowed = f"{listed(names)}; or a size in millimetres"
            hint = meant(name, names) or "--label 63.5x38.1"
            raise UsageError(Fault("--label", f"no sheet of labels called {shown(name)}", allowed, hint))
        sheet = known.sheet[found]
        grid = Grid(
            Paper(sheet.paper, *known.paper[sheet.paper]), *sheet.label, *sheet.grid, sheet.gap, sheet.radius,
            sticky.margin,
        )  # fmt: skip
    else:
        columns, rows = sticky.grid or filled(paper, *sticky.size, sticky.gap, sticky.margin)
        grid = Grid(paper, *sticky.size, columns, rows, sticky.gap, 0.0, sticky.margin)
    if min(grid.columns, grid.rows) < 1 or not grid.is_on_paper():
        many = f"{max(grid.columns, 0)} x {max(grid.rows, 0)} labels of {grid.width:g} x {grid.height:g} mm"
        on = grid.paper
        allowed = f"labels that lie on {on.width:g} x {on.height:g} mm, margins and gaps included"
        found = f"{many} do not fit on {on.name}"
        raise UsageError(Fault("--label", found, allowed, "leave --grid out: it takes as many as fit"))
    return grid


def _labels(state: UnderWay, batches: list[Batch], grid: Grid, sticky: Sticky) -> Labels:
    if sticky.start > grid.on_a_sheet:
        found, allowed = f"label {sticky.start} of a sheet", f"1 to {grid.on_a_sheet}"
        raise UsageError(Fault("--start", found, allowed))
    try:
        made = tuple(
            on_labels.label(batch, unit, grid.width, grid.height, sticky.address)
            for batch in batches
            for unit in on_labels.units_of(batch, state.progress.batch(batch.id))
        )
    except ValueError as error:
        found = f"a label of {grid.width:g} x {grid.height:g} mm is {error}"
        raise UsageError(Fault("--label", found, "a larger label", '--label "A4 24"')) from None
    return Labels(made, grid, sticky.start, sticky.outline)
