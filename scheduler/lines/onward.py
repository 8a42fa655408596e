"""Sizing onward: what was planned, less what is lost, plus what has to be made in its place.

Batches keep their ids, units and parents as far as they live. Spares are used first; what is missing then is
made again from the nearest parent that lives (`rescue`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from scheduler.lines import line
from scheduler.lines.demand import demand
from scheduler.lines.line_onward import LineOnward
from scheduler.lines.living import is_killed, living
from scheduler.lines.remaining import begun
from scheduler.lines.shapes import Basis, Line, Lost, Sizing
from scheduler.lines.spares import Level
from scheduler.progress import Progress
from scheduler.season.season import Planting, Season
from scheduler.trade.catalogue import Catalogue


@dataclass(frozen=True)
class Onward:
    """A season sized onward, and how far its rescues had to go."""

    sizing: Sizing
    way: int | None
    """The farthest way of `rescue.WAYS` that was taken; None where nothing had to be made again."""
    unfed: bool = False
    """Whether something could not be made again at all."""


def onward(
    season: Season,
    whole: Season,
    catalogue: Catalogue,
    basis: Basis,
    progress: Progress,
    *,
    level: Level,
    way: int = 0,
) -> Onward:
    """Sizes what is left of a season. Raises SeasonError where something new cannot be made at all.

    `whole` is the season as it was wished, `season` what is left of it (`remaining`). `way` is the number of
    the nearest way in which anything may be made again.
    """
    demands = {}
    for planting in season.plantings:
        wished = next(p for p in whole.plantings if p.name == planting.name)
        found = demand(planting, season, catalogue)
        demands[planting.name] = replace(
            found,
            begun=begun(wished, demand(wished, whole, catalogue), progress, _chip_days(basis, planting.name)),
        )
    strains: dict[str, list[Planting]] = {}
    for planting in season.plantings:
        strains.setdefault(planting.code, []).append(planting)
    known = {one.code: one for one in basis.sizing.lines}
    lines: list[Line] = []
    lost: list[Lost] = []
    ways: list[int] = []
    unfed = False
    for code, plantings in strains.items():
        if code not in known:
            lines.append(line.build(season, catalogue, plantings, demands, level, {}))
            continue
        arrives = {name.removesuffix(":there"): min(on) for name, on in basis.days.items()}
        lives = living(known[code], season, catalogue, progress, arrives)
        made = LineOnward(season, catalogue, lives, plantings, demands, level, way)
        lines.append(made.line())
        ways += made.ways
        unfed = unfed or made.unfed
    for one in basis.sizing.lines:
        lost += living(one, season, catalogue, progress, {}).lost
    lost += [old for old in basis.sizing.lost if not is_killed(old.batch, progress)]
    return Onward(
        Sizing(
            demands=tuple(demands.values()),
            lines=tuple(lines),
            level=level,
            lost=tuple(_cooked(season, _merged(lost))),
        ),
        max(ways, default=None),
        unfed,
    )


def _chip_days(basis: Basis, planting: str) -> list[int]:
    """Pieces whose chips were to be prepared on each of the planned days."""
    days = basis.days.get(f"{planting}:prepare-chips", {})
    return [days[day] for day in sorted(days)]


def _merged(lost: Sequence[Lost]) -> list[Lost]:
    """One row a batch: what was lost of it before and what is lost of it now."""
    rows: dict[str, Lost] = {}
    for one in lost:
        before = rows.get(one.batch)
        units = tuple(dict.fromkeys((*(before.units if before else ()), *one.units)))
        rows[one.batch] = replace(one, units=units)
    return list(rows.values())


def _cooked(season: Season, lost: Sequence[Lost]) -> list[Lost]:
    """The same, without a load where no cooker of the season takes their container."""
    held = {name for cooker in season.lab.cookers for name in cooker.holds}
    return [one if one.container in held else replace(one, load_class=None) for one in lost]
