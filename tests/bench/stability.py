"""How steady replanning is: promised tasks that move after a loss, beside a plan made anew."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path

from tests.bench.losses import Compared, compared, losses
from tests.command import PLANNED

EACH = 50
"""Losses of each example; two hundred in all."""
SEED = 1
KEPT = Path(__file__).with_suffix(".json")


def table(folder: Path) -> None:
    """Print how many promised tasks move, and keep it as JSON beside this module."""
    del folder  # the plans are made of the examples as they lie in the repository
    rows: dict[str, dict[str, float]] = {}
    found: list[Compared] = []
    print(f"{'':10} losses refused unmoved   moved: mean worst   anew: mean worst   ratio")
    for name in PLANNED:
        mine = [compared(name, loss) for loss in losses(name, EACH, SEED)]
        found += mine
        rows[name] = summary(mine)
        _print(name, rows[name])
    rows["all"] = summary(found)
    _print("all", rows["all"])
    KEPT.write_text(json.dumps(rows, indent=2) + "\n", encoding="utf-8")


def summary(found: Sequence[Compared]) -> dict[str, float]:
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


def _print(name: str, row: Mapping[str, float]) -> None:
    print(
        f"{name:10} {row['losses']:6} {row['refused']:7} {row['unmoved']:7} {row['moved mean']:13.2f}"
        f" {row['moved worst']:5} {row['anew mean']:12.2f} {row['anew worst']:5} {row['ratio']:7.3f}",
        flush=True,
    )
