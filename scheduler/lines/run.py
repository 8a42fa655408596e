"""How long mycelium takes to run through logs, and what another hole pattern would change.

All speeds are uncertain: what is said is a band. Its ends go with fast growth and a long season, and with
slow growth and a short one. Stumps and beds have no estimate: their wood has no far end.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from statistics import fmean

from scheduler.lines import layouts
from scheduler.lines.demand import demand
from scheduler.plan import Months, OtherPattern
from scheduler.science import run
from scheduler.science.run import Inoculation, Speeds
from scheduler.season.season import LogGroup, Pattern, Planting, Season
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.shapes import Method
from scheduler.trade.woods import DrillPattern
from scheduler.workdays import DAYS_A_MONTH

HALF_A_YEAR = 182
ALIKE = 0.05
"""Share by which two spacings may differ and be the same pattern: 15 x 5 cm and 6 x 2 inches."""
BAND = 24
"""Into how many parts a band is divided for its average."""


@dataclass(frozen=True)
class Growth:
    """Days of the growing season until a log is run through."""

    low: float
    likely: float
    high: float


def drilled(group: LogGroup, spacing: Pattern, method: Method) -> Inoculation | None:
    """A log with holes; None where it is too short for one."""
    rows, each = layouts.holes(group, spacing)
    depth = method.figures["hole_depth_mm"].likely / 10
    return run.drilled(group.diameter_cm, layouts.length_cm(group), rows, each, depth) if each else None


def sawn(group: LogGroup, cut: layouts.Sawn) -> Inoculation:
    """A log with saw cuts."""
    return run.sawn(group.diameter_cm, layouts.length_cm(group), cut.places, cut.depth_cm)


def _totem(group: LogGroup, method: Method) -> Inoculation:
    length, figures = layouts.length_cm(group), method.figures
    bolts = max(1, round(figures["layers"].likely) - 1)
    standing = max(0.0, length - figures["cap_cm"].likely)
    return run.layered(group.diameter_cm, length, [bolt * standing / bolts for bolt in range(bolts + 1)])


_INOCULATED: dict[str, Callable[[LogGroup, Planting, Method], Inoculation | None]] = {
    "drilled logs": lambda group, planting, method: drilled(
        group, layouts.hole_spacing(planting, method), method
    ),
    "wedge-cut logs": lambda group, planting, method: sawn(
        group, layouts.sawn(group, layouts.cut_of(planting), method)
    ),
    "totem": lambda group, planting, method: _totem(group, method),
    "log raft": lambda group, planting, method: run.flanked(group.diameter_cm, layouts.length_cm(group)),
}


def growth(planting: Planting, catalogue: Catalogue) -> Growth | None:
    """Days of growth until the last log of a planting is run through; None where nothing is known of it."""
    speed = catalogue.species[planting.species].run_speed
    inoculated = _INOCULATED.get(planting.method)
    if speed is None or inoculated is None:
        return None
    method = catalogue.methods[planting.method]
    logs = [log for group in planting.groups if (log := inoculated(group, planting, method))]
    return growth_in(logs, speed.likely, catalogue) if len(logs) == len(planting.groups) else None


def growth_in(logs: Sequence[Inoculation], speed: float, catalogue: Catalogue) -> Growth:
    """Days of growth until the last of some logs is run through; `speed` is that of the species, in times.

    The band is that of the speeds of shiitake: how a species compares with it is taken as likely.
    """
    along, across, outer_wood = catalogue.run.along, catalogue.run.across, catalogue.run.sapwood.likely

    def days(mm_along: float, mm_across: float) -> float:
        speeds = Speeds(mm_along * speed / 10, mm_across * speed / 10)
        return max(run.growth_days(log, speeds, outer_wood) for log in logs)

    return Growth(
        low=days(along.highest, across.highest),
        likely=days(along.likely, across.likely),
        high=days(along.lowest, across.lowest),
    )


def months(found: Growth, catalogue: Catalogue, planted: float) -> Months:
    """Calendar months from a day of the year, of the northern half, on which it was planted."""
    growing = catalogue.run.growing_days
    return Months(
        low=round(_until(found.low, catalogue, planted, growing.highest), 1),
        likely=round(_until(found.likely, catalogue, planted, growing.likely), 1),
        high=round(_until(found.high, catalogue, planted, growing.lowest), 1),
    )


def run_months(planting: Planting, season: Season, catalogue: Catalogue, planted: date) -> Months | None:
    """Months from the last planting day until the logs are run through; None where nothing is known of it."""
    found = growth(planting, catalogue)
    return months(found, catalogue, _northern(planted, season)) if found else None


def other_pattern(
    planting: Planting, season: Season, catalogue: Catalogue, planted: date
) -> OtherPattern | None:
    """The pattern in use next to the planned one: the next with less spawn, else the next with more.

    None for other methods, and where no other pattern has another number of holes.
    """
    now = growth(planting, catalogue)
    if planting.method != "drilled logs" or now is None:
        return None
    count = sum(group.count for group in planting.groups)
    spawn_g = demand(planting, season, catalogue).spawn_g
    found = []
    planned = layouts.hole_spacing(planting, catalogue.methods[planting.method])
    for pattern in catalogue.run.pattern:
        if _alike(pattern, planned):
            continue
        other = replace(planting, pattern=Pattern(pattern.along.likely, pattern.around.likely))
        more_g = (demand(other, season, catalogue).spawn_g - spawn_g) / count
        if round(more_g):
            found.append((more_g, other, pattern))
    if not found:
        return None
    less = [one for one in found if one[0] < 0]
    more_g, other, pattern = min(less or found, key=lambda one: abs(one[0]))
    then = growth(other, catalogue)
    if then is None:  # so wide that the log would have no hole
        return None
    day = _northern(planted, season)
    return OtherPattern(
        pattern=pattern.metric if season.units == "metric" else pattern.imperial,
        spawn_g=round(more_g, 1),
        months=round(_on_average(then, catalogue, day) - _on_average(now, catalogue, day), 1),
    )


def _alike(pattern: DrillPattern, planned: Pattern) -> bool:
    """Whether they differ by no more than centimetres and inches do."""
    return math.isclose(pattern.along.likely, planned.along_cm, rel_tol=ALIKE) and math.isclose(
        pattern.around.likely, planned.around_cm, rel_tol=ALIKE
    )


def _on_average(found: Growth, catalogue: Catalogue, planted: float) -> float:
    """Months on the average of the band: two patterns do not differ by a winter for a day of growth."""
    growing = catalogue.run.growing_days.likely
    step = (found.high - found.low) / BAND
    days = [found.low + step * (n + 0.5) for n in range(BAND)]
    return fmean(_until(one, catalogue, planted, growing) for one in days)


def _until(days: float, catalogue: Catalogue, planted: float, growing: float) -> float:
    """Months until so many days of growth have passed."""
    return run.calendar_days(days, planted, catalogue.run.warmest_day.likely, growing) / DAYS_A_MONTH


def _northern(day: date, season: Season) -> float:
    """The day of the year, of the northern half, that is as far into its season."""
    south = (season.site.latitude or 0.0) < 0
    return day.timetuple().tm_yday + (HALF_A_YEAR if south else 0)
