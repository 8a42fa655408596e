"""What is tried with a season: places of its file, each with some values, and every way to combine them.

A grid is written as a season file is, but that each key has a list of the values to try. What is tried is
written into the season as a remedy is that was adopted: as a `Rewrite` of a place, when the file is read.
"""

from __future__ import annotations

import itertools
import math
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from scheduler.errors import Fault, UsageError
from scheduler.plan import Rewrite
from scheduler.season.notation import Document, apply, block, blocks, key, toml
from scheduler.season.wrong import listed, meant, shown

BLOCKS = ("help", "stock", "planting", "standing", "lab.cooker")
"""Lists of blocks of a season file; plantings go by their name, the others by their position."""

OTHERWISE = {"[lab.shelf].volume": "[lab.shelf].holds", "[lab.fridge].volume": "[lab.fridge].holds"}
OTHERWISE |= {value: place for place, value in OTHERWISE.items()}
"""Places that say the same in another way: what the file has there is taken out."""

MOST = 10_000
"""Combinations of one season."""

EXAMPLE = "[season] and below it certainty = [0.8, 0.9, 0.95]"


@dataclass(frozen=True)
class Choice:
    """A place of the season file, and the values that are tried there."""

    said: str
    """Where it was said, for messages: ``--certainty``, ``grid.toml``."""
    place: str
    """As a `Rewrite` names it: ``[season].certainty``, ``[[planting]] Oak stack: window``."""
    values: tuple[Any, ...]


@dataclass(frozen=True)
class WhatIf:
    """One value for each place; none at all is the season as it stands."""

    values: tuple[tuple[str, Any], ...] = ()

    def named(self) -> tuple[tuple[str, str], ...]:
        """The places and values as a table names them: ``lab.shelf.volume`` and ``100 L``."""
        return tuple((column(place), word(value)) for place, value in self.values)

    def changes(self, document: Document) -> tuple[Rewrite, ...]:
        """What is written into the document. UsageError where it has no such place."""
        changes = []
        for place, value in self.values:
            if place in OTHERWISE:
                changes.append(Rewrite(OTHERWISE[place], None, None))
            changes.append(Rewrite(place, None, toml(value)))
            try:
                apply(document, changes)
            except (LookupError, ValueError, TypeError, AttributeError):
                raise UsageError(_no_place(place, document)) from None
        return tuple(changes)


AS_IT_STANDS = WhatIf()


def combined(choices: Sequence[Choice]) -> Iterator[WhatIf]:
    """Every way to combine the values, the last place changing first; without any, the season itself."""
    for values in itertools.product(*(choice.values for choice in choices)):
        yield WhatIf(tuple((choice.place, value) for choice, value in zip(choices, values, strict=True)))


def count(choices: Sequence[Choice]) -> int:
    """In how many ways the values can be combined.

    UsageError where those are too many, or a place comes twice.
    """
    there: dict[str, str] = {}
    for choice in choices:
        for place in (choice.place, OTHERWISE.get(choice.place)):
            if place in there:
                found = f"{column(choice.place)}, which {there[place]} tries already"
                raise UsageError(Fault(choice.said, found, "each place of the season file once"))
        there[choice.place] = choice.said
    number = math.prod(len(choice.values) for choice in choices)
    if number > MOST:
        what = " x ".join(str(len(choice.values)) for choice in choices)
        raise UsageError(
            Fault(choices[-1].said, f"{number} combinations ({what})", f"up to {MOST} of a season")
        )
    return number


def column(place: str) -> str:
    """A place as the heading of a column."""
    return place.replace("[[", "").replace("]]", "").replace("[", "").replace("]", "")


def word(value: Any) -> str:
    """A value as it is written in a season file, a text without its quotes."""
    return value if isinstance(value, str) else toml(value)


def from_toml(grid: Document, said: str) -> tuple[Choice, ...]:
    """The choices of a grid, in its order. UsageError where it is none; `said` is how its file is called."""
    found = tuple(_choices(grid, (), said))
    if not found:
        raise UsageError(Fault(said, "nothing to try", "keys of a season file with lists of values", EXAMPLE))
    return found


def _choices(table: Document, above: tuple[str, ...], said: str) -> Iterator[Choice]:
    for name, value in table.items():
        here = (*above, name)
        if ".".join(here) in BLOCKS:
            for position, one in enumerate(value if isinstance(value, list) else [value], start=1):
                yield from _in_block(".".join(here), position, one, said)
        elif isinstance(value, dict):
            yield from _choices(value, here, said)
        elif not above:
            hint = f"write [{name}] above its keys" if name in ("season", "lab", "people", "site") else ""
            raise UsageError(Fault(f"{said} {name}", shown(value), f"a table such as {EXAMPLE}", hint))
        else:
            bare = tuple(itertools.takewhile(str.isidentifier, here[:-1]))
            yield _choice(f"[{'.'.join(bare)}].{key(*here[len(bare) :])}", value, said)


def _in_block(table: str, position: int, one: Any, said: str) -> Iterator[Choice]:
    if not isinstance(one, dict):
        raise UsageError(Fault(f"{said} {table}", shown(one), f"a block [[{table}]] with keys below it"))
    named = {name: value for name, value in one.items() if table != "planting" or name != "name"}
    which = one.get("name") if table == "planting" else str(position)
    if not isinstance(which, str):
        allowed = "the name of the planting as the season file has it"
        raise UsageError(
            Fault(f"{said} {table}[{position - 1}]", "no name", allowed, 'for example name = "Oak stack"')
        )
    for name, value in named.items():
        yield _choice(f"{block(table, which.strip())}: {key(name)}", value, said)


def _choice(place: str, value: Any, said: str) -> Choice:
    """The choice of a place in a grid. UsageError where it is no list."""
    where = f"{said} {column(place)}"
    if not isinstance(value, list):
        hint = f"[{toml(value)}] where nothing else is tried"
        raise UsageError(Fault(where, shown(value), "a list of the values to try", hint))
    return choice(where, place, value)


def choice(said: str, place: str, values: Sequence[Any]) -> Choice:
    """The values that are tried at a place. UsageError where there are none, or one comes twice."""
    words = [word(one) for one in values]
    twice = next((one for one in words if words.count(one) > 1), None)
    if not values or twice is not None:
        found = "no value" if twice is None else f"{shown(twice)} twice"
        raise UsageError(Fault(said, found, "one or more values to try, each once"))
    return Choice(said, place, tuple(values))


def from_text(said: str, place: str, text: str) -> Choice:
    """The values of a call, with commas between them: numbers and days as such, all else as text."""
    return choice(said, place, [_value(part.strip()) for part in text.split(",")])


def _value(text: str) -> Any:
    try:
        value = tomllib.loads(f"value = {text}")["value"]
    except ValueError:
        return text
    return value if isinstance(value, int | float | date) else text


def _no_place(place: str, document: Document) -> Fault:
    allowed, hint = "a place that the season file has", ""
    if place.startswith("[[planting]] "):
        names = [str(one.get("name")) for one in blocks(document, "planting") if isinstance(one, dict)]
        wanted = column(place).removeprefix("planting ").rpartition(": ")[0].strip('"')
        allowed, hint = f"a planting of the season: {listed(names)}", meant(wanted, names)
    return Fault(column(place), "the season file has no such place", allowed, hint)
