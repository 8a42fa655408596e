"""The outlook on the screen: chances first, then what they hang on, what would raise them, later starts."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rich.console import Console

from scheduler import measures
from scheduler.chances import Gain, Hang, LastStart, SeasonOutlook, StartPoint
from scheduler.present.chances import percent, sure, whole
from scheduler.present.chart import curve
from scheduler.present.dates import Dates
from scheduler.present.layout import Column, Lines, fold, paragraph, section, table, write
from scheduler.present.words import stage
from scheduler.workdays import full

ALL = "all of them"
PER = 1000
"""What fails is counted in so many seasons."""
SURE = 2.0
"""Standard errors that a gain has to exceed to be listed."""
CHANCE_COLUMNS = (
    Column("planting", soft=True),
    Column("chance"),
    Column("planned"),
    Column("on a later day"),
    Column("in the plan"),
)
HANG_COLUMNS = (
    Column("planting", soft=True),
    Column(f"of {PER}", right=True),
    Column("it fails because", soft=True),
)
GAIN_COLUMNS = (Column("change", soft=True), Column("points", right=True), Column("+-", right=True))
LEFT_COLUMNS = (
    Column("planting", soft=True),
    Column("1 in 10 below"),
    Column("half below"),
    Column("1 in 10 above"),
)
GAINS = "Points of chance for all plantings together, in the very same seasons; each change by itself."
NO_GAIN = "No single unit more, and no week more, would add anything worth its work."


def show_outlook(found: SeasonOutlook, console: Console) -> None:
    """Print an outlook."""
    width = console.width
    number = "" if found.plan_no is None else f", plan {found.plan_no}"
    lines: Lines = [*fold(f"{found.season}{number}, as of {full(found.today)}", width)]
    lines += [line for note in found.notes for line in ("", *fold(note, width))]
    for heading, make in SECTIONS:
        lines += section(heading, make(found, width), width)
    write(lines, console)


def chances(found: SeasonOutlook, width: int) -> Lines:
    """The chance of each planting and of all of them, beside what the plan says of losses alone."""
    return [*table(CHANCE_COLUMNS, chance_rows(found), width), *paragraph(played(found), width)]


def chance_rows(found: SeasonOutlook) -> list[tuple[str, ...]]:
    """A row for each planting, and one for all of them."""
    words = Dates(found.today)
    rows: list[tuple[str, ...]] = [
        (
            p.name,
            sure(p.chance, p.stderr, found.seasons),
            words.day(p.planned_on),
            percent(p.later, found.seasons),
            measures.chance(p.losses_only),
        )
        for p in found.plantings
    ]
    if len(rows) > 1:
        rows.append(
            (ALL, sure(found.chance, found.stderr, found.seasons), "", "", measures.chance(found.losses_only))
        )
    return rows


def played(found: SeasonOutlook) -> str:
    """What the chances are chances of."""
    return (
        f"Of {found.seasons} seasons played with seed {found.seed}: planted in the window with enough spawn "
        f"(wished: {whole(found.wished)}). In the plan: the chance that losses alone leave enough, "
        "what is kept back included, and nothing made again."
    )


def hangs(found: SeasonOutlook, width: int) -> Lines:
    """Through what plantings come to nothing, most often first."""
    return table(HANG_COLUMNS, hang_rows(found), width)


def hang_rows(found: SeasonOutlook) -> list[tuple[str, ...]]:
    """A row for each planting and reason, as far as it ever is one."""
    rows = [
        (planting.name, f"{PER * hang.share:.1f}", _why(hang))
        for planting in found.plantings
        for hang in planting.hangs_on
        if PER * hang.share >= 0.05
    ]
    return _once(rows)


def gains(found: SeasonOutlook, width: int) -> Lines:
    """What one more unit or a week more would add, where that is more than chance."""
    if not found.gains:
        return []
    rows = gain_rows(found)
    return [*table(GAIN_COLUMNS, rows, width), *paragraph(GAINS if rows else NO_GAIN, width)]


def gain_rows(found: SeasonOutlook) -> list[tuple[str, ...]]:
    """A row for each change that adds more than chance."""
    listed = [gain for gain in found.gains if gain.gain > SURE * gain.stderr and gain.gain >= 0.0005]
    return [(_change(gain), f"+{100 * gain.gain:.2f}", f"{100 * gain.stderr:.2f}") for gain in listed]


def starts(found: SeasonOutlook, width: int) -> Lines:
    """The curve of the chance against the start, and the last starts."""
    if not found.starts:
        return []
    columns, rows = start_rows(found)
    return [
        *curve(start_points(found), width, 2, found.wished),
        *paragraph(starts_said(found), width),
        "",
        *table(columns, rows, width),
    ]


def start_points(found: SeasonOutlook) -> list[StartPoint]:
    """The points of the curve up to where it comes to nothing."""
    points = list(found.starts)
    while len(points) > 2 and points[-2].chance == points[-1].chance == 0:
        points.pop()
    return points


def starts_said(found: SeasonOutlook) -> str:
    """What the curve shows."""
    words, points = Dates(found.today), start_points(found)
    return (
        f"Chance that all plantings are planted, where no line begins before a day, from "
        f"{words.day(points[0].start)} to {words.day(points[-1].start)}; what is planned for later stays "
        f"where it is. Dotted: wished. Played with {found.start_seasons} seasons for each start."
    )


def start_rows(found: SeasonOutlook) -> tuple[tuple[Column, ...], list[tuple[str, ...]]]:
    """The last starts, a column for each chance."""
    words = Dates(found.today)
    heads = [f"for {measures.chance(last.chance)}" for last in found.last_starts]
    rows = [(p.name, *_starts(p.last_starts, words)) for p in found.plantings]
    if len(rows) > 1:
        rows.append((ALL, *_starts(found.last_starts, words)))
    return (Column("last start", soft=True), *map(Column, heads)), rows


def left_over(found: SeasonOutlook, width: int) -> Lines:
    """Good spawn beyond what the plantings take."""
    return table(LEFT_COLUMNS, left_rows(found), width)


def left_rows(found: SeasonOutlook) -> list[tuple[str, ...]]:
    """A row for each planting that is made in some season."""
    return [
        (
            p.name,
            *(
                measures.mass(g, found.units)
                for g in (p.left_over.low_g, p.left_over.middle_g, p.left_over.high_g)
            ),
        )
        for p in found.plantings
        if p.left_over is not None
    ]


SECTIONS: tuple[tuple[str, Callable[[SeasonOutlook, int], Lines]], ...] = (
    ("Chance", chances),
    ("What it hangs on", hangs),
    ("What would raise it", gains),
    ("Later starts", starts),
    ("Spawn left over, in the seasons in which it is planted", left_over),
)


def _why(hang: Hang) -> str:
    if hang.why == "too few":
        return f"too few good: {stage(hang.stage)} ({', '.join(hang.batches)})"
    return "it was too late for the window" + ", after a redo" * (hang.why == "late after a redo")


def _change(gain: Gain) -> str:
    if gain.change == "one more unit":
        return f"one more unit: {gain.line}, {stage(gain.stage)} ({', '.join(gain.batches)})"
    return f"all lab work of {gain.line} a week earlier ({', '.join(gain.plantings)})"


def _starts(found: Sequence[LastStart], words: Dates) -> list[str]:
    return [words.maybe(last.start, "none") for last in found]


def _once(rows: Sequence[tuple[str, ...]]) -> list[tuple[str, ...]]:
    """The rows, the first cell only where it is not that of the row before."""
    before = [("",), *rows[:-1]]
    return [("" if row[0] == last[0] else row[0], *row[1:]) for last, row in zip(before, rows, strict=False)]
