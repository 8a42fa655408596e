"""The words for many seasons planned in one go: what came of each, and the row that it is in a table.

Every column is one value that a spreadsheet knows: text, a number, a day, yes or no.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import date
from typing import Literal, get_args

Verdict = Literal["planned", "impossible", "refused", "failed"]
"""A plan was found; none fits; what is written cannot be planned from; or the planning itself broke down."""
VERDICTS: tuple[Verdict, ...] = get_args(Verdict)

Kind = Literal["text", "yes or no", "whole", "number", "day"]
Value = str | bool | int | float | date | None


@dataclass(frozen=True)
class Result:
    """What came of one season. Without a plan its figures are None, or empty."""

    verdict: Verdict
    reason: str = ""
    """Why there is no plan, or what has to be known about it, in plain words."""
    way_out: str = ""
    """Of an impossible season: the cheapest change that was found and planned."""
    wished: float | None = None
    """The certainty that is wished, 0 to 1."""
    chance: float | None = None
    """The chance for all plantings that the plan reaches, 0 to 1: that losses alone leave enough."""
    first_task: date | None = None
    """Day on which the work begins; something may have to be ordered before."""
    last_safe_start: date | None = None
    plantings: str = ""
    """Each planting with its days: ``Oak stack 2027-05-15; Currant bed 2027-05-22 2027-05-23``."""
    bought: str = ""
    """Names of the plantings that are planted with bought spawn."""
    loads: int | None = None
    """Fillings of cookers."""
    bench_hours: float | None = None
    """Hands-on hours of all work in the lab."""
    yard_hours: float | None = None
    """Hands-on hours of all work outdoors, helpers among them; care of later years is left out."""
    aims: str = ""
    """The aims of the search, what is left undone of each, and what may be better: ``ideal 0; days 1140 (at
    best 420)``."""
    proved: bool | None = None
    """Whether it is proved of all aims that no plan is better."""
    seconds: float | None = None
    """Time of the processor that the planning took. The only figure that differs from run to run."""


@dataclass(frozen=True)
class Row:
    """One season, as it stands or with what was tried, and what came of it."""

    folder: str
    """Where it lies below the folder that was asked for; ``.`` where it is that one."""
    season: str
    """Its name; empty where it could not be read."""
    tried: tuple[tuple[str, str], ...]
    """Places of the season file with the values they were given."""
    inputs: str
    """Fingerprint of all that it was planned from; empty where it could not be read."""
    result: Result


@dataclass(frozen=True)
class Column:
    """One column of the table: every value is of the kind, or None."""

    name: str
    kind: Kind
    values: tuple[Value, ...]


KINDS: dict[str, Kind] = {
    "wished": "number",
    "chance": "number",
    "first_task": "day",
    "last_safe_start": "day",
    "loads": "whole",
    "bench_hours": "number",
    "yard_hours": "number",
    "proved": "yes or no",
    "seconds": "number",
}
"""Of the columns that are no text."""


def columns(rows: Sequence[Row]) -> list[Column]:
    """The table of some rows, in their order; what was tried has a column for each place."""
    places = dict.fromkeys(place for row in rows for place, _ in row.tried)
    tried = [dict(row.tried) for row in rows]
    return [
        Column("folder", "text", tuple(row.folder for row in rows)),
        Column("season", "text", tuple(row.season for row in rows)),
        *(Column(place, "text", tuple(one.get(place) for one in tried)) for place in places),
        *(
            Column(
                one.name, KINDS.get(one.name, "text"), tuple(getattr(row.result, one.name) for row in rows)
            )
            for one in fields(Result)
        ),
        Column("inputs", "text", tuple(row.inputs for row in rows)),
    ]


@dataclass(frozen=True)
class Table:
    """Every row, in the order of the folders and of what was tried."""

    rows: tuple[Row, ...]
    known: int
    """So many of them came from a run before."""
