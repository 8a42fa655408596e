"""Dates out of daily temperatures: frosts and their chances, warm and cold spells, bud break and leaf turn.

A year is a sequence of days, wherever it begins; a day that was not measured is None. Dates are indices into
the sequence, and a date that does not come that year is None.

The sign of freeze chances is NOAA's. In spring a chance of 10 % belongs to the *late*, safe day: after it a
freeze still comes in one year of ten, so it is the 90th percentile of the last freezes. In autumn a chance of
10 % belongs to the *early* day, by which a freeze has come in one year of ten: the 10th percentile of the
first freezes. The median is the 50 % day of both.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

Series = Sequence[float | None]
"""One value a day, None where there is none."""


def quantile(days: Series, share: float, never: float = math.inf) -> float | None:
    """The day that a share of the years does not pass, by linear interpolation between the years.

    A year whose day is None counts as `never`: infinity where the event has not come by the end of the year,
    minus infinity where it was over before the year began. None where that reaches the share that is asked
    for, and for no years at all.
    """
    ordered = sorted(never if day is None else day for day in days)
    if not ordered:
        return None
    place = share * (len(ordered) - 1)
    below, part = math.floor(place), place - math.floor(place)
    low, high = ordered[below], ordered[math.ceil(place)]
    found = low if part == 0 or low == high else low + part * (high - low)
    return found if math.isfinite(found) else None


def last_freeze(last_days: Series, chance: float) -> float | None:
    """The day after which a freeze still comes with a `chance`, from the last freeze of each spring.

    NOAA's spring sign: the smaller the chance, the later the day. A year without a freeze is one whose last
    freeze was over before it began; None where freezes are rarer than the chance.
    """
    return quantile(last_days, 1 - chance, never=-math.inf)


def first_freeze(first_days: Series, chance: float) -> float | None:
    """The day by which a freeze has come with a `chance`, from the first freeze of each autumn.

    NOAA's autumn sign: the smaller the chance, the earlier the day. None where freezes are rarer than that.
    """
    return quantile(first_days, chance)


def last_at_or_below(night_c: Series, threshold_c: float) -> int | None:
    """The last day on which it was as cold as the threshold or colder."""
    cold = (day for day in reversed(range(len(night_c))) if _at_or_below(night_c[day], threshold_c))
    return next(cold, None)


def first_at_or_below(night_c: Series, threshold_c: float) -> int | None:
    """The first day on which it was as cold as the threshold or colder."""
    return next((day for day, found in enumerate(night_c) if _at_or_below(found, threshold_c)), None)


def first_warm_run(
    day_c: Series, night_c: Series, length: int, *, day: float = -math.inf, night: float = -math.inf
) -> int | None:
    """First of `length` days in a row with days no colder than `day` and nights no colder than `night`.

    A threshold that is left out is not looked at. A day that was not measured ends a run.
    """
    return _first_run(_warm(day_c, night_c, day, night), length)


def last_warm_run(
    day_c: Series, night_c: Series, length: int, *, day: float = -math.inf, night: float = -math.inf
) -> int | None:
    """First day of the last `length` days in a row that are as warm, as `first_warm_run` has it."""
    from_behind = _first_run(_warm(day_c, night_c, day, night)[::-1], length)
    return None if from_behind is None else len(day_c) - length - from_behind


def first_cold_run(mean_c: Series, length: int, threshold_c: float) -> int | None:
    """First of `length` days in a row whose mean is at or below the threshold: it stays cold."""
    return _first_run([_at_or_below(mean, threshold_c) for mean in mean_c], length)


def mean_of(night_c: float | None, day_c: float | None) -> float | None:
    """Mean temperature of a day, half way between its extremes."""
    return None if night_c is None or day_c is None else (night_c + day_c) / 2


def degree_days(night: float, day: float, base: float, ceiling: float | None = None) -> float:
    """Degree-days of one day by the mean of its extremes, in the unit of the temperatures; never negative.

    With a `ceiling` both extremes are first brought between base and ceiling, the 86/50 F method of maize
    growers: 54 F by day and 40 F by night are 2 above 50 F by it, and none without it.
    """
    if ceiling is not None:
        night, day = (min(ceiling, max(base, extreme)) for extreme in (night, day))
    return max(0.0, (night + day) / 2 - base)


def bud_break(
    mean_c: Series,
    forcing: float,
    base_c: float,
    forced_from: int,
    chill_days: int = 0,
    chill_below_c: float = 10.0,
) -> int | None:
    """The day on which leaf buds break: warmth summed once the buds have had their winter.

    First `chill_days` days below `chill_below_c`, counted from day 0; then, and not before day `forced_from`,
    degree-days above `base_c` until they reach `forcing`. The form is that of Hunter & Lechowicz 1992
    (J. Applied Ecology): warming from a fixed day, or from the day on which the chilling is met. Days that
    were not measured add nothing: bridge short gaps first.
    """
    chilled, warmth = 0, 0.0
    for day, mean in enumerate(mean_c):
        if mean is None:
            continue
        if chilled >= chill_days and day >= forced_from:
            warmth += max(0.0, mean - base_c)
            if warmth >= forcing:
                return day
        chilled += mean < chill_below_c
    return None


def leaf_turn(
    mean_c: Series, daylight_h: Sequence[float], start_h: float, base_c: float, need: float
) -> int | None:
    """The day on which half of the leaves have turned: cold summed while the days grow shorter.

    Delpierre et al. 2009 (Agric. For. Meteorol. 149:938-948): from the day on which daylight falls below
    `start_h` each day colder than `base_c` adds the square of what it lacks, weighed by the square of its
    daylight as a share of `start_h`, until the sum reaches `need`. A model of autumn is hardly better than
    the mean date of a place: its day has a week or two of play.
    """
    cold = 0.0
    for day, (mean, light) in enumerate(zip(mean_c, daylight_h, strict=True)):
        if mean is None or light >= start_h or mean >= base_c:
            continue
        cold += (base_c - mean) ** 2 * (light / start_h) ** 2
        if cold >= need:
            return day
    return None


def later_uphill(metres: float, days_per_100_m: float) -> float:
    """Days by which spring comes later that many metres higher up; negative further down."""
    return metres / 100 * days_per_100_m


def bridged(values: Series, longest: int) -> list[float | None]:
    """The series with gaps of at most `longest` days filled in on a straight line between their ends."""
    found = list(values)
    known = [day for day, value in enumerate(values) if value is not None]
    for before, after in pairwise(known):
        low, high = values[before], values[after]
        if 1 < after - before <= longest + 1 and low is not None and high is not None:
            step = (high - low) / (after - before)
            found[before + 1 : after] = [low + step * day for day in range(1, after - before)]
    return found


def longest_gap(values: Series) -> int:
    """Most days in a row without a value."""
    longest = here = 0
    for value in values:
        here = here + 1 if value is None else 0
        longest = max(longest, here)
    return longest


def _warm(day_c: Series, night_c: Series, day: float, night: float) -> list[bool]:
    return [
        (day == -math.inf or (by_day is not None and by_day >= day))
        and (night == -math.inf or (by_night is not None and by_night >= night))
        for by_day, by_night in zip(day_c, night_c, strict=True)
    ]


def _at_or_below(value: float | None, threshold: float) -> bool:
    return value is not None and value <= threshold


def _first_run(holds: Sequence[bool], length: int) -> int | None:
    run = 0
    for day, held in enumerate(holds):
        run = run + 1 if held else 0
        if run == length:
            return day - length + 1
    return None
