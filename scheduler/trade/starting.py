"""The shape of ``profiles/starting.toml``: what a season is begun with where nobody says otherwise."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from scheduler.trade.shapes import Figure, Piece, Shape


class Climate(Shape):
    """A large kind of climate, with its usual days of the northern half of the world.

    Days are days of the year (1 to 365); in the southern half they come half a year later.
    """

    about: str
    latitude: Figure
    """Degrees from the equator."""
    by_latitude: bool = True
    """Whether it lies on the line along which a bare latitude is placed."""
    leaf_turn: Figure
    bud_swell: Figure
    ground_thaws: Figure
    last_frost: Figure


class Amount(Shape):
    """How much is planted in a first season, in pieces (or m2), with the size of a piece as it is written."""

    count: Figure
    metric: str = ""
    imperial: str = ""


class Span(Shape):
    """A planting window: days from a site date on which it opens and closes."""

    opens: Figure
    closes: Figure


class Starting(Shape):
    """The whole file."""

    species: str
    climate: str
    climates: Annotated[dict[str, Climate], Field(min_length=1)]
    amount: dict[Piece, Amount]
    window: dict[Piece, Span]
    """Logs and totems count from bud swell, stumps and beds from the last frost."""
    slack: Figure
    """Days beyond the slowest stages that a first plan should have."""
    dormant: Figure
    """Days of the felling season that should still lie ahead."""
