"""Warnings about strains that were moved on too often since their master culture."""

from __future__ import annotations

from collections.abc import Iterator

from scheduler.assemble.frame import Frame
from scheduler.lines.shapes import Line
from scheduler.lines.transfers import FINISHED, since_known
from scheduler.measures import counted


def too_often(frame: Frame) -> Iterator[str]:
    """One warning for each line that comes to the first limit or the last, or may do so unseen."""
    for line in frame.sizing.lines:
        yield from _of(frame, line)


def _of(frame: Frame, line: Line) -> Iterator[str]:
    lab = frame.catalogue.lab.culture
    warned, most = round(lab.transfers_warned.likely), round(lab.transfers_most.likely)
    carried = [b for b in line.batches if not b.is_test and b.stage not in FINISHED]
    known = {b.id: b.transfers for b in carried if b.transfers is not None}
    worst = max(known, key=lambda name: known[name], default="")
    if worst and known[worst] >= most:
        yield (
            f"{worst} is {known[worst]} transfers from its master, and from {most} on a line is better begun "
            f"anew: order a fresh culture of {line.species} (it takes {frame.season.lead.culture} days), or "
            "go back to an older slant; if you do use it, try it on a few plates first."
        )
    elif worst and known[worst] >= warned:
        yield (
            f"{worst} is {known[worst]} transfers from its master: from {warned} on growth may slow down. "
            "Use what grows fast and evenly, without sectors, and begin the next season from a slant or a "
            f"fresh culture; from {most} on begin anew."
        )
    since = since_known(line.batches)
    unknown = {b.id: since[b.id] for b in carried if b.transfers is None}
    last = max(unknown, key=lambda name: unknown[name], default="")
    # It matters where the season itself takes more than half of what is warned about.
    if last and 2 * unknown[last] > warned:
        yield (
            f"{last} is {counted(unknown[last], 'transfer')} from the culture in hand, and how many lie "
            "behind that is unknown: write `transfers` under [[stock]]; "
            f"from {warned} in all growth may slow down."
        )
