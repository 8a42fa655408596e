"""Weather that was never measured: years of a smooth course, with what a test wants to be different."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from pathlib import Path

from scheduler.weather.daily import Daily


def course(day: date, mean: float, swing: float, south: bool = False) -> float:
    """Temperature of a day on a cosine whose warmest day is 21 July, or 21 January in the south."""
    from_warmest = (day - date(day.year, 1 if south else 7, 21)).days
    return mean + swing * math.cos(2 * math.pi * from_warmest / 365.25)


def daily(
    years: Iterable[int],
    *,
    mean: float = 9.0,
    swing: float = 14.0,
    south: bool = False,
    shift: Mapping[int, float] | None = None,
    gaps: Iterable[date] = (),
) -> Daily:
    """Whole years, nights 5 C below and days 5 C above the course; `shift` warms a year, `gaps` are missing."""
    listed = sorted(years)
    first, last = date(listed[0], 1, 1), date(listed[-1], 12, 31)
    missing = set(gaps)
    means = [
        None if day in missing else course(day, mean, swing, south) + (shift or {}).get(day.year, 0.0)
        for day in (first + timedelta(days=n) for n in range((last - first).days + 1))
    ]
    low = tuple(None if m is None else round(m - 5, 2) for m in means)
    high = tuple(None if m is None else round(m + 5, 2) for m in means)
    return Daily(first, low, high, (None,) * len(means))


def write(weather: Daily, path: Path) -> Path:
    """The weather as a file of our own kind."""
    lines = ["date,tmin_c,tmax_c,rain_mm"]
    for n, (low, high) in enumerate(zip(weather.tmin, weather.tmax, strict=True)):
        cells = ("" if value is None else f"{value}" for value in (low, high))
        lines.append(f"{weather.first + timedelta(days=n)},{','.join(cells)},")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path
