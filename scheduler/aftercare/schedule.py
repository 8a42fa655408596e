"""The care of one planting from the day it stands to its last picking, as items with their spans of days."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

from scheduler import measures
from scheduler.aftercare.picking import Life, last_day, life, months, soaks
from scheduler.aftercare.year import part_of, spans
from scheduler.plan import Period, Supply
from scheduler.season.season import Standing
from scheduler.trade.care import CareRow
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.shapes import Figure
from scheduler.workdays import ONE_DAY

FLUSH = timedelta(days=28)
"""A long span of picking holds a flush in every four weeks (common practice)."""
SHORTEST = timedelta(days=7)
"""A span that is cut shorter than this, by the day of planting or the end of a stage, is left out."""
_LENGTH = re.compile(r"\{([\d.]+)(?: to ([\d.]+))? (cm|mm)\}")


@dataclass(frozen=True)
class Item:
    """One thing to be done for a planting, once or again and again, within a span of days."""

    key: str
    """Tells the items of one planting apart; the same however the days move."""
    kind: str
    title: str
    why: str
    first: date
    last: date
    minutes: int
    """Of one time."""
    small: bool
    ongoing: bool
    """Whether it goes on for the whole span instead of being done once in it."""
    steps: tuple[str, ...] = ()
    supplies: tuple[Supply, ...] = ()
    tank: bool = False
    """Whether wood may go into water."""


def schedule(
    standing: Standing, catalogue: Catalogue, latitude: float | None, *, tank: bool, units: measures.Units
) -> tuple[Item, ...]:
    """All care of a planting, by day. Flushes are forced only where there is a `tank` to soak in."""
    one = life(standing, catalogue, latitude)
    method = catalogue.methods[standing.method].name
    rows = [row for row in catalogue.care.row if row.is_for(method, standing.species)]
    items = [item for row in rows for item in _of_row(row, standing, one, latitude)]
    items += _forced(standing, catalogue, one, latitude) if tank else ()
    items += _picked(standing, catalogue, one, units)
    worded = (_worded(item, standing, units) for item in items)
    return tuple(sorted(worded, key=lambda item: (item.first, item.key)))


def pieces(standing: Standing) -> int:
    """Logs, totems or stumps; of a bed, its square metres begun."""
    return sum(group.count for group in standing.groups) or max(1, math.ceil(standing.area_m2 or 1.0))


def _of_row(row: CareRow, standing: Standing, one: Life, latitude: float | None) -> Iterator[Item]:
    if row.planted_in and part_of(one.planted, latitude) not in row.planted_in:
        return
    for number, (first, last) in enumerate(_due(row, one, latitude), start=1):
        yield Item(
            key=f"{row.key}:{number}",
            kind=row.kind,
            title=row.title,
            why=row.why,
            first=first,
            last=last,
            minutes=_minutes(row.fixed, row.piece, pieces(standing)),
            small=row.small,
            ongoing=row.ongoing,
            steps=tuple(row.steps),
            supplies=tuple(
                Supply(supply.item, round(supply.per_piece.likely * _amount(standing)), supply.per_piece.unit)
                for supply in row.supplies
            ),
            tank=row.tank,
        )


def _due(row: CareRow, one: Life, latitude: float | None) -> Iterator[Period]:
    """The spans of days in which a row is due."""
    if row.after is not None:
        yield one.planted + _days(row.after.likely), one.planted + _days(row.after.highest)
        return
    first, last = {
        "running": (one.planted, one.run_by),
        "fruiting": (one.run_by, last_day(one)),
        "always": (one.planted, last_day(one)),
    }[row.stage]
    for begin, end in spans(row.parts, first + ONE_DAY, last, latitude):
        if end - begin < SHORTEST:
            continue
        if row.every is None:
            yield begin, end
            continue
        step = _days(row.every.likely)
        while begin <= end:
            yield begin, min(begin + SHORTEST - ONE_DAY, end)
            begin += step


def _forced(standing: Standing, catalogue: Catalogue, one: Life, latitude: float | None) -> Iterator[Item]:
    """Soaks that bring a flush, of logs whose strain answers to it."""
    fruiting, soaking = (
        catalogue.species[standing.species].fruiting_of(standing.strain),
        catalogue.care.soaking,
    )
    if not fruiting.soaking or standing.method not in soaking.methods:
        return
    season = spans(fruiting.seasons, one.run_by, last_day(one), latitude)
    forced = soaks(one, soaking, one.planted + months(soaking.not_before.likely), season)
    for number, (first, last) in enumerate(forced, start=1):
        yield Item(
            key=f"soak:{number}",
            kind="soak-logs",
            title=f"Soak {{name}} for {soaking.soak.lowest:g} to {soaking.soak.highest:g} h to bring a flush",
            why="A soak in cool water brings a flush in a week or two; then the logs rest in full.",
            first=first,
            last=last,
            minutes=_minutes(soaking.fixed, soaking.piece, pieces(standing)),
            small=False,
            ongoing=False,
            tank=True,
        )


def _picked(standing: Standing, catalogue: Catalogue, one: Life, units: measures.Units) -> Iterator[Item]:
    """Spans in which it is looked at for flushes and picked; and the end, when it is used up."""
    picking = catalogue.care.picking
    visit = round(picking.visit.likely)
    look = (
        "Every flush is looked at by somebody who knows the planted kind before any of it is eaten.",
        *(
            f"Not to be taken for it: {name} ({other.danger}): {other.tell}."
            for name, other in catalogue.species[standing.species].look_alikes.items()
        ),
    )
    for number, (first, last) in enumerate(one.early, start=1):
        yield Item(
            key=f"pick:early-{number}",
            kind="pick",
            title="Look for a first flush of {name}",
            why="It may come as early as this; nothing is lost if it does not.",
            first=first,
            last=last,
            minutes=visit,
            small=True,
            ongoing=True,
            steps=look,
        )
    for year in one.years:
        expected = f"{measures.mass(year.low_g, units)} to {measures.mass(year.high_g, units)}"
        for number, (first, last) in enumerate(year.between, start=1):
            flushes = len(year.between) * max(1, (last - first) // FLUSH)
            each = year.likely_g / 1000 / flushes
            yield Item(
                key=f"pick:{year.year}-{number}",
                kind="pick",
                title=f"Pick {{name}}, year {year.year}",
                why=f"About {measures.mass(year.likely_g, units)} over the whole year ({expected}).",
                first=first,
                last=last,
                minutes=visit + round(picking.mass.likely * each),
                small=False,
                ongoing=True,
                steps=(
                    *look,
                    "Picked young, weighed, and written down: budswell record SEASON picked NAME 1.2 kg.",
                ),
            )
    yield Item(
        key="retire",
        kind="retire",
        title="{name} is near its end: keep it, top it up, or plant anew",
        why="After these years little comes; soft wood and loose bark show that it is used up.",
        first=one.ends[0],
        last=one.ends[1],
        minutes=visit,
        small=True,
        ongoing=False,
        steps=(
            "Spent wood goes where its spores and crumbs do no harm; what comes next needs its own plan.",
        ),
    )


def _amount(standing: Standing) -> float:
    """What supplies go by: pieces, or the true area of a bed."""
    return standing.area_m2 or float(pieces(standing))


def _minutes(fixed: Figure, piece: Figure | None, count: int) -> int:
    return math.ceil(fixed.likely + (piece.likely * count if piece else 0.0))


def _days(count: float) -> timedelta:
    return timedelta(days=round(count))


def _worded(item: Item, standing: Standing, units: measures.Units) -> Item:
    """An item in words with the planting's name, and lengths in the grower's units."""

    def fill(text: str) -> str:
        return _LENGTH.sub(lambda found: _length(found, units), text).replace("{name}", standing.name)

    steps = tuple(map(fill, item.steps))
    return replace(item, title=fill(item.title), why=fill(item.why), steps=steps)


def _length(found: re.Match[str], units: measures.Units) -> str:
    """``{5 to 8 cm}`` in the grower's units, inches to the nearest quarter."""
    if units == "metric":
        return found[0][1:-1]
    to_inches = (0.1 if found[3] == "mm" else 1.0) / measures.CM_PER_INCH
    ends = [f"{round(4 * float(end) * to_inches) / 4:g}" for end in found.groups()[:2] if end]
    return f"{' to '.join(ends)} in"
