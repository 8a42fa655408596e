"""How steady replanning is: promised tasks that move after a loss, beside a plan made anew."""

from __future__ import annotations

from collections.abc import Sequence

from tests.bench.losses import Compared, compared, losses
from tests.bench.table import Cell, Column, Rows, Run, Table
from tests.command import PLANNED

EACH, QUICK_EACH = 34, 2
"""Losses of each example; two hundred in all."""
SEED = 1


def measure(run: Run) -> Rows:
    """A row for each example, and one for all losses."""
    rows: dict[str, dict[str, Cell]] = {}
    found: list[Compared] = []
    for name in PLANNED:
        mine = [compared(name, loss) for loss in losses(name, QUICK_EACH if run.quick else EACH, SEED)]
        found += mine
        rows[name] = summary(mine)
    rows["all"] = summary(found)
    return rows


def summary(found: Sequence[Compared]) -> dict[str, Cell]:
    """What one row of the table says."""
    both = [one for one in found if one.replanned and one.anew]
    moved = [one.moved(one.replanned) for one in both if one.replanned]
    anew = [one.moved(one.anew) for one in both if one.anew]
    return {
        "losses": len(found),
        "refused": sum(one.replanned is None for one in found),
        "not found anew": sum(one.replanned is not None and one.anew is None for one in found),
        "unmoved": moved.count(0),
        "moved mean": round(sum(moved) / max(1, len(moved)), 2),
        "moved worst": max(moved, default=0),
        "anew mean": round(sum(anew) / max(1, len(anew)), 2),
        "anew worst": max(anew, default=0),
        "ratio": round(sum(moved) / max(1, sum(anew)), 3),
    }


TABLE = Table(
    "Losses in seasons under way: promised tasks that a replan moves, and that a plan anew moves",
    (
        *(Column(key, key) for key in ("losses", "refused", "unmoved")),
        Column("moved mean", "moved: mean", "{:.2f}"),
        Column("moved worst", "worst"),
        Column("anew mean", "anew: mean", "{:.2f}"),
        Column("anew worst", "worst"),
        Column("ratio", "ratio", "{:.3f}"),
    ),
    measure,
)
