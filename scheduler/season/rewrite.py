"""What to write into a season file so that it says another season: found by comparing the two seasons.

It is one table: a row for each part of a season that a remedy may change. After every row that wrote
something the file is read anew, because one key changes what others mean by default: hours those at home, a
tank how chips are prepared. A later row then holds still what was not to change.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from operator import attrgetter
from typing import Any

from scheduler.plan import Rewrite
from scheduler.season import derived
from scheduler.season.block_rows import (
    Row,
    cookers_row,
    given_up_row,
    help_row,
    planting_blocks,
    split_row,
    stock_row,
)
from scheduler.season.findings import Findings
from scheduler.season.names import Names
from scheduler.season.notation import Document, apply, block
from scheduler.season.people import SITE_DATES
from scheduler.season.resolve import Asked, resolve
from scheduler.season.season import Season
from scheduler.season.spelling import (
    VOLUME,
    Field,
    held,
    hours,
    longest,
    period,
    pieces,
    plain,
    quantity,
    reach,
    spacing,
)
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
    return replace(found, id=season.id, adopted=season.adopted, own=season.own)


# --- the rows --------------------------------------------------------------------------------------------


def _in(table: str, *fields: Field) -> Row:
    """The keys of one table."""

    def row(now: Season, wanted: Season, document: Document) -> Iterator[Rewrite]:
        inside = document
        for name in table.split("."):
            inside = inside.get(name, {})
        for one in fields:
            yield from one.changes(f"[{table}].", now, wanted, inside, wanted.units)

    return row


def _in_plantings(*fields: Field) -> Row:
    """The keys of every planting."""

    def row(now: Season, wanted: Season, document: Document) -> Iterator[Rewrite]:
        as_wanted = {one.name: one for one in wanted.plantings}
        for is_now, table in planting_blocks(now, document):
            before = f"{block('planting', is_now.name)}: "
            for one in fields:
                yield from one.changes(before, is_now, as_wanted[is_now.name], table, wanted.units)

    return row


def _at_once(*rows: Row) -> Row:
    """Rows between which the file would not be right."""
    return lambda now, wanted, document: (one for row in rows for one in row(now, wanted, document))


def _given(row: Row, table: str, name: str) -> Row:
    """A row only where the file has the key."""
    return lambda now, wanted, document: (
        row(now, wanted, document) if name in document.get(table, {}) else iter(())
    )


def _room(name: str) -> Row:
    def of(part: str) -> Callable[[Season], Any]:
        return lambda season: getattr(getattr(season.lab, name), part)

    return _in(f"lab.{name}", Field("volume", of("volume_l"), VOLUME), Field("holds", of("holds"), held))


_HOME = _in("people", Field("home", lambda s: s.people.home_minutes, longest, reach))

_ROWS: tuple[Row, ...] = (
    help_row,
    given_up_row,
    split_row,
    stock_row,
    _given(_HOME, "people", "home"),  # nobody has more hours for work than at home, not even in between
    _in("people", Field("hours", lambda s: s.people.minutes, hours)),
    _HOME,
    _in(
        "tools",
        Field("drills", lambda s: s.tools.drills, plain),
        Field("tank", lambda s: s.tools.tank_l, VOLUME),
    ),
    _room("shelf"),
    _room("fridge"),
    _at_once(
        _in("site", *(Field(name, attrgetter(f"site.{name}"), plain) for name in SITE_DATES)),
        _in_plantings(
            Field("window", lambda p: p.window, period),
            Field("best", lambda p: p.best, period, given=True),
            Field("felled", lambda p: p.felled, plain),
        ),
    ),
    _in_plantings(
        Field("spawn", lambda p: p.spawn, plain),
        Field("route", lambda p: p.route, plain),
        Field("pattern", lambda p: p.pattern, spacing),
        Field("area", lambda p: p.area_m2, quantity("area", "m2")),
    ),
    cookers_row,  # what is no longer cooked was pellets before
    _in_plantings(
        Field("logs", lambda p: [g for g in p.groups if g.length_cm is not None], pieces),
        Field("stumps", lambda p: [g for g in p.groups if g.length_cm is None], pieces),
        Field("best", lambda p: p.best, period),
        Field("chips", lambda p: p.chips, plain),
    ),
)
"""In the order in which they are written: what others take a default from comes before these."""
