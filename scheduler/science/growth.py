"""Days from inoculation to fully run, at one temperature or through a sequence of daily temperatures.

Growth follows the cardinal temperature model with inflection (Rosso, Lobry & Flandrois 1993, J. Theor. Biol.
162:447-463), which Cuppers et al. 1997 (Appl. Environ. Microbiol. 63:3764-3769) found to hold for the colony
growth of moulds. Development is counted in *optimum days*: a day at the optimum is worth 1, any other day its
relative rate. A culture stands still on days outside its limits.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from scheduler.science.rounding import NOISE, whole_up


def ctmi(t_c: float, t_min: float, t_opt: float, t_max: float) -> float:
    """Growth rate at `t_c` relative to the rate at the optimum, 0 to 1; zero at and outside the limits.

    The optimum must lie above the middle of the limits (`Cardinal` sees to it), or the formula has a pole.
    """
    if not t_min < t_c < t_max:
        return 0.0
    below, above = t_opt - t_min, t_opt - t_max
    curve = below * (t_c - t_opt) - above * (t_opt + t_min - 2 * t_c)
    return (t_c - t_max) * (t_c - t_min) ** 2 / (below * curve)


@dataclass(frozen=True)
class Cardinal:
    """The three temperatures that describe how a species grows, in C.

    Raises ValueError unless the optimum lies between the middle of the limits and the upper one.
    """

    min_c: float
    optimum_c: float
    max_c: float

    def __post_init__(self) -> None:
        if not (self.min_c + self.max_c) / 2 < self.optimum_c < self.max_c:
            raise ValueError(
                f"optimum {self.optimum_c} C must lie between the middle of {self.min_c} and {self.max_c} C "
                "and the upper limit"
            )

    def rate(self, room_c: float, core_warmer_c: float = 0.0) -> float:
        """Relative growth rate in a room at `room_c`; zero where the warmer core passes the upper limit."""
        if room_c + core_warmer_c > self.max_c:
            return 0.0
        return ctmi(room_c, self.min_c, self.optimum_c, self.max_c)


def days_at(
    days_ref: float,
    lag: float,
    reference_c: float,
    room_c: float,
    cardinal: Cardinal,
    core_warmer_c: float,
) -> float | None:
    """Days to fully run in a room of constant temperature; None where the culture never gets there.

    `days_ref` holds at `reference_c`; the `lag` in it is not scaled by temperature. ValueError as in
    `optimum_days`.
    """
    need = optimum_days(days_ref, lag, reference_c, cardinal)
    rate = cardinal.rate(room_c, core_warmer_c)
    return min(lag, days_ref) + need / rate if rate > 0 else None


def ready_after(
    day_temperatures: Sequence[float],
    start: int,
    days_ref: float,
    lag: float,
    reference_c: float,
    cardinal: Cardinal,
    core_warmer_c: float,
) -> int | None:
    """Whole days from day index `start` to fully run; None where the sequence ends first.

    At a constant temperature this is `days_at`, rounded up. ValueError as in `optimum_days`.
    """
    need = optimum_days(days_ref, lag, reference_c, cardinal)
    gathered = development(day_temperatures[start:], cardinal, core_warmer_c)
    return _ready(gathered, 0, min(lag, days_ref), need)


def ready_table(
    day_temperatures: Sequence[float],
    days_ref: float,
    lag: float,
    consolidation: float,
    reference_c: float,
    cardinal: Cardinal,
    core_warmer_c: float,
) -> dict[int, int]:
    """Day index on which a culture started on each day index is ready, consolidation included.

    Starts that do not run through within the sequence are missing. A later start is never ready earlier.
    Consolidation is added in whole days, so the last ready days may lie beyond the sequence. ValueError as in
    `optimum_days`.
    """
    need = optimum_days(days_ref, lag, reference_c, cardinal)
    gathered = development(day_temperatures, cardinal, core_warmer_c)
    rest = whole_up(consolidation)
    run = {start: _ready(gathered, start, min(lag, days_ref), need) for start in range(len(day_temperatures))}
    return {start: day + rest for start, day in run.items() if day is not None}


def reference_days(
    gathered: Sequence[float], start: int, end: int, lag: float, reference_c: float, cardinal: Cardinal
) -> float:
    """Days at the reference temperature in which a culture grows as much as from one day index to another.

    The inverse of `ready_after`; `gathered` is the `development` of the days. ValueError where nothing grows
    at the reference temperature, or the days of the index do not reach so far.
    """
    if not 0 <= start <= end < len(gathered):
        raise ValueError(f"days {start} to {end} are not among {len(gathered)} days")
    if end - start <= lag:
        return float(end - start)
    rate = optimum_days(1.0, 0.0, reference_c, cardinal)
    return lag + (gathered[end] - _after_lag(gathered, start, lag)) / rate


def optimum_days(days_ref: float, lag: float, reference_c: float, cardinal: Cardinal) -> float:
    """Days after the lag that the culture would take at its optimum temperature.

    A lag longer than `days_ref` counts as `days_ref`. Raises ValueError where nothing grows at the reference
    temperature, because then `days_ref` cannot have been observed there.
    """
    rate = cardinal.rate(reference_c)
    if rate <= 0:
        raise ValueError(f"nothing grows at the reference temperature of {reference_c} C")
    return max(days_ref - lag, 0.0) * rate


def development(day_temperatures: Sequence[float], cardinal: Cardinal, core_warmer_c: float) -> list[float]:
    """Optimum days gathered before each day, one entry more than there are days."""
    rates = {t: cardinal.rate(t, core_warmer_c) for t in set(day_temperatures)}
    return list(accumulate((rates[t] for t in day_temperatures), initial=0.0))


def _ready(development: Sequence[float], start: int, lag: float, need: float) -> int | None:
    """First day index by which `need` optimum days have been gathered after the lag."""
    begin = start + whole_up(lag)
    if begin >= len(development):
        return None
    ready = bisect_left(development, _after_lag(development, start, lag) + need - NOISE, lo=begin)
    return ready if ready < len(development) else None


def _after_lag(development: Sequence[float], start: int, lag: float) -> float:
    """Optimum days gathered by the end of the lag; a broken last lag day leaves its rest for growth."""
    begin = start + whole_up(lag)
    growing = begin - start - lag
    return development[begin] - growing * (development[begin] - development[max(begin - 1, 0)])
