"""How the keys of a season file are written: in the words and units that the file uses already."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from scheduler.measures import Units
from scheduler.plan import Period, Rewrite
from scheduler.season import units
from scheduler.season.notation import Document, key, toml
from scheduler.season.season import LogGroup, Pattern

Writer = Callable[[Any, Any, Any, Units], Any]
"""From a value of the season as it is, as it is wanted, and what the file has: what the file is to have."""


@dataclass(frozen=True)
class Field:
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
                yield Rewrite(place, text(was.get(name)), text(value.get(name)))
        else:
            yield Rewrite(f"{before}{self.key}", text(was), text(value))


def text(value: object) -> str | None:
    """A value as TOML, None for none."""
    return None if value is None else toml(value)


def plain(now: Any, wanted: Any, was: Any, as_in: Units) -> Any:
    """A value that a file has as a season has it."""
    match wanted:
        case tuple():
            return list(wanted)
        case Mapping():
            return dict(wanted)
        case _:
            return wanted


def held(
    now: Mapping[str, int] | None, wanted: Mapping[str, int], was: Mapping[str, int] | None, as_in: Units
) -> dict[str, int]:
    """Units by container; one that the file names keeps the name it has there."""
    spelled = dict(zip(now or {}, was or {}, strict=False))
    return {spelled.get(name, name): units for name, units in wanted.items()}


def period(now: Period, wanted: Period, was: Any, as_in: Units) -> str:
    """First and last day."""
    return f"{wanted[0]}/{wanted[1]}"


def hours(
    now: Mapping[str, int], wanted: Mapping[str, int], was: Mapping[str, Any] | None, as_in: Units
) -> dict[str, Any]:
    """Hours by weekday; a day that stays as it is stays as it is written, or unwritten."""
    spelled = {" ".join(name.casefold().split()): name for name in was or {}}
    days = [day for day in wanted if was is None or wanted[day] != now.get(day, 0)]
    return {**(was or {}), **{spelled.get(day, day): wanted[day] / 60 for day in days}}


def longest(
    now: Mapping[str, int], wanted: Mapping[str, int], was: Mapping[str, Any] | None, as_in: Units
) -> dict[str, Any]:
    """Hours by weekday, none of them fewer than now."""
    return hours(now, {day: max(now.get(day, 0), minutes) for day, minutes in wanted.items()}, was, as_in)


def reach(now: Mapping[str, int], wanted: Mapping[str, int]) -> bool:
    """Whether no day has fewer minutes than are wanted."""
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


def quantity(measure: units.Measure, unit: str) -> Writer:
    """Writes an amount of `unit` in the unit of the file."""

    def write(now: Any, wanted: float, was: Any, as_in: Units) -> str:
        word, size = _unit(was, measure, unit, as_in)
        return f"{round(wanted / size, 2):g} {word}"

    return write


def spacing(now: Any, wanted: Pattern, was: Any, as_in: Units) -> str:
    """Hole spacing in the unit of the file."""
    word, size = _unit(was, "length", "cm", as_in)
    along, around = (round(cm / size, 2) for cm in (wanted.along_cm, wanted.around_cm))
    return f"{along:g} x {around:g} {word}"


def pieces(now: Any, wanted: tuple[LogGroup, ...], was: Any, as_in: Units) -> Any:
    """Fewer pieces of the groups that the file has; groups of which none is left are the last ones."""
    groups = was if isinstance(was, list) else [was]
    left = [{**one, "count": group.count} for one, group in zip(groups, wanted, strict=False)]
    return left if isinstance(was, list) else left[0]


VOLUME = quantity("volume", "l")
