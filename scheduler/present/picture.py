"""The outlook's curves as a picture; the only place that knows matplotlib, which is an extra."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from io import BytesIO

from scheduler.chances import LEVELS, SeasonOutlook
from scheduler.errors import Fault, UsageError
from scheduler.present.extras import require
from scheduler.workdays import MONTHS

SIZE_IN = (8.0, 4.5)
DPI = 150
COLOURS = ("#0072b2", "#d55e00", "#009e73", "#cc79a7", "#e69f00", "#56b4e9")
"""Told apart by nearly everybody, whatever colours they see."""
NAMELESS = {"svg": {"Date": None}, "png": {"Software": None}}
"""Nothing of the day, or of the machine, on which a picture is drawn."""


def require_library(option: str) -> None:
    """Raises UsageError where pictures cannot be drawn."""
    require(option, "pictures are drawn", "pictures", "matplotlib")


def draw(found: SeasonOutlook, kind: str) -> bytes:
    """The chance of each planting and of all of them against the start, as ``svg`` or ``png``.

    The same outlook gives the same bytes with the same version of matplotlib. Raises UsageError where
    everything has begun, so that there is no later start to draw.
    """
    if not found.starts:
        raise UsageError(
            Fault(f"--{kind}", "everything has begun: no start is left to draw", "a line still to be begun")
        )
    import matplotlib
    from matplotlib.figure import Figure

    curves = [(planting.name, planting.starts) for planting in found.plantings]
    with matplotlib.rc_context({"svg.hashsalt": "budswell", "svg.fonttype": "none"}):
        figure = Figure(figsize=SIZE_IN, layout="constrained")
        axes = figure.add_subplot()
        for level in LEVELS:
            axes.axhline(100 * level, color="#cccccc", linewidth=0.8, zorder=0)
        axes.axhline(100 * found.wished, color="#999999", linewidth=1, linestyle=":", zorder=0)
        for number, (name, points) in enumerate([*curves, ("all of them", found.starts)]):
            is_all = number == len(curves)
            axes.plot(
                [point.start.toordinal() for point in points],
                [100 * point.chance for point in points],
                label=name,
                color="black" if is_all else COLOURS[number % len(COLOURS)],
                linewidth=2.0 if is_all else 1.2,
                drawstyle="steps-pre",
            )
        axes.set(
            ylim=(0, 101),
            ylabel="chance, %",
            xlabel="first work of the lab not before",
            title=f"{found.season}: chance against the start",
        )
        days = list(_named(found.starts[0].start, found.starts[-1].start))
        names = [f"{day.day} {MONTHS[day.month - 1]}" for day in days]
        axes.set_xticks([day.toordinal() for day in days], names)
        axes.legend(loc="lower left", fontsize="small", frameon=False)
        data = BytesIO()
        figure.savefig(data, format=kind, dpi=DPI, metadata=NAMELESS[kind])
    return data.getvalue()


def _named(first: date, last: date) -> Iterator[date]:
    """Days to name on the axis: every other week from the first start, or fewer in a long season."""
    span = (last - first).days
    return (first + timedelta(days=days) for days in range(0, span + 1, 14 * (1 + span // 150)))
