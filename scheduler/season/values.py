"""Reads one value of the season file at a time: text, numbers, words, dates, quantities, names.

Each function makes the validator of one kind of value, so that the shapes say in one line what a key takes.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, TypeVar, cast

from pydantic import BeforeValidator, PlainValidator, ValidationInfo

from scheduler import workdays
from scheduler.chances import LEAST_WISH, MOST_WISH
from scheduler.season import days, units
from scheduler.season.names import Names
from scheduler.season.wrong import Wrong, listed, meant, shown

T = TypeVar("T")

MONTHS = tuple(name.lower() for name in workdays.MONTHS)
MOST = 500
"""Entries of one list of the file: more plantings, stock or days away are no season of one grower."""
ALL_YEAR = 0
"""Key of a room's temperature where it is the same in every month."""

_UNIT_WORDS = {"degc": "C", "l": "L", "ml": "mL", "time": "d"}


_JOINERS = str.maketrans("", "", "\u200c\u200d")
"""They join and part letters, in Persian and in emoji; Python counts them among what cannot be printed."""


def _is_printable(text: str) -> bool:
    return text.translate(_JOINERS).isprintable()


def text(longest: int = 100) -> PlainValidator:
    """Words on one line, neither empty nor longer than `longest` letters."""

    def read(value: object) -> str:
        if not isinstance(value, str) or not value.strip():
            raise Wrong(shown(value), "text in quotes")
        if len(value) > longest or not _is_printable(value):
            raise Wrong(shown(value), f"one line of at most {longest} printable letters")
        return value.strip()

    return PlainValidator(read)


def number(low: float, high: float, what: str = "a number") -> PlainValidator:
    """A number of the given range, both ends included."""

    def as_share(value: object) -> str:
        is_percent = isinstance(value, int | float) and high < 1 < value <= 100 and low <= value / 100 <= high
        return f"{value} % is written {value / 100:g}" if is_percent else ""  # type: ignore[operator]

    def read(value: object) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            raise Wrong(shown(value), f"{what} from {low:g} to {high:g}", _unquote(value) or as_share(value))
        return float(value)

    return PlainValidator(read)


def wish() -> PlainValidator:
    """A chance that may be wished for."""
    return number(LEAST_WISH, MOST_WISH)


def whole(low: int, high: int) -> PlainValidator:
    """A whole number of the given range, both ends included."""

    def read(value: object) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise Wrong(shown(value), f"a whole number from {low} to {high}", _unquote(value))
        return value

    return PlainValidator(read)


def yes_or_no() -> PlainValidator:
    """True or false."""

    def read(value: object) -> bool:
        if not isinstance(value, bool):
            raise Wrong(shown(value), "true or false, without quotes")
        return value

    return PlainValidator(read)


def choice(*words: str) -> PlainValidator:
    """One of a few fixed words."""

    def read(value: object) -> str:
        if not isinstance(value, str):
            raise Wrong(shown(value), f"one of {listed(words)}, in quotes")
        folded = " ".join(value.casefold().split())
        if folded not in words:
            raise Wrong(shown(value), f"one of {listed(words)}", meant(value, words))
        return folded

    return PlainValidator(read)


def month() -> PlainValidator:
    """A month as ``jan`` to ``dec``, turned into 1 to 12."""

    def read(value: object) -> int:
        if value == ALL_YEAR:
            return ALL_YEAR
        name = str(value).casefold()
        if name not in MONTHS:
            raise Wrong(shown(value), f"a month: {listed(MONTHS)}", meant(name, MONTHS))
        return MONTHS.index(name) + 1

    return PlainValidator(read)


def day() -> PlainValidator:
    """One day, as a TOML date or as text of the same form."""
    return PlainValidator(days.day)


def time_of_day() -> PlainValidator:
    """Hours and minutes of one day, ``"09:00"``."""
    return PlainValidator(days.time_of_day)


def period() -> PlainValidator:
    """First and last day, ``2027-04-20/2027-05-25``; one day alone is a period of one day."""
    return PlainValidator(days.period)


def quantity(
    measure: units.Measure, unit: str, low: float = float("-inf"), high: float = float("inf")
) -> PlainValidator:
    """A quantity turned into `unit`; the range is in that unit, both ends included."""

    def read(value: object) -> float:
        return _quantity(value, measure, unit, low, high)

    return PlainValidator(read)


def square_metres(low: float, high: float) -> PlainValidator:
    """A plain number, or an area turned into m2; the range is for both."""

    allowed = 'a number of logs or stumps such as 8, or an area such as "3 m2"'

    def read(value: object) -> float:
        if isinstance(value, str):
            try:
                return _quantity(value, "area", "m2", low, high)
            except Wrong as wrong:
                raise Wrong(shown(value), allowed, wrong.hint) from None
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            raise Wrong(shown(value), allowed)
        return float(value)

    return PlainValidator(read)


def spacing() -> PlainValidator:
    """Spacing of holes, in cm: along the log, then between the rows."""

    def read(value: object) -> tuple[float, float]:
        along, around = units.spacing(value, "cm")
        if not (2 <= along <= 60 and 2 <= around <= 40):
            raise Wrong(
                shown(value),
                "2 to 60 cm (1 to 24 in) along the log and 2 to 40 cm (1 to 16 in) between rows",
            )
        return along, around

    return PlainValidator(read)


def amount() -> PlainValidator:
    """A volume in mL or a mass in g, above zero."""

    def read(value: object) -> tuple[float, str]:
        number, unit = units.amount(value)
        if not 0 < number <= 1_000_000:
            raise Wrong(shown(value), "an amount above zero, at most 1000 L or 1000 kg")
        return number, unit

    return PlainValidator(read)


def one_or_more() -> BeforeValidator:
    """A list of at most `MOST`; a single value stands for a list of one."""

    def read(value: object) -> list[Any]:
        if isinstance(value, list) and len(value) > MOST:
            raise Wrong(f"{len(value)} of them", f"at most {MOST}")
        return value if isinstance(value, list) else [value]

    return BeforeValidator(read)


def stages() -> BeforeValidator:
    """A list of stages; one text with arrows, as plans print a route, is answered with the list it means."""

    def read(value: object) -> object:
        if isinstance(value, str):
            words = [f'"{word.strip()}"' for word in re.split("->|[>,/]", value[:MOST]) if word.strip()]
            hint = f"did you mean [{', '.join(words)}]?" if words and value.isprintable() else ""
            raise Wrong(shown(value), 'a list, such as ["grain", "pellet"]', hint)
        return value

    return BeforeValidator(read)


def all_year() -> BeforeValidator:
    """A table by month; a single value stands for the whole year."""

    def read(value: object) -> dict[Any, Any]:
        return value if isinstance(value, dict) else {ALL_YEAR: value}

    return BeforeValidator(read)


def species() -> PlainValidator:
    """A species of the catalogue, by any of its names."""
    return _named(Names.species, "a species")


def method() -> PlainValidator:
    """A method of the catalogue, by any of its names."""
    return _named(Names.method, "a method")


def wood() -> PlainValidator:
    """A wood, by any of its names."""
    return _named(Names.wood, "a wood")


def container() -> PlainValidator:
    """A container of the catalogue or of the grower, by any of its names."""
    return _named(Names.container, "a container")


def _named(find: Callable[[Names, str], str], kind: str) -> PlainValidator:
    # The catalogue comes in as the context of the validation.
    def read(value: object, info: ValidationInfo) -> str:
        if not isinstance(value, str) or not value.strip() or not _is_printable(value):
            raise Wrong(shown(value), f"the name of {kind}, in quotes")
        return find(cast(Names, info.context), value.strip())

    return PlainValidator(read)


def _quantity(value: object, measure: units.Measure, unit: str, low: float, high: float) -> float:
    found = units.quantity(value, measure, unit)
    if not low <= found <= high:
        words = _UNIT_WORDS.get(unit, unit)
        hint = "" if f"{found:g}" in str(value) else f"that is {found:.6g} {words}"
        raise Wrong(shown(value), f"{low:g} to {high:g} {words}; {units.EXAMPLES[measure]}", hint)
    return found


def _unquote(value: object) -> str:
    """The hint for a number that is written as text."""
    if not isinstance(value, str) or not re.fullmatch(r"\s*[-+]?\d+(\.\d+)?\s*", value):
        return ""
    return "write numbers without quotes"
