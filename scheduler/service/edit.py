"""One change of a season: its amount, its words, the changed season; and families of them, smallest first."""

from __future__ import annotations

from dataclasses import dataclass, replace

from scheduler.season.season import Planting, Season


@dataclass(frozen=True)
class Edit:
    """One amount of one kind of change."""

    amount: str
    text: str
    season: Season


@dataclass(frozen=True)
class Family:
    """Edits of one kind for one subject, smallest first."""

    kind: str
    cost: int
    """What it costs the grower, for ranking: lower is easier."""
    price: str
    """What is paid, in words and without money: hours of other people, a later first flush."""
    plantings: tuple[str, ...]
    edits: tuple[Edit, ...]


def with_planting(season: Season, planting: Planting, **changes: object) -> Season:
    """The season with one planting changed."""
    changed = replace(planting, **changes)  # type: ignore[arg-type]
    return replace(
        season, plantings=tuple(changed if p.name == planting.name else p for p in season.plantings)
    )
