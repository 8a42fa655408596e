"""What to write into a season file so that it says another season: found by comparing the two seasons.

It is one table: a row for each part of a season that a remedy may change. After every row that wrote
something the file is read anew, because one key changes what others mean by default: hours those at home, a
tank how chips are prepared. A later row then holds still what was not to change.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from operator import attrgetter
from typing import Any

from scheduler.measures import Units
from scheduler.plan import Period, Rewrite
from scheduler.season import derived, units
from scheduler.season.findings import Findings
from scheduler.season.names import Names
from scheduler.season.notation import Document, apply, block, blocks, key, toml
from scheduler.season.people import SITE_DATES
from scheduler.season.resolve import Asked, resolve
from scheduler.season.season import LogGroup, Pattern, Season
from scheduler.season.tables import read_tables
from scheduler.trade.catalogue import Catalogue


@dataclass(frozen=True)
class Rewritten:
    """A season file changed in a few places, and what it says then."""

    season: Season
    changes: tuple[Rewrite, ...]


def rewrite(season: Season, wanted: Season, catalogue: Catalogue) -> Rewritten:
    """The fewest changes of the season's file that make it say `wanted`.

    The season that comes back is the rewritten file's own: quantities are rounded to what one would write,
    and who has more hours may be at home longer than was wanted. Raises SeasonError where no file may say it.
    """
    document: Document = apply(tomllib.loads(season.text), season.adopted)
    now, changes = season, list[Rewrite]()
    for row in _ROWS:
        found = [one for one in row(now, wanted, document) if one.was != one.now]
        if found:
            document = apply(document, found)
            now = _read(season, document, catalogue)
            changes += found
    return Rewritten(now, tuple(changes))


def _read(season: Season, document: Document, catalogue: Catalogue) -> Season:
    findings = Findings(str(season.path), season.text, document)
    if season.climate:
        document = derived.fill(document, season.climate, catalogue, findings)
    names = Names(catalogue, tuple(season.lab.containers))
    tables = read_tables(document, names, findings)
    asked = Asked(season.today, season.timezone, season.today, True, season.climate)
    found = resolve(season.path, season.text, tables, names, findings, asked)
    return replace(found, id=season.id, adopted=season.adopted)


Row = Callable[[Season, Season, Document], Iterator[Rewrite]]
Writer = Callable[[Any, Any, Any, Units], Any]
"""From a value of the season as it is, as it is wanted, and what the file has: what the file is to have."""


@dataclass(frozen=True)
class _Field:
    """A key of a table: where its value stands in a season (or a planting), and how it is written."""

    key: str
    of: Callable[[Any], Any]
    write: Writer
    enough: Callable[[Any, Any], bool] = lambda now, wanted: bool(now == wanted)
    given: bool = False
    """Whether it is changed only where the file has it."""

    def changes(self, before: str, now: Any, wanted: Any, table: Document, as_in: Units) -> Iterator[Rewrite]:
        """What changes under this key of a table, whose name is `before`; of a table in it, its own keys."""
        is_now, is_wanted, was = self.of(now), self.of(wanted), table.get(self.key)
        if self.enough(is_now, is_wanted) or (self.given and was is None):
            return
        value = None if is_wanted is None else self.write(is_now, is_wanted, was, as_in)
        if isinstance(was, dict) and isinstance(value, dict):
            for name in {**was, **value}:
                place = f"{before}{key(self.key, name)}"
                yield Rewrite(place, _text(was.get(name)), _text(value.get(name)))
        else:
            yield Rewrite(f"{before}{self.key}", _text(was), _text(value))


def _text(value: object) -> str | None:
    return None if value is None else toml(value)


# --- how values are written ------------------------------------------------------------------------------


def _plain(now: Any, wanted: Any, was: Any, as_in: Units) -> Any:
    match wanted:
        case tuple():
            return list(wanted)
        case Mapping():
            return dict(wanted)
        case _:
            return wanted


def _period(now: Period, wanted: Period, was: Any, as_in: Units) -> str:
    return f"{wanted[0]}/{wanted[1]}"


def _hours(
    now: Mapping[str, int], wanted: Mapping[str, int], was: Mapping[str, Any] | None, as_in: Units
) -> dict[str, Any]:
    """Hours by weekday; a day that stays as it is stays as it is written, or unwritten."""
    spelled = {" ".join(name.casefold().split()): name for name in was or {}}
    days = [day for day in wanted if was is None or wanted[day] != now.get(day, 0)]
    return {**(was or {}), **{spelled.get(day, day): wanted[day] / 60 for day in days}}


def _longest(
    now: Mapping[str, int], wanted: Mapping[str, int], was: Mapping[str, Any] | None, as_in: Units
) -> dict[str, Any]:
    return _hours(now, {day: max(now.get(day, 0), minutes) for day, minutes in wanted.items()}, was, as_in)


def _reach(now: Mapping[str, int], wanted: Mapping[str, int]) -> bool:
    return all(now.get(day, 0) >= minutes for day, minutes in wanted.items())


_USUAL: Mapping[Units, Mapping[str, str]] = {
    "metric": {"volume": "L", "area": "m2", "length": "cm"},
    "imperial": {"volume": "gal", "area": "ft2", "length": "in"},
}
_UNIT = re.compile(r"[^\d\s.+-].*$")


def _unit(was: Any, measure: units.Measure, unit: str, as_in: Units) -> tuple[str, float]:
    """The unit that the file uses already, else that of the season, and how much of `unit` it is."""
    found = _UNIT.search(re.split("[x×]", was)[-1]) if isinstance(was, str) else None
    word = found[0].strip() if found else _USUAL[as_in][measure]
    return word, units.quantity(f"1 {word}", measure, unit)


def _quantity(measure: units.Measure, unit: str) -> Writer:
    def write(now: Any, wanted: float, was: Any, as_in: Units) -> str:
        word, size = _unit(was, measure, unit, as_in)
        return f"{round(wanted / size, 2):g} {word}"

    return write


def _spacing(now: Any, wanted: Pattern, was: Any, as_in: Units) -> str:
    word, size = _unit(was, "length", "cm", as_in)
    along, around = (round(cm / size, 2) for cm in (wanted.along_cm, wanted.around_cm))
    return f"{along:g} x {around:g} {word}"


def _pieces(now: Any, wanted: tuple[LogGroup, ...], was: Any, as_in: Units) -> Any:
    """Fewer pieces of the groups that the file has; groups of which none is left are the last ones."""
    groups = was if isinstance(was, list) else [was]
    left = [{**one, "count": group.count} for one, group in zip(groups, wanted, strict=False)]
    return left if isinstance(was, list) else left[0]


_VOLUME = _quantity("volume", "l")

# --- the rows --------------------------------------------------------------------------------------------


def _in(table: str, *fields: _Field) -> Row:
    """The keys of one table."""

    def row(now: Season, wanted: Season, document: Document) -> Iterator[Rewrite]:
        inside = document
        for name in table.split("."):
            inside = inside.get(name, {})
        for one in fields:
            yield from one.changes(f"[{table}].", now, wanted, inside, wanted.units)

    return row


def _in_plantings(*fields: _Field) -> Row:
    """The keys of every planting."""

    def row(now: Season, wanted: Season, document: Document) -> Iterator[Rewrite]:
        tables = blocks(document, "planting")
        for is_now, is_wanted, table in zip(now.plantings, wanted.plantings, tables, strict=True):
            for one in fields:
                before = f"{block('planting', is_now.name)}: "
                yield from one.changes(before, is_now, is_wanted, table, wanted.units)

    return row


def _at_once(*rows: Row) -> Row:
    """Rows between which the file would not be right."""
    return lambda now, wanted, document: (one for row in rows for one in row(now, wanted, document))


def _given(row: Row, table: str, name: str) -> Row:
    """A row only where the file has the key."""
    return lambda now, wanted, document: (
        row(now, wanted, document) if name in document.get(table, {}) else iter(())
    )


def _help(now: Season, wanted: Season, document: Document) -> Iterator[Rewrite]:
    stays = [one in wanted.help for one in now.help]
    for place in range(len(stays), 0, -1):  # from the last, so that positions stay true
        if not stays[place - 1]:
            yield Rewrite(block("help", str(place)), toml(blocks(document, "help")[place - 1]), None)
    for new in wanted.help[sum(stays) :]:
        yield Rewrite("[[help]]", None, toml({"on": new.on, "people": new.people, "hours": new.minutes / 60}))


def _given_up(now: Season, wanted: Season, document: Document) -> Iterator[Rewrite]:
    kept = {one.name for one in wanted.plantings}
    for planting, table in zip(now.plantings, blocks(document, "planting"), strict=True):
        if planting.name not in kept:
            yield Rewrite(block("planting", planting.name), toml(table), None)


def _stock(now: Season, wanted: Season, document: Document) -> Iterator[Rewrite]:
    tables, gone = blocks(document, "stock"), Counter(now.stock) - Counter(wanted.stock)
    for place in range(len(tables), 0, -1):  # from the last, so that positions stay true
        if gone[now.stock[place - 1]]:
            gone[now.stock[place - 1]] -= 1
            yield Rewrite(block("stock", str(place)), toml(tables[place - 1]), None)


def _cookers(now: Season, wanted: Season, document: Document) -> Iterator[Rewrite]:
    given, had = blocks(document, "lab.cooker"), now.lab.cookers
    for place, (is_now, is_wanted) in enumerate(zip(had, wanted.lab.cookers, strict=False)):
        if given and is_now != is_wanted:
            was, loads = given[place].get("loads_per_day"), is_wanted.loads_per_day
            yield Rewrite(f"{block('lab.cooker', str(place + 1))}: loads_per_day", _text(was), str(loads))
    if had == wanted.lab.cookers:
        return
    for new in wanted.lab.cookers[len(given) :]:
        # Like one that the file has; where it has none, its only one is the usual one.
        like = given[had.index(new)] if given else {"kind": new.kind, "loads_per_day": new.loads_per_day}
        yield Rewrite("[[lab.cooker]]", None, toml(like))


def _room(name: str) -> Row:
    def of(part: str) -> Callable[[Season], Any]:
        return lambda season: getattr(getattr(season.lab, name), part)

    return _in(f"lab.{name}", _Field("volume", of("volume_l"), _VOLUME), _Field("holds", of("holds"), _plain))


_HOME = _in("people", _Field("home", lambda s: s.people.home_minutes, _longest, _reach))

_ROWS: tuple[Row, ...] = (
    _help,
    _given_up,
    _stock,
    _given(_HOME, "people", "home"),  # nobody has more hours for work than at home, not even in between
    _in("people", _Field("hours", lambda s: s.people.minutes, _hours)),
    _HOME,
    _in(
        "tools",
        _Field("drills", lambda s: s.tools.drills, _plain),
        _Field("tank", lambda s: s.tools.tank_l, _VOLUME),
    ),
    _cookers,
    _room("shelf"),
    _room("fridge"),
    _at_once(
        _in("site", *(_Field(name, attrgetter(f"site.{name}"), _plain) for name in SITE_DATES)),
        _in_plantings(
            _Field("window", lambda p: p.window, _period),
            _Field("best", lambda p: p.best, _period, given=True),
            _Field("felled", lambda p: p.felled, _plain),
        ),
    ),
    _in_plantings(
        _Field("spawn", lambda p: p.spawn, _plain),
        _Field("route", lambda p: p.route, _plain),
        _Field("pattern", lambda p: p.pattern, _spacing),
        _Field("area", lambda p: p.area_m2, _quantity("area", "m2")),
    ),
    _in_plantings(
        _Field("logs", lambda p: [g for g in p.groups if g.length_cm is not None], _pieces),
        _Field("stumps", lambda p: [g for g in p.groups if g.length_cm is None], _pieces),
        _Field("best", lambda p: p.best, _period),
        _Field("chips", lambda p: p.chips, _plain),
    ),
)
"""In the order in which they are written: what others take a default from comes before these."""
