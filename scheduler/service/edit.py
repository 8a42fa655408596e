"""One change of a season: its amount, its words, the changed season; and families of them, smallest first."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from scheduler.measures import LITRES_PER_QUART, QUARTS_PER_GALLON, Units
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
    written: Edit | None = None
    """What is planned and written, where every edit from the smallest that fits to this one will do."""


def with_planting(season: Season, planting: Planting, **changes: object) -> Season:
    """The season with one planting changed."""
    changed = replace(planting, **changes)  # type: ignore[arg-type]
    return replace(
        season, plantings=tuple(changed if p.name == planting.name else p for p in season.plantings)
    )


def without_plantings(season: Season, dropped: Collection[Planting]) -> Season:
    """The season without some plantings, and without help that comes when the others are over."""
    rest = [p for p in season.plantings if p not in dropped]
    end = max(p.window[1] for p in rest)
    return replace(
        season,
        plantings=tuple(replace(p, index=index) for index, p in enumerate(rest)),
        help=tuple(one for one in season.help if one.on <= end),
    )


def volume_steps(litres: Collection[int], units: Units) -> tuple[float, ...]:
    """Volumes one would ask for, in litres: about so many, in whole gallons where those are used."""
    if units == "metric":
        return tuple(litres)
    gallon = LITRES_PER_QUART * QUARTS_PER_GALLON
    return tuple(max(1, round(one / gallon)) * gallon for one in litres)
