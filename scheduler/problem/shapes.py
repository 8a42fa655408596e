"""A Problem: works, points, lags, day limits, rooms, cookers and aims, as integers and names.

Everything that depends on the calendar or on temperature is already a table over start days here, so a
Problem knows nothing of mushrooms: a published project-scheduling instance is the same kind of value.
All days are day numbers from `Problem.origin`. Minutes are whole minutes; room and load shares are whole
parts of the room's or load's own capacity.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date


@dataclass(frozen=True)
class Rule:
    """A named rule, so that an explanation can say which statements clash.

    `owner` says whose word it is: the grower's own statement can be changed by the grower, nature's cannot.
    `key` is the path into the season file (or into the catalogue), `facts` the amounts a sentence needs.
    """

    name: str
    kind: str
    key: str = ""
    owner: str = "grower"
    facts: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Limit:
    """The days a rule allows for the *first and every* day of a work."""

    rule: str
    days: frozenset[int]


@dataclass(frozen=True)
class Work:
    """Something done on one day, or in equal pieces over a few days.

    A work with ``pieces == 1`` has one day. A spread work does at least `least` pieces (or what is left in
    all, if that is fewer) on each of its days, all of them within `span` days from first to last.
    """

    name: str
    limits: tuple[Limit, ...]
    tables: Mapping[str, Mapping[int, int]] = field(default_factory=dict)
    """Named points that follow from the *first* day: ``{"ready": {start: day}}``. A start day that is
    missing from any table is not allowed (`growth` rule)."""
    last_tables: Mapping[str, Mapping[int, int]] = field(default_factory=dict)
    """The same, but following from the *last* day."""
    pieces: int = 1
    least: int = 1
    span: int = 0
    table_rule: str = "growth"

    def moment(self, at: str, on: Iterable[int]) -> int:
        """Day of the point `at` when the work lies on the days `on`; KeyError where a table lacks the day."""
        if at == "first":
            return min(on)
        if at == "last":
            return max(on)
        return self.tables[at][min(on)] if at in self.tables else self.last_tables[at][max(on)]


@dataclass(frozen=True)
class Point:
    """A moment in a work: its `first` day, its `last` day, or a day of one of its tables."""

    work: str
    at: str = "first"


@dataclass(frozen=True)
class Lag:
    """`after` lies at least `least` and at most `most` days after `before` (either may be None)."""

    rule: str
    before: Point
    after: Point
    least: int | None = 0
    most: int | None = None


@dataclass(frozen=True)
class DayLimit:
    """An amount that each day offers, and what a piece of each work takes of it.

    `loads` adds what one load of (cooker, class) takes. Days missing from `capacity` offer nothing.
    """

    name: str
    rule: str
    capacity: Mapping[int, int]
    per_piece: Mapping[str, int]
    loads: Mapping[tuple[str, str], int] = field(default_factory=dict)


@dataclass(frozen=True)
class Cooker:
    """A vessel: how many loads a day, and how much of a load each cooked work takes.

    One load holds `share` parts, all of one class. ``shares[work]`` is what the whole work takes of a load.
    """

    name: str
    rule: str
    loads_per_day: int
    share: int
    shares: Mapping[str, int]
    classes: Mapping[str, str]
    """Time class (media, grain, bags) of each work that fits this cooker."""


@dataclass(frozen=True)
class Stay:
    """So much of a room from one point to another (the last day itself is free again)."""

    start: Point
    end: Point
    amount: int


@dataclass(frozen=True)
class Room:
    """A shelf, a fridge, a soaking tank, or any other thing of constant capacity over time."""

    name: str
    rule: str
    capacity: int
    stays: tuple[Stay, ...]


@dataclass(frozen=True)
class Apart:
    """No day holds a work of `left` and a work of `right`."""

    rule: str
    left: frozenset[str]
    right: frozenset[str]


@dataclass(frozen=True)
class Term:
    """An aim: ``weight * max(0, offset + plus - minus)``, or ``weight`` flat when that is above zero."""

    name: str
    tier: int
    weight: int
    offset: int = 0
    plus: Point | None = None
    minus: Point | None = None
    flat: bool = False


@dataclass(frozen=True)
class DayCost:
    """What a day with work costs: `each` for the day, plus its minutes' worth on days not preferred.

    ``minutes[work]`` are the minutes of one piece; only days in `dear` charge them. `loads` are the minutes
    of one load.
    """

    each: int
    dear: frozenset[int]
    minutes: Mapping[str, int]
    loads: Mapping[tuple[str, str], int] = field(default_factory=dict)


@dataclass(frozen=True)
class Push:
    """Polish, in this order: a point is pushed `late` or early within the used days."""

    point: Point
    late: bool


@dataclass(frozen=True)
class Problem:
    """A season (or any scheduling instance) in integers and names."""

    origin: date
    horizon: int
    """Last day number that any point may take; the first is 0."""
    works: tuple[Work, ...]
    lags: tuple[Lag, ...] = ()
    day_limits: tuple[DayLimit, ...] = ()
    cookers: tuple[Cooker, ...] = ()
    rooms: tuple[Room, ...] = ()
    aparts: tuple[Apart, ...] = ()
    terms: tuple[Term, ...] = ()
    day_cost: DayCost | None = None
    pushes: tuple[tuple[Push, ...], ...] = ()
    """Groups of pushes, one group a strain line, in the order they are polished."""
    equals: tuple[tuple[tuple[str, ...], ...], ...] = ()
    """Groups of interchangeable batches: each batch is its works in stage order."""
    rules: Mapping[str, Rule] = field(default_factory=dict)

    def work(self, name: str) -> Work:
        """The work of that name; KeyError if there is none."""
        return self._by_name[name]

    def __post_init__(self) -> None:
        object.__setattr__(self, "_by_name", {work.name: work for work in self.works})

    _by_name: Mapping[str, Work] = field(init=False, repr=False, compare=False, default_factory=dict)


@dataclass(frozen=True)
class Days:
    """The answer to a Problem: for every work its days with pieces, and where and in what it was cooked."""

    pieces: Mapping[str, Mapping[int, int]]
    """``{work: {day: pieces}}``, days in rising order."""
    cooker: Mapping[str, str] = field(default_factory=dict)
    """Cooker of every cooked work."""
    loads: Mapping[tuple[int, str, str], int] = field(default_factory=dict)
    """Loads by (day, cooker, class)."""

    def first(self, work: str) -> int:
        """First day of a work."""
        return min(self.pieces[work])

    def last(self, work: str) -> int:
        """Last day of a work."""
        return max(self.pieces[work])

    def at(self, problem: Problem, point: Point) -> int:
        """Day of a point; KeyError where a table does not hold the day."""
        return problem.work(point.work).moment(point.at, self.pieces[point.work])
