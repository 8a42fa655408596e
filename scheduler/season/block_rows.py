"""Whole blocks of a season file that come and go when it is to say another season.

Each row compares the season as it is with the one that is wanted, and says what to change in its document.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from scheduler.plan import Rewrite
from scheduler.season.notation import Document, block, blocks, toml
from scheduler.season.season import Cooker, LogGroup, Planting, Season
from scheduler.season.spelling import Field, held, period, pieces, plain

Row = Callable[[Season, Season, Document], Iterator[Rewrite]]


def planting_blocks(now: Season, document: Document) -> Iterator[tuple[Planting, Document]]:
    """The plantings with their blocks; a block whose window is over is no planting any more."""
    tables = blocks(document, "planting")
    return ((one, tables[one.index]) for one in now.plantings)


def help_row(now: Season, wanted: Season, document: Document) -> Iterator[Rewrite]:
    """Helpers that come, or come no more."""
    stays = [one in wanted.help for one in now.help]
    for place in range(len(stays), 0, -1):  # from the last, so that positions stay true
        if not stays[place - 1]:
            yield Rewrite(block("help", str(place)), toml(blocks(document, "help")[place - 1]), None)
    for new in wanted.help[sum(stays) :]:
        yield Rewrite("[[help]]", None, toml({"on": new.on, "people": new.people, "hours": new.minutes / 60}))


def given_up_row(now: Season, wanted: Season, document: Document) -> Iterator[Rewrite]:
    """Plantings that are left out."""
    kept = {one.name for one in wanted.plantings}
    for planting, table in planting_blocks(now, document):
        if planting.name not in kept:
            yield Rewrite(block("planting", planting.name), toml(table), None)


def stock_row(now: Season, wanted: Season, document: Document) -> Iterator[Rewrite]:
    """What is left out of the stock."""
    tables, gone = blocks(document, "stock"), Counter(now.stock) - Counter(wanted.stock)
    for place in range(len(tables), 0, -1):  # from the last, so that positions stay true
        if gone[now.stock[place - 1]]:
            gone[now.stock[place - 1]] -= 1
            yield Rewrite(block("stock", str(place)), toml(tables[place - 1]), None)


_OF_A_COOKER = (
    Field("loads_per_day", lambda cooker: cooker.loads_per_day, plain),
    Field("holds", lambda cooker: cooker.holds, held),
)


def cookers_row(now: Season, wanted: Season, document: Document) -> Iterator[Rewrite]:
    """Cookers that hold or do more or less, and new ones."""
    given, had = blocks(document, "lab.cooker"), now.lab.cookers
    if had == wanted.lab.cookers:
        return
    for place, table in enumerate(given, start=1):
        for one in _OF_A_COOKER:
            before = f"{block('lab.cooker', str(place))}: "
            yield from one.changes(before, had[place - 1], wanted.lab.cookers[place - 1], table, now.units)
    for new in wanted.lab.cookers[len(given) :]:
        yield Rewrite("[[lab.cooker]]", None, toml(_new_cooker(new, had, given)))


def _new_cooker(new: Cooker, had: Sequence[Cooker], given: Sequence[Document]) -> Document:
    """A cooker as the file has one like it; what it holds is said where that is not the usual."""
    if given and new in had:
        return given[had.index(new)]
    usual = not given and new.holds == had[0].holds
    table = {"kind": new.kind, "loads_per_day": new.loads_per_day}
    return table if usual else {**table, "holds": dict(new.holds)}


def split_row(now: Season, wanted: Season, document: Document) -> Iterator[Rewrite]:
    """New plantings, each like the one of which it was a part."""
    known = {one.name for one in now.plantings}
    for new in wanted.plantings:
        if new.name not in known:
            table = next(table for one, table in planting_blocks(now, document) if _is_part(new, one))
            yield Rewrite("[[planting]]", None, toml(_part(new, table)))


def _is_part(new: Planting, whole: Planting) -> bool:
    """Whether a planting has the last pieces of another, and differs in nothing else but its days."""
    days = {name: getattr(new, name) for name in ("window", "best", "felled")}
    return new == replace(whole, name=new.name, groups=new.groups, index=new.index, **days) and (
        _sizes(new.groups) == _sizes(whole.groups[-len(new.groups) :])
    )


def _sizes(groups: Sequence[LogGroup]) -> list[tuple[float, float | None]]:
    return [(group.diameter_cm, group.length_cm) for group in groups]


def _part(new: Planting, table: Document) -> Document:
    """The block of a part that holds the last pieces of the whole."""
    size = "stumps" if new.groups[0].length_cm is None else "logs"
    was = table[size]
    left = was[-len(new.groups) :] if isinstance(was, list) else was
    kept = {key: value for key, value in table.items() if key not in ("best", "felled")}
    felled = {"felled": new.felled} if new.felled else {}
    return {
        **kept,
        "name": new.name,
        size: pieces(None, new.groups, left, "metric"),
        "window": period(new.window, new.window, None, "metric"),
        **felled,
    }
